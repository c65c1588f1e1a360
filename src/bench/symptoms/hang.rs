//! Row S6: how long the speed hangs after a burst when the low end is lean, with the idle stop as it is, and trimmed until the settled
//! idle is the clean one's, as a hand would who wants the leanness hidden.

use super::burst::courses;
use super::running::Running;
use super::{Asked, Change, Group, INF, Off, Rows, Table, off};
use crate::bench::measures::{Base, Burst, Bursting, Measure, Snap, Snapping, What};
use crate::bench::player::{Played, Stand, play};

pub(super) const GROUP: Group = Group {
    name: "hang",
    asks,
    rows: &[s6_as_it_is, s6_trimmed, s6_rich, s6_very_lean],
};

const CLEAN: Off = off(0.0, 0.0);
const EIGHTH: Off = off(0.0, -0.125);
const QUARTER: Off = off(0.0, -0.25);
const RICH: Off = off(0.0, 0.5);

fn asks() -> Vec<Asked> {
    let mut asks: Vec<Asked> = [CLEAN, EIGHTH, QUARTER].map(|place| (place, What::Burst)).to_vec();
    asks.push((CLEAN, What::Snap));
    asks
}

fn hangs(t: &Table, place: Off) -> Vec<f64> {
    t.burst(place).iter().map(|burst| burst.hang_s).collect()
}

fn s6_as_it_is(t: &Table, rows: &mut Rows) {
    let [clean, eighth, quarter] = [CLEAN, EIGHTH, QUARTER].map(|place| hangs(t, place));
    rows.add(("S6", "clean: hangs for, s"), |k| clean[k], (0.1, 1.3), 0.3);
    rows.add(
        ("S6", "low -1/8: hangs longer than clean by, s"),
        |k| eighth[k] - clean[k],
        (0.7, INF),
        0.3,
    );
    rows.add(
        ("S6", "low -1/4: hangs longer than -1/8 by, s"),
        |k| quarter[k] - eighth[k],
        (0.3, INF),
        0.3,
    );
    rows.add(("S6", "low -1/8: hangs for, s"), |k| eighth[k], (2.0, 6.0), 1.0);
    rows.add(("S6", "low -1/4: hangs for, s"), |k| quarter[k], (2.0, 6.0), 1.0);
}

/// Where the idle stop is tried, quarters of a turn off the reference.
const STOP: std::ops::RangeInclusive<i32> = -6..=16;

/// The place with the idle stop turned until the engine without noise idles as fast as the clean one; between two tries in a straight
/// line. Not-a-number if no try reaches that.
fn trimmed(t: &Table, place: Off) -> Off {
    let quiet = t.quiet();
    let wanted = quiet.idle(CLEAN)[0].rpm;
    let places: Vec<Off> = STOP.map(|quarter| place.idle(f64::from(quarter) / 4.0)).collect();
    quiet.measure(&places.iter().map(|place| (*place, What::Idle)).collect::<Vec<_>>());
    let tried: Vec<(f64, f64)> = places
        .iter()
        .map(|place| (place.idle, quiet.idle_or_stall(*place)[0].rpm))
        .collect();
    let between = tried.windows(2).find(|pair| pair[0].1 <= wanted && wanted < pair[1].1);
    let turns = between.map(|pair| {
        let ((a, slower), (b, faster)) = (pair[0], pair[1]);
        a + (b - a) * (wanted - slower) / (faster - slower)
    });
    place.idle(turns.unwrap_or(f64::NAN))
}

/// Hangs at the place with the idle stop trimmed; not-a-number if it can't be.
fn trimmed_hangs(t: &Table, place: Off) -> Vec<f64> {
    let place = trimmed(t, place);
    if place.idle.is_nan() {
        return vec![f64::NAN; t.seeds().len()];
    }
    hangs(t, place)
}

