//! The true setting of a practice, where a careful racer would leave it: in the middle of what is clean, so that neither a colder
//! hour nor a click too many spoils it. Sought from a setting near by, by the sign-off's own checks side by side.

use super::judging::off;
use crate::bench::checks::Report;
use crate::engine::params::Setting;

/// Steps of the search for a clean setting.
const STEPS: u32 = 4;
/// Turns by which it goes at a time: high, low, idle.
const STEP: [f64; 3] = [1.0 / 12.0, 1.0 / 12.0, 1.0 / 6.0];
/// A click of a screw, turns.
pub(super) const CLICK: f64 = 1.0 / 24.0;
/// How far what is clean is looked for on each side of a needle, in clicks: high, low. The idle stop stands already where
/// the idle has its place in its window.
const LOOKED: [&[f64]; 2] = [
    &[-4.0, -3.0, -2.0, -1.0, 1.0, 2.0, 3.0, 4.0],
    &[-2.0, -1.0, 1.0, 2.0, 3.0, 4.0],
];

/// The sign-off where an engine is best left, sought from a setting near by: clean, where anything in reach is. `judged` signs settings
/// off side by side.
pub fn sought(judged: &impl Fn(&[Setting]) -> Vec<Report>, from: Setting) -> Report {
    let (here, middle) = looked_around(judged, from);
    if here.clean {
        return towards(judged, here, middle);
    }
    let clean = cleanest(judged, here);
    if !clean.clean {
        return clean;
    }
    let (here, middle) = looked_around(judged, clean.setting);
    towards(judged, here, middle)
}

/// The setting itself where it is clean; else the best found by a few steps to the best neighbour, until one is clean.
fn cleanest(judged: &impl Fn(&[Setting]) -> Vec<Report>, from: Report) -> Report {
    let mut best = from;
    for _ in 0..STEPS {
        if best.clean {
            break;
        }
        let around: Vec<Setting> = (0..3)
            .flat_map(|screw| [-1.0, 1.0].map(|way| moved(best.setting, screw, way * STEP[screw])))
            .collect();
        let Some(better) = judged(&around)
            .into_iter()
            .filter(|report| report.margin() > best.margin())
            .max_by(|a, b| a.margin().total_cmp(&b.margin()))
        else {
            break;
        };
        best = better;
    }
    best
}

/// `setting` with one screw turned.
fn moved(setting: Setting, screw: usize, turns: f64) -> Setting {
    let mut by = [0.0; 3];
    by[screw] = turns;
    off(setting, by)
}

/// The sign-off of a setting, and how far the middle of what is clean around it lies, needle by needle.
fn looked_around(judged: &impl Fn(&[Setting]) -> Vec<Report>, at: Setting) -> (Report, [f64; 2]) {
    let looked: Vec<(usize, f64)> = (0..2)
        .flat_map(|screw| LOOKED[screw].iter().map(move |clicks| (screw, clicks * CLICK)))
        .collect();
    let beside = looked.iter().map(|(screw, turns)| moved(at, *screw, *turns));
    let settings: Vec<Setting> = std::iter::once(at).chain(beside).collect();
    let mut found = judged(&settings);
    let beside = found.split_off(1);
    let middle = [0, 1].map(|screw| {
        let of_screw = looked.iter().zip(&beside).filter(|((s, _), _)| *s == screw);
        let tried: Vec<(f64, f64)> = of_screw.map(|((_, turns), report)| (*turns, room(report))).collect();
        middle(room(&found[0]), &tried)
    });
    (found.swap_remove(0), middle)
}

/// Shares of the way to the middles that are tried, most first: high, low.
const WAYS: [[f64; 2]; 4] = [[1.0, 1.0], [0.0, 1.0], [0.5, 0.5], [0.0, 0.5]];

/// A clean setting as near as it goes to the middle of what is clean.
fn towards(judged: &impl Fn(&[Setting]) -> Vec<Report>, from: Report, middle: [f64; 2]) -> Report {
    if middle == [0.0; 2] {
        return from;
    }
    let ways = WAYS.map(|share| off(from.setting, [share[0] * middle[0], share[1] * middle[1], 0.0]));
    let mut settings = judged(&ways).into_iter();
    settings.find(|report| report.clean).unwrap_or(from)
}

