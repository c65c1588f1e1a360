//! Par: how little turning leads from the start to a clean setting for somebody who knows the truth. Found by searching with the
//! model's own checks, coarsely and side by side, since a practice must start at once.

use serde::Serialize;

use super::hidden::Hidden;
use crate::engine::params::Setting;

/// Shares of the way from a screw's start to the truth that are tried: those that two halvings can ask for.
const SHARES: [f64; 4] = [0.0, 0.25, 0.5, 0.75];

/// The least that would do.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Par {
    /// Adjustments of the needles.
    pub turns: u32,
    /// Adjustments of the idle stop.
    pub idle_trims: u32,
    /// Rotation of the needles, turns.
    pub rotation_turns: f64,
    /// A clean setting that this reaches.
    pub setting: Setting,
}

fn between(from: Setting, to: Setting, share: [f64; 3]) -> Setting {
    Setting {
        high_turns: from.high_turns + share[0] * (to.high_turns - from.high_turns),
        low_turns: from.low_turns + share[1] * (to.low_turns - from.low_turns),
        idle_turns: from.idle_turns + share[2] * (to.idle_turns - from.idle_turns),
    }
}

/// The least share of the way that is clean, as two halvings find it, where [`SHARES`] are clean or not.
fn least([none, quarter, half, most]: [bool; 4]) -> f64 {
    match (none, half) {
        (true, _) => 0.0,
        (_, true) if quarter => 0.25,
        (_, true) => 0.5,
        _ if most => 0.75,
        _ => 1.0,
    }
}

/// Par of a practice. All that is tried of one screw stands side by side in the model's lanes, and so do the ways together.
pub fn par(hidden: &Hidden) -> Par {
    let (start, truth) = (hidden.start, hidden.truth);
    let clean = |shares: &[[f64; 3]]| -> Vec<bool> {
        let settings: Vec<Setting> = shares.iter().map(|share| between(start, truth, *share)).collect();
        let reports = hidden.judging.check_all(&hidden.sound, &settings);
        reports.iter().map(|report| report.clean).collect()
    };
    // How far each screw must go of its own way, the others standing at the truth.
    let mut tried: Vec<[f64; 3]> = Vec::new();
    tried.extend(SHARES.map(|share| [share, 1.0, 1.0]));
    tried.extend(SHARES.map(|share| [1.0, share, 1.0]));
    tried.push([1.0, 1.0, 0.0]);
    let found = clean(&tried);
    let of = |screw: usize| least([0, 1, 2, 3].map(|k| found[SHARES.len() * screw + k]));
    let (high, low, idle) = (of(0), of(1), if found[2 * SHARES.len()] { 0.0 } else { 1.0 });
    // Each edge was found with the others in the middle; together they may need a little more.
    let together = [0.0, 0.5, 1.0]
        .map(|more: f64| [high, low, idle].map(|s: f64| if s > 0.0 { s + more * (1.0 - s) } else { more.floor() }));
    let share = together
        .into_iter()
        .zip(clean(&together))
        .find(|(_, clean)| *clean)
        // All the way, which is clean: else there would be no practice.
        .map_or([1.0; 3], |(share, _)| share);
    let setting = between(start, truth, share);
    let moved = [
        setting.high_turns - start.high_turns,
        setting.low_turns - start.low_turns,
    ]
    .map(f64::abs);
    Par {
        turns: moved.iter().map(|m| u32::from(*m > 1e-9)).sum(),
        idle_trims: u32::from((setting.idle_turns - start.idle_turns).abs() > 1e-9),
        rotation_turns: moved.iter().sum(),
        setting,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::scenario::{Scenario, source};

    #[test]
    fn the_least_share_is_that_of_two_halvings() {
        let halved = |clean: [bool; 4]| {
            let at = |share: f64| clean[(4.0 * share) as usize];
            if at(0.0) {
                return 0.0;
            }
            let (mut dirty, mut enough) = (0.0, 1.0);
            for _ in 0..2 {
                let middle = 0.5 * (dirty + enough);
                if at(middle) {
                    enough = middle;
                } else {
                    dirty = middle;
                }
            }
            enough
        };
        for bits in 0..16_u8 {
            let clean = [0, 1, 2, 3].map(|k| bits & 1 << k != 0);
            assert_eq!(least(clean), halved(clean), "{clean:?}");
        }
    }

    #[test]
    fn par_is_clean_and_no_way_shorter_of_one_needle_is() {
        let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        let hidden = Hidden::draw(&scenario, 2, 0).unwrap();
        let par = par(&hidden);
        let clean = |setting| hidden.judging.check(&hidden.sound, setting).clean;
        assert!(clean(par.setting), "{par:?}");
        assert!(par.turns > 0 && !clean(hidden.start), "{par:?}");
    }
}
