//! Rows of the return from a burst, rich and clean: S4, S5. The lean one and the trimmed idle stop follow in `hang.rs`.

use super::course::Course;
use super::{Asked, Change, Group, INF, Off, Rows, Table, off, percent};
use crate::bench::manoeuvre::table;
use crate::bench::measures::What;

pub(super) const GROUP: Group = Group {
    name: "burst",
    asks,
    rows: &[s4, s4_deeper, s5],
};

const CLEAN: Off = off(0.0, 0.0);
const HALF: Off = off(0.0, 0.5);
const THREE: Off = off(0.0, 0.75);

fn asks() -> Vec<Asked> {
    [CLEAN, HALF, THREE].map(|place| (place, What::Burst)).to_vec()
}

/// The course of the speed after a burst, every seed's.
pub(super) fn courses(t: &Table, place: Off) -> Vec<Course> {
    let burst = table::burst(t.waits());
    let played = t.play(Change::Nothing, &t.settled(place), &burst, |_| Course::default());
    played.into_iter().map(|p| p.watch).collect()
}

fn s4(t: &Table, rows: &mut Rows) {
    for (place, excess, within) in [
        (HALF, "low +1/2: early excess, %", "low +1/2: within 5 % only after, s"),
        (THREE, "low +3/4: early excess, %", "low +3/4: within 5 % only after, s"),
    ] {
        let rich = t.burst(place);
        rows.add(("S4", excess), |k| rich[k].early_excess_percent, (15.0, INF), 10.0);
        rows.add(("S4", within), |k| rich[k].settle_s, (1.5, INF), 1.0);
    }
}

/// By the clean idle: richer is shorter, and falls deeper.
fn s4_deeper(t: &Table, rows: &mut Rows) {
    let clean = t.idle(CLEAN);
    let (longer, shorter) = (courses(t, HALF), courses(t, THREE));
    let spell = |course: &Course, k: usize| course.below_s(0.95 * clean[k].rpm);
    rows.add(
        ("S4", "low +3/4: high spell shorter than +1/2 by, s"),
        |k| spell(&longer[k], k) - spell(&shorter[k], k),
        (0.0, INF),
        0.3,
    );
    let (half, three) = (t.idle(HALF), t.idle(THREE));
    rows.add(
        ("S4", "low +3/4: falls deeper than +1/2 by, %"),
        |k| percent(half[k].rpm, three[k].rpm),
        (0.0, INF),
        5.0,
    );
}

fn s5(t: &Table, rows: &mut Rows) {
    let clean = t.burst(CLEAN);
    rows.add(
        ("S5", "clean: deviation from 1.3 s after shutting on, %"),
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
        |k| clean[k].return_s.unwrap_or(f64::NAN),
        (0.1, 1.5),
        0.5,
    );
}
