//! The row of the false idle, S23.

use super::{Asked, Group, INF, Rows, Table, off, percent};
use crate::bench::measures::What;

pub(super) const GROUP: Group = Group {
    name: "false idle",
    asks,
    rows: &[s23],
};

/// Both needles rich.
const RICH: (f64, f64) = (0.5, 0.375);
/// The idle stop is opened by eighths of a turn, at most four turns; so many eighths are tried at a time.
const EIGHTHS: usize = 32;
const AT_ONCE: usize = 8;

fn asks() -> Vec<Asked> {
    vec![(off(0.0, 0.0), What::Idle), (off(RICH.0, RICH.1), What::Idle)]
}

fn s23(t: &Table, rows: &mut Rows) {
    let clean = t.idle(off(0.0, 0.0));
    let rich = off(RICH.0, RICH.1);
    // Open the idle stop until the idle is back to normal.
    let mut opened: Vec<Option<f64>> = vec![None; clean.len()];
    for first in (0..EIGHTHS).step_by(AT_ONCE) {
        let places: Vec<_> = (first..first + AT_ONCE)
            .map(|eighths| rich.idle(0.125 * eighths as f64))
            .collect();
        t.measure(&places.iter().map(|place| (*place, What::Idle)).collect::<Vec<_>>());
        for place in places {
            for ((opened, idle), clean) in opened.iter_mut().zip(t.idle_or_stall(place)).zip(&clean) {
                if opened.is_none() && idle.rpm >= clean.rpm {
                    *opened = Some(place.idle);
                }
            }
        }
        if opened.iter().all(Option::is_some) {
            break;
        }
    }
    let carburettor = &t.setup().engine.carburettor;
    let mm_per_turn = carburettor.idle_opening_per_turn * carburettor.slide_travel_mm;
    rows.add(
        ("S23", "false idle: gap wider by, mm"),
        |k| opened[k].unwrap_or(f64::NAN) * mm_per_turn,
        (0.02, 0.39),
        0.05,
    );
    // A low idle, or a stall.
    let closed = t.idle_or_stall(rich);
    rows.add(
        ("S23", "false idle, stop closed to its reference: idle, %"),
        |k| percent(closed[k].rpm, clean[k].rpm),
        (-INF, -8.0),
        5.0,
    );
}
