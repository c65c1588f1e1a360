//! Rows of the steady idle: S1, S2, S18, and what of S9 and S11 is read there. S24 and S28 follow in files of their own.

use super::rhythm::Rhythm;
use super::{Asked, Change, Group, INF, Rows, Table, capped, lean, loading, off, percent};
use crate::bench::manoeuvre::table;
use crate::bench::measures::What;

pub(super) const GROUP: Group = Group {
    name: "idle",
    asks,
    rows: &[
        s1,
        s2,
        loading::s2_after_burst,
        s18,
        s18_rhythm,
        clean,
        loading::s24,
        lean::s28_idle,
        lean::s28_half,
    ],
};

/// The low needle every sixteenth of a turn.
const STEPS: std::ops::RangeInclusive<i32> = -6..=6;

fn sixteenth(k: i32) -> f64 {
    f64::from(k) / 16.0
}

fn asks() -> Vec<Asked> {
    let needles = [
        (0.0, 0.75),
        (0.0, -0.75),
        (1.0, 0.0),
        (0.0, 0.25),
        (1.0, 0.25),
        (0.0, 0.5),
        (0.0, -0.5),
    ];
    STEPS
        .map(|k| off(0.0, sixteenth(k)))
        .chain(needles.map(|(high, low)| off(high, low)))
        .map(|off| (off, What::Idle))
        .collect()
}

fn s1(t: &Table, rows: &mut Rows) {
    let (clean, rich) = (t.idle(off(0.0, 0.0)), t.idle_or_stall(off(0.0, 0.75)));
    rows.add(
        ("S1", "idle speed from low +3/4 to clean, %"),
        // A very rich one may load up and die.
        |k| percent(clean[k].rpm, rich[k].rpm.max(0.5 * clean[k].rpm)),
        (15.0, INF),
        10.0,
    );
    let swept: Vec<_> = STEPS.map(|k| t.idle_or_stall(off(0.0, sixteenth(k)))).collect();
    let fastest = |k: usize| peak(&swept.iter().map(|idle| idle[k].rpm).collect::<Vec<_>>());
    rows.add(
        ("S1", "fastest idle at low needle offset, turns"),
        |k| fastest(k).0,
        (-0.25, 0.0),
        0.25,
    );
    let lean = t.idle_or_stall(off(0.0, -0.75));
    rows.add(
        ("S1", "idle at low -3/4 over fastest: it dies"),
        |k| lean[k].rpm / fastest(k).1,
        (-INF, 0.1),
        0.2,
    );
}

/// Where the idle is fastest and how fast: a parabola through the three best settings places the peak between them.
fn peak(speeds: &[f64]) -> (f64, f64) {
    let best = (0..speeds.len())
        .max_by(|a, b| speeds[*a].total_cmp(&speeds[*b]))
        .unwrap_or(0);
    let between = match (best.checked_sub(1).and_then(|i| speeds.get(i)), speeds.get(best + 1)) {
        (Some(a), Some(c)) if a + c < 2.0 * speeds[best] => 0.5 * (a - c) / (a + c - 2.0 * speeds[best]),
        _ => 0.0,
    };
    if speeds[best] > 0.0 {
        ((best as f64 + between + f64::from(*STEPS.start())) / 16.0, speeds[best])
    } else {
        (f64::NAN, f64::NAN)
    }
}

fn s2(t: &Table, rows: &mut Rows) {
    let (clean, high_rich) = (t.idle(off(0.0, 0.0)), t.idle(off(1.0, 0.0)));
    let rise = |k: usize| percent(clean[k].rpm, high_rich[k].rpm);
    rows.add(("S2", "idle speed from high +1 to clean, %"), rise, (1.0, 15.0), 5.0);
    let (low_rich, both_rich) = (t.idle(off(0.0, 0.25)), t.idle_or_stall(off(1.0, 0.25)));
    let both = |k: usize| percent(low_rich[k].rpm, both_rich[k].rpm.max(1.0));
    rows.add(
        ("S2", "the same with low +1/4, more by, %"),
        |k| capped(both(k), 60.0) - rise(k),
        (0.0, INF),
        3.0,
    );
}

fn s18(t: &Table, rows: &mut Rows) {
    let (clean, rich) = (t.idle(off(0.0, 0.0)), t.idle(off(0.0, 0.5)));
    rows.add(
        ("S18", "clean idle: missed revolutions, %"),
        |k| clean[k].misfire_percent,
        (-INF, 1.0),
        1.0,
    );
    rows.add(
        ("S18", "clean idle: speed variation, %"),
        |k| clean[k].variation_percent,
        (0.2, 3.0),
        1.0,
    );
    rows.add(
        ("S18", "idle at low +1/2: missed revolutions, %"),
        |k| rich[k].misfire_percent,
        (15.0, INF),
        10.0,
    );
}

fn s18_rhythm(t: &Table, rows: &mut Rows) {
    let beat = |low: f64| {
        t.play(
            Change::Nothing,
            &t.settled(off(0.0, low)),
            &table::steady(0.0, 0.0, 4.0),
            |_| Rhythm::default(),
        )
    };
    let (clean, rich) = (beat(0.0), beat(0.5));
    rows.add(
        ("S18", "clean idle: variation of the cycles' work, %"),
        |k| clean[k].watch.variation_percent(),
        (2.0, 10.0),
        2.0,
    );
    rows.add(
        ("S18", "idle at low +1/2: line at half the firing rate above clean, dB"),
        |k| 10.0 * (rich[k].watch.half_rate() / clean[k].watch.half_rate()).log10(),
        (10.0, INF),
        5.0,
    );
}

/// The clean idle itself.
fn clean(t: &Table, rows: &mut Rows) {
    let clean = t.idle(off(0.0, 0.0));
    rows.add(
        ("idle", "clean idle speed, rpm"),
        |k| clean[k].rpm,
        (9_000.0, 12_500.0),
        1000.0,
    );
    rows.add(
        ("idle", "clean idle: equivalence ratio"),
        |k| clean[k].equivalence_ratio,
        (1.0, 1.45),
        0.1,
    );
    rows.add(
        ("S11", "viscous share at idle"),
        |k| clean[k].viscous_share,
        (0.55, 0.85),
        0.1,
    );
    rows.add(
        ("S9", "film time constant at idle, s"),
        |k| clean[k].film_time_constant_s,
        (3.0, 6.0),
        1.0,
    );
}
