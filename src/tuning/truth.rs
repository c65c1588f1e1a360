//! The true setting of a practice, where a careful racer would leave it: in the middle of what is clean, so that neither a colder
//! hour nor a click too many spoils it. Sought from a setting near by, by the sign-off's own checks side by side.

use super::hidden::{Judging, off};
use crate::bench::checks::Report;
use crate::engine::Setup;
use crate::engine::params::Setting;

/// Steps of the search for a clean setting.
const STEPS: u32 = 4;
/// Turns by which it goes at a time: high, low, idle.
const STEP: [f64; 3] = [1.0 / 12.0, 1.0 / 12.0, 1.0 / 6.0];
/// A click of a screw, turns.
const CLICK: f64 = 1.0 / 24.0;
/// How far what is clean is looked for on each side of a screw, in clicks: in, out. The idle stop's are farther apart.
const LOOKED: [&[f64]; 3] = [
    &[-4.5, -3.0, -1.5, 1.5, 3.0, 4.5],
    &[-2.0, -1.0, 1.0, 2.0, 3.0, 4.0],
    &[-24.0, -12.0, 6.0, 12.0],
];

/// The sign-off of `sound` where it is best left, sought from a setting near by: clean, where anything in reach is.
pub(super) fn sought(judging: &Judging, sound: &Setup, from: Setting) -> Report {
    let clean = cleanest(judging, sound, from);
    if clean.clean {
        centred(judging, sound, clean)
    } else {
        clean
    }
}

/// The setting itself where it is clean; else the best found by a few steps to the best neighbour, until one is clean.
fn cleanest(judging: &Judging, sound: &Setup, from: Setting) -> Report {
    let mut best = judging.check(sound, from);
    for _ in 0..STEPS {
        if best.clean {
            break;
        }
        let around: Vec<Setting> = (0..3)
            .flat_map(|screw| [-1.0, 1.0].map(|way| moved(best.setting, screw, way * STEP[screw])))
            .collect();
        let Some(better) = judging
            .check_all(sound, &around)
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

/// The middle of what is clean around a clean setting, screw by screw, the low-speed needle last: what is clean of it is narrowest.
fn centred(judging: &Judging, sound: &Setup, from: Report) -> Report {
    let all = towards(judging, sound, from, &[0, 1, 2]);
    towards(judging, sound, all, &[1])
}

/// Shares of the way to the middles that are tried, most first: high, low, idle.
const WAYS: [[f64; 3]; 4] = [[1.0, 1.0, 1.0], [0.5, 1.0, 0.5], [0.0, 1.0, 0.0], [0.5, 0.5, 0.5]];

/// A clean setting as near as it goes to the middle of what is clean of these screws.
fn towards(judging: &Judging, sound: &Setup, from: Report, screws: &[usize]) -> Report {
    let looked: Vec<(usize, f64)> = screws
        .iter()
        .flat_map(|screw| LOOKED[*screw].iter().map(|clicks| (*screw, clicks * CLICK)))
        .collect();
    let settings: Vec<Setting> = looked
        .iter()
        .map(|(screw, turns)| moved(from.setting, *screw, *turns))
        .collect();
    let found = judging.check_on_both(sound, &settings);
    let middle = [0, 1, 2].map(|screw| {
        let of_screw = looked.iter().zip(&found).filter(|((s, _), _)| *s == screw);
        let tried: Vec<(f64, bool)> = of_screw.map(|((_, turns), report)| (*turns, report.clean)).collect();
        middle(&tried)
    });
    let ways = WAYS.map(|share| off(from.setting, [0, 1, 2].map(|screw| share[screw] * middle[screw])));
    let mut settings = judging.check_on_both(sound, &ways).into_iter();
    settings.find(|report| report.clean).unwrap_or(from)
}

/// The middle of what is clean without a gap around nothing turned, of turns tried in rising order.
fn middle(tried: &[(f64, bool)]) -> f64 {
    let out = tried.iter().filter(|(turns, _)| *turns > 0.0);
    let inwards = tried.iter().rev().filter(|(turns, _)| *turns < 0.0);
    let edge = |turns: Option<&(f64, bool)>| turns.map_or(0.0, |(turns, _)| *turns);
    let high = edge(out.take_while(|(_, clean)| *clean).last());
    let low = edge(inwards.take_while(|(_, clean)| *clean).last());
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_is_that_of_what_is_clean_without_a_gap() {
        let tried = |clean: [bool; 6]| -> Vec<(f64, bool)> {
            [-3.0, -2.0, -1.0, 1.0, 2.0, 3.0].into_iter().zip(clean).collect()
        };
        for (clean, at) in [
            ([true; 6], 0.0),
            ([false, false, false, true, true, true], 1.5),
            ([false, true, true, true, false, true], -0.5),
            ([false; 6], 0.0),
        ] {
            assert_eq!(middle(&tried(clean)), at, "{clean:?}");
        }
    }
}
