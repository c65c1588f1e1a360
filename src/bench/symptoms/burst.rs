//! Rows of the throttle hand: burst, snap, half throttle, pinched line, free speed (S4-S8, S20, S22).

use super::{Asked, Change, Group, INF, Off, Rows, Table, off, percent};
use crate::bench::manoeuvre::{Mark, table};
use crate::bench::measures::What;
use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

pub(super) const GROUP: Group = Group {
    name: "burst",
    asks,
    rows: &[s4, s5, s6, s7, s8, s20, s22],
};

const CLEAN: Off = off(0.0, 0.0);

fn asks() -> Vec<Asked> {
    let mut asks = vec![(CLEAN, What::Free)];
    asks.extend([0.0, 0.5, 0.75, -0.125, -0.5].map(|low| (off(0.0, low), What::Burst)));
    asks.extend([0.0, 0.5, -0.5].map(|low| (off(0.0, low), What::Snap)));
    asks.extend([(0.0, 0.0), (0.5, 0.25), (1.0, 0.5)].map(|(high, low)| (off(high, low), What::HalfRunning)));
    asks.extend([0.0, 0.25].map(|low| (off(0.0, low), What::Pinch)));
    asks
}

/// When the speed first falls below a mark after the throttle is shut, s; 12 if it does not.
struct Spell {
    mark_rpm: f64,
    down_s: f64,
}

impl Observer for Spell {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark == Mark::Return && self.down_s == 12.0 && rpm_from_rev_per_second(r.speed) < self.mark_rpm {
            self.down_s = now.seconds;
        }
    }
}

/// How long the speed stays up once the throttle is shut, by a share of the clean idle.
fn spell_s(t: &Table, low: f64, share: f64) -> Vec<f64> {
    let clean = t.idle(CLEAN);
    let eyes = |k: usize| Spell {
        mark_rpm: share * clean[k].rpm,
        down_s: 12.0,
    };
    let played = t.play(
        Change::Nothing,
        &t.settled(off(0.0, low)),
        &table::burst(t.waits()),
        eyes,
    );
    played.iter().map(|p| p.watch.down_s).collect()
}

fn s4(t: &Table, rows: &mut Rows) {
    let (half, three) = (t.burst(off(0.0, 0.5)), t.burst(off(0.0, 0.75)));
    rows.add(
        ("S4", "low +1/2: early excess, %"),
        |k| half[k].early_excess_percent,
        (15.0, INF),
        10.0,
    );
    rows.add(
        ("S4", "low +1/2: within 5 % only after, s"),
        |k| half[k].settle_s,
        (1.5, INF),
        1.0,
    );
    let three_excess = |k: usize| {
        if three[k].stalled {
            30.0
        } else {
            three[k].early_excess_percent
        }
    };
    rows.add(("S4", "low +3/4: early excess, %"), three_excess, (15.0, INF), 10.0);
    // By the clean idle: richer is shorter, and falls deeper.
    let (longer, shorter) = (spell_s(t, 0.5, 0.95), spell_s(t, 0.75, 0.95));
    rows.add(
        ("S4", "low +3/4: high spell shorter than +1/2 by, s"),
        |k| longer[k] - shorter[k],
        (0.0, INF),
        0.3,
    );
    let (half, three) = (t.idle(off(0.0, 0.5)), t.idle(off(0.0, 0.75)));
    rows.add(
        ("S4", "low +3/4: falls deeper than +1/2 by, %"),
        |k| percent(half[k].rpm, three[k].rpm.max(1.0)).min(100.0),
        (0.0, INF),
        5.0,
    );
}

fn s5(t: &Table, rows: &mut Rows) {
    let clean = t.burst(CLEAN);
    rows.add(
        ("S5", "clean: deviation later than 1 s after the return, %"),
        |k| clean[k].late_deviation_percent,
        (-INF, 6.0),
        2.0,
    );
    rows.add(
        ("S5", "clean: early excess, %"),
        |k| clean[k].early_excess_percent,
        (-INF, 6.0),
        4.0,
    );
    rows.add(
        ("S5", "clean: return, s"),
        |k| clean[k].return_s.unwrap_or(12.0),
        (0.1, 1.5),
        0.5,
    );
}