/// How far a setting is from failing; negative where it fails.
fn room(report: &Report) -> f64 {
    let margin = report.margin();
    if report.clean {
        margin.max(0.0)
    } else {
        margin.min(-f64::MIN_POSITIVE)
    }
}

/// The middle of what is clean without a gap around nothing turned, of turns tried in rising order and the room there. Between the last
/// that is clean and the first that fails the border lies where the room would be used up, so that it does not jump by clicks.
fn middle(here: f64, tried: &[(f64, f64)]) -> f64 {
    let edge = |beside: &mut dyn Iterator<Item = &(f64, f64)>| {
        let mut last = (0.0, here);
        for next in beside {
            if next.1 < 0.0 {
                let share = last.1.max(0.0) / (last.1.max(0.0) - next.1);
                return last.0 + share * (next.0 - last.0);
            }
            last = *next;
        }
        last.0
    };
    let rich = edge(&mut tried.iter().filter(|(turns, _)| *turns > 0.0));
    let lean = edge(&mut tried.iter().rev().filter(|(turns, _)| *turns < 0.0));
    0.5 * (lean + rich)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::checks::{Check, CheckName, Symptoms, Unit};

    /// A sign-off that is clean in a band of each needle, from `lean` to `rich` clicks of where it is asked from: the high-speed needle's and
    /// the low-speed needle's.
    fn within_bands(from: Setting, bands: [(f64, f64); 2]) -> impl Fn(&[Setting]) -> Vec<Report> {
        move |settings| {
            let reports = settings.iter().map(|setting| {
                let turned = [setting.high_turns - from.high_turns, setting.low_turns - from.low_turns];
                let rooms = bands.iter().zip(turned).map(|((lean, rich), turns)| {
                    let clicks = turns / CLICK;
                    (clicks - lean).min(rich - clicks)
                });
                let room = rooms.fold(f64::INFINITY, f64::min);
                let check = Check {
                    name: CheckName::FullPower,
                    value: Some(room),
                    unit: Unit::ALL[0],
                    low: Some(0.0),
                    high: None,
                    pass: room >= 0.0,
                };
                Report {
                    seed: 1,
                    setting: *setting,
                    clean: check.pass,
                    checks: vec![check],
                    symptoms: Symptoms::default(),
                    bog: None,
                    warnings: Vec::new(),
                }
            });
            reports.collect()
        }
    }

    #[test]
    fn a_true_setting_stands_in_the_middle_of_what_is_clean_click_by_click() {
        let from = Setting {
            high_turns: 3.0,
            low_turns: 1.0,
            idle_turns: 2.0,
        };
        // The high-speed needle's lean edge is one click away, its rich one four: within three clicks alone it could not be told from the middle.
        for (bands, truth) in [
            ([(-1.2, 3.8), (-1.0, 3.0)], [1.3, 1.0]),
            ([(-3.6, 0.6), (-1.5, 1.5)], [-1.5, 0.0]),
            ([(-2.5, 2.5), (-1.9, 3.5)], [0.0, 0.8]),
        ] {
            let found = sought(&within_bands(from, bands), from).setting;
            let clicks = [found.high_turns - from.high_turns, found.low_turns - from.low_turns].map(|t| t / CLICK);
            assert!(
                clicks.iter().zip(truth).all(|(c, t)| (c - t).abs() < 0.02),
                "{bands:?}: {clicks:?}"
            );
        }
    }

    #[test]
    fn the_middle_is_that_of_what_is_clean_without_a_gap() {
        let tried =
            |room: [f64; 6]| -> Vec<(f64, f64)> { [-3.0, -2.0, -1.0, 1.0, 2.0, 3.0].into_iter().zip(room).collect() };
        for (room, at) in [
            ([1.0; 6], 0.0),
            ([-1.0, -1.0, -1.0, 1.0, 1.0, 1.0], 1.25),
            ([-1.0, 1.0, 1.0, 1.0, -1.0, 1.0], -0.5),
            ([-1.0; 6], 0.0),
            // Nearer to the one that fails by little.
            ([-1.0, -1.0, -0.25, 1.0, 1.0, 1.0], 1.1),
            ([f64::NEG_INFINITY, 0.5, 1.0, 1.0, 1.0, -1.0], 0.25),
        ] {
            let middle = middle(1.0, &tried(room));
            assert!((middle - at).abs() < 1e-12, "{room:?}: {middle}");
        }
    }
}