fn s6_trimmed(t: &Table, rows: &mut Rows) {
    let clean = hangs(t, CLEAN);
    let [eighth, quarter] = [EIGHTH, QUARTER].map(|place| trimmed_hangs(t, place));
    rows.add(
        ("S6", "trimmed, low -1/8: hangs longer than clean by, s"),
        |k| eighth[k] - clean[k],
        (0.7, INF),
        0.3,
    );
    rows.add(
        ("S6", "trimmed, low -1/4: hangs longer than -1/8 by, s"),
        |k| quarter[k] - eighth[k],
        (0.3, INF),
        0.3,
    );
    rows.add(
        ("S6", "trimmed, low -1/8: hangs for, s"),
        |k| eighth[k],
        (2.0, 6.0),
        1.0,
    );
    rows.add(
        ("S6", "trimmed, low -1/4: hangs for, s"),
        |k| quarter[k],
        (2.0, 6.0),
        1.0,
    );
}

/// A rich one, trimmed, is high for a while, too, but falls.
fn s6_rich(t: &Table, rows: &mut Rows) {
    let (rich, quarter) = (trimmed_hangs(t, RICH), trimmed_hangs(t, QUARTER));
    rows.add(("S6", "trimmed, low +1/2: high for, s"), |k| rich[k], (1.0, INF), 0.5);
    rows.add(
        ("S6", "trimmed, low +1/2: ends sooner than -1/4 by, s"),
        |k| quarter[k] - rich[k],
        (0.0, INF),
        0.5,
    );
    let place = trimmed(t, RICH);
    let falls: Vec<f64> = if place.idle.is_nan() {
        vec![f64::NAN; rich.len()]
    } else {
        let idles = t.idle(place);
        let courses = courses(t, place).into_iter().zip(idles);
        courses.map(|(course, idle)| course.fall_s(idle.rpm)).collect()
    };
    rows.add(
        ("S6", "trimmed, low +1/2: falls from 80 to 20 % in, s"),
        |k| falls[k],
        (0.0, 2.0),
        0.5,
    );
}

/// A measure played from given places, each beside its clean idle.
fn played<M: Measure>(t: &Table, from: &[Stand], idle_rpm: impl Fn(usize) -> f64) -> Vec<Played<M::Eyes>> {
    let plays = from.iter().enumerate().flat_map(|(k, from)| {
        M::plays(&Base {
            from: *from,
            idle_rpm: idle_rpm(k),
            clutch_rpm: t.setup().engine.drive.clutch_engage_rpm,
            tried: None,
            waits: t.waits(),
        })
    });
    play(&t.engine(Change::Nothing), plays)
}

/// Half a turn lean, from the clean engine's idle: hangs and dies, races, or bogs at the next snap without smoke.
fn s6_very_lean(t: &Table, rows: &mut Rows) {
    let (idle, clean, clean_snap) = (t.idle(CLEAN), t.burst(CLEAN), t.snap(CLEAN));
    let mut from = t.settled(CLEAN);
    for stand in &mut from {
        stand.controls.set(t.at(off(0.0, -0.5)));
    }
    let burst = played::<Bursting>(t, &from, |k| idle[k].rpm);
    let ends: Vec<Stand> = burst.iter().map(|p| p.end).collect();
    let snap = played::<Snapping>(t, &ends, |k| idle[k].rpm);
    let told = |k: usize| {
        if !(idle[k].runs() && clean[k].runs() && clean_snap[k].runs()) {
            return f64::NAN;
        }
        let (burst, snap): (Burst, Snap) = (Bursting::found(&burst[k..=k]), Snapping::found(&snap[k..=k]));
        let hangs = burst.hang_s >= clean[k].hang_s + 0.7;
        let races = !burst.stalled && burst.hang_s > 6.0;
        let late = match (snap.delay_s, clean_snap[k].delay_s) {
            (Some(lean), Some(clean)) => lean >= 1.5 * clean,
            (None, Some(_)) => !burst.stalled,
            _ => false,
        };
        let bogs = late && snap.puff_excess < 0.5 * clean_snap[k].puff_excess;
        f64::from(u8::from((hangs && burst.stalled) || races || bogs))
    };
    rows.add(
        ("S6", "low -1/2: hangs and dies, races, or bogs without smoke"),
        told,
        (0.5, INF),
        1.0,
    );
}