fn s6(t: &Table, rows: &mut Rows) {
    let (idle, lean_idle) = (t.idle(CLEAN), t.idle(off(0.0, -0.125)));
    let (clean, lean) = (t.burst(CLEAN), t.burst(off(0.0, -0.125)));
    // To a tenth above the clean idle, where a hand on the throttle calls it down.
    let (later, sooner) = (spell_s(t, -0.125, 1.1), spell_s(t, 0.0, 1.1));
    rows.add(
        ("S6", "low -1/8: comes down later than clean by, s"),
        |k| later[k] - sooner[k],
        (0.0, INF),
        0.1,
    );
    rows.add(
        ("S6", "low -1/8: lowest after the return, %"),
        |k| lean[k].lowest_percent,
        (-6.0, INF),
        3.0,
    );
    rows.add(
        ("S6", "low -1/8: idle against clean, %"),
        |k| percent(lean_idle[k].rpm.max(1.0), idle[k].rpm),
        (0.0, INF),
        3.0,
    );
    let very = off(0.0, -0.5);
    let (very, races, bogs) = (t.idle(very), t.burst(very), t.snap(very));
    let back = |k: usize| clean[k].return_s.unwrap_or(12.0);
    let very_lean = |k: usize| {
        f64::from(u8::from(
            very[k].rpm <= 0.0
                || races[k].stalled
                || races[k].return_s.is_none_or(|s| s > 3.0 * back(k))
                || bogs[k].delay_s.is_none(),
        ))
    };
    rows.add(("S6", "low -1/2: races or dies"), very_lean, (1.0, INF), 1.0);
}

fn s7(t: &Table, rows: &mut Rows) {
    let (clean, rich) = (t.snap(CLEAN), t.snap(off(0.0, 0.5)));
    let delay = |k: usize| clean[k].delay_s.unwrap_or(4.0);
    rows.add(
        ("S7", "lag at low +1/2 over clean"),
        |k| rich[k].delay_s.unwrap_or(4.0) / delay(k),
        (1.5, INF),
        0.5,
    );
    rows.add(("S7", "clean: lag, s"), delay, (0.1, 0.7), 0.3);
    rows.add(
        ("S7", "puff at low +1/2 over clean (with 0.25 for the eye)"),
        |k| rich[k].puff_excess / clean[k].puff_excess.max(0.25),
        (2.0, INF),
        1.0,
    );
    rows.add(("S7", "clean: puff excess"), |k| clean[k].puff_excess, (-INF, 1.0), 0.5);
    rows.add(
        ("S7", "clean: snap misfire, %"),
        |k| clean[k].misfire_percent,
        (-INF, 1.0),
        1.0,
    );
}

fn s8(t: &Table, rows: &mut Rows) {
    // Held half open from a running engine: whether its idle lives is another row.
    let clean = t.half_running(CLEAN);
    rows.add(
        ("S8", "half throttle, clean: misfire, %"),
        |k| clean[k].misfire_percent,
        (-INF, 0.5),
        0.5,
    );
    let rich = t.half_running(off(0.5, 0.25));
    rows.add(
        ("S8", "half throttle, high +1/2 low +1/4: misfire, %"),
        |k| rich[k].misfire_percent,
        (2.0, INF),
        3.0,
    );
    let richer = t.half_running(off(1.0, 0.5));
    rows.add(
        ("S8", "half throttle, high +1 low +1/2: misfire, %"),
        |k| richer[k].misfire_percent,
        (10.0, INF),
        10.0,
    );
}

fn s20(t: &Table, rows: &mut Rows) {
    let free = t.free(CLEAN);
    rows.add(
        ("S20", "wheels up, full throttle, rpm"),
        |k| free[k].rpm,
        (36_000.0, 44_000.0),
        2_000.0,
    );
}

fn s22(t: &Table, rows: &mut Rows) {
    let (clean, rich) = (t.pinch(CLEAN), t.pinch(off(0.0, 0.25)));
    rows.add(
        ("S22", "pinched: speed rises by, %"),
        |k| clean[k].rise_percent,
        (0.5, INF),
        3.0,
    );
    rows.add(
        ("S22", "pinched: dies after, s"),
        |k| clean[k].died_s.unwrap_or(30.0),
        (0.3, 25.0),
        2.0,
    );
    rows.add(
        ("S22", "pinched, low +1/4: rise greater by, %"),
        |k| rich[k].rise_percent - clean[k].rise_percent,
        (0.0, INF),
        3.0,
    );
    rows.add(
        ("S22", "pinched, low +1/4: dies later by, s"),
        |k| rich[k].died_s.unwrap_or(30.0) - clean[k].died_s.unwrap_or(30.0),
        (0.0, INF),
        0.5,
    );
}
