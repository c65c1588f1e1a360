//! Row S28: what besides the speed tells a steady lean engine from the clean one, at idle and half throttle.

use super::rhythm::Rhythm;
use super::{Change, INF, Off, Rows, Table, off};
use crate::bench::manoeuvre::table;
use crate::bench::player::Stand;

/// An eye sees this much less smoke, percent.
const LESS_SMOKE: f64 = 10.0;
/// An ear hears a beat that is harder by this much earlier phasing, degrees.
const EARLIER: f64 = 3.0;
/// It hears so many more missed revolutions, percent.
const MISSES: f64 = 1.0;

/// At least one of them.
const TOLD: (f64, f64) = (0.5, INF);

/// What differs between a lean and the clean engine.
struct Signs {
    less_smoke_percent: f64,
    earlier_deg: f64,
    missed_percent: f64,
    /// It died where the clean one lives.
    died: bool,
}

impl Signs {
    fn of(lean: &Rhythm, clean: &Rhythm) -> Self {
        Self {
            less_smoke_percent: 100.0 * (1.0 - lean.oil_mg_per_s() / clean.oil_mg_per_s()),
            earlier_deg: lean.phase_deg() - clean.phase_deg(),
            missed_percent: lean.missed_percent() - clean.missed_percent(),
            died: lean.stands() && !clean.stands(),
        }
    }
    fn count(&self) -> f64 {
        let told = [
            self.less_smoke_percent >= LESS_SMOKE,
            self.earlier_deg >= EARLIER,
            self.missed_percent >= MISSES,
            self.died,
        ];
        told.map(|told| f64::from(u8::from(told))).iter().sum()
    }
}

/// The signs of lean engines against the clean one, both from where they stand.
fn signs(t: &Table, throttle: f64, before_s: f64, from: impl Fn(Off) -> Vec<Stand>, lean: Off) -> Vec<Signs> {
    let look = table::steady(throttle, before_s, 4.0);
    let [lean, clean] =
        [lean, off(0.0, 0.0)].map(|place| t.play(Change::Nothing, &from(place), &look, |_| Rhythm::default()));
    let both = lean.iter().zip(&clean);
    both.map(|(lean, clean)| Signs::of(&lean.watch, &clean.watch)).collect()
}

pub(super) fn s28_idle(t: &Table, rows: &mut Rows) {
    let at = |low| signs(t, 0.0, 0.0, |place| t.settled(place), off(0.0, low));
    let (quarter, half) = (at(-0.25), at(-0.5));
    rows.add(
        ("S28", "idle, low -1/4: telling signs"),
        |k| quarter[k].count(),
        TOLD,
        1.0,
    );
    rows.add(("S28", "idle, low -1/2: telling signs"), |k| half[k].count(), TOLD, 1.0);
    rows.tell(("S28", "idle, low -1/4: less smoke by, %"), |k| {
        quarter[k].less_smoke_percent
    });
    rows.tell(("S28", "idle, low -1/4: earlier by, degrees"), |k| {
        quarter[k].earlier_deg
    });
    rows.tell(("S28", "idle, low -1/4: missed more by, %"), |k| {
        quarter[k].missed_percent
    });
}

/// Both needles lean: at half throttle they share.
pub(super) fn s28_half(t: &Table, rows: &mut Rows) {
    let at = |turns| signs(t, 0.5, 2.0, |place| t.warm(place), off(turns, turns));
    let (quarter, half) = (at(-0.25), at(-0.5));
    rows.add(
        ("S28", "half throttle, needles -1/4: telling signs"),
        |k| quarter[k].count(),
        TOLD,
        1.0,
    );
    rows.add(
        ("S28", "half throttle, needles -1/2: telling signs"),
        |k| half[k].count(),
        TOLD,
        1.0,
    );
    rows.tell(("S28", "half throttle, needles -1/4: less smoke by, %"), |k| {
        quarter[k].less_smoke_percent
    });
    rows.tell(("S28", "half throttle, needles -1/4: earlier by, degrees"), |k| {
        quarter[k].earlier_deg
    });
    rows.tell(("S28", "half throttle, needles -1/4: missed more by, %"), |k| {
        quarter[k].missed_percent
    });
}
