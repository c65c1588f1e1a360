//! Rows of how an idle runs on once it was cleared out: S24, a minute of loading up, and of S2 what follows a burst.

use super::course::Stretches;
use super::{Change, INF, Off, Rows, Table, capped, given, off, percent};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::player::{Stand, Unseen};

const CLEAN: Off = off(0.0, 0.0);

/// Speeds 2-4 s after shutting from a burst, every seed's.
fn after_burst(t: &Table, place: Off) -> Vec<Stretches<1>> {
    let eyes = |_| Stretches::new([(Mark::Return, 2.0, 4.0)]);
    let burst = table::burst(t.waits());
    let played = t.play(Change::Nothing, &t.settled(place), &burst, eyes);
    played.into_iter().map(|p| p.watch).collect()
}

pub(super) fn s2_after_burst(t: &Table, rows: &mut Rows) {
    let [clean, high_rich, low_rich, both_rich] =
        [CLEAN, off(1.0, 0.0), off(0.0, 0.25), off(1.0, 0.25)].map(|place| after_burst(t, place));
    let rise = |k: usize| percent(clean[k].rpm(0), high_rich[k].rpm(0));
    rows.add(
        ("S2", "after a burst: idle speed from high +1 to clean, %"),
        rise,
        (1.0, 15.0),
        5.0,
    );
    let both = |k: usize| {
        let stood = if both_rich[k].stood(0) {
            1.0
        } else {
            both_rich[k].rpm(0)
        };
        percent(low_rich[k].rpm(0), stood)
    };
    rows.add(
        ("S2", "after a burst: the same with low +1/4, more by, %"),
        |k| capped(both(k), 60.0) - rise(k),
        (0.0, INF),
        3.0,
    );
}

/// Two minutes of clean idle, so that its heat has settled and what follows is not heat; then a low needle turned, cleared out by a
/// second of full throttle, and a minute of idle.
pub(super) fn s24(t: &Table, rows: &mut Rows) {
    let idled = Manoeuvre::from([Segment::hold(0.0, 120.0)]);
    let from: Vec<Stand> = t
        .play(Change::Nothing, &t.settled(CLEAN), &idled, |_| Unseen)
        .into_iter()
        .map(|p| p.end)
        .collect();
    let minute = Manoeuvre::from([Segment::hold(1.0, 1.0), Segment::hold(0.0, 62.0).mark(Mark::Return)]);
    let eyes = |_| Stretches::new([(Mark::Return, 2.0, 4.0), (Mark::Return, 56.0, 61.0)]);
    let [clean, quarter, three] = [0.0, 0.25, 0.75].map(|low| {
        let mut from = from.clone();
        for stand in &mut from {
            stand.controls.set(t.at(off(0.0, low)));
        }
        t.play(Change::Nothing, &from, &minute, eyes)
    });
    let sinks = |watch: &Stretches<2>| -percent(watch.rpm(1), watch.rpm(0));
    rows.add(
        ("S24", "a minute of clean idle: sinks by, %"),
        |k| sinks(&clean[k].watch),
        (-2.0, 4.0),
        2.0,
    );
    rows.add(
        ("S24", "a minute of idle, low +1/4: sinks by, %"),
        |k| sinks(&quarter[k].watch),
        (8.0, INF),
        4.0,
    );
    // To a stall, or below half of what it was, where the clean engine lives.
    let falls = |k: usize| {
        let (rich, clean) = (&three[k].watch, &clean[k].watch);
        let stalls = rich.stood(0) || rich.stood(1);
        given(clean.rpm(1) > 0.0, if stalls { 100.0 } else { sinks(rich) })
    };
    rows.add(
        ("S24", "a minute of idle, low +3/4: falls by, %"),
        falls,
        (50.0, INF),
        20.0,
    );
}
