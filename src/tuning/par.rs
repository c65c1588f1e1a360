//! Par: how little turning leads from the start to a clean setting for somebody who knows the truth. Found by searching with the
//! model's own checks, coarsely, since a practice must start at once.

use serde::Serialize;

use super::hidden::Hidden;
use crate::engine::params::Setting;

/// Halvings of the way from a screw's start to the truth.
const HALVINGS: u32 = 2;

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

/// Par of a practice.
pub fn par(hidden: &Hidden) -> Par {
    let (start, truth) = (hidden.start, hidden.truth);
    let clean = |share: [f64; 3]| hidden.judging.check(&hidden.sound, between(start, truth, share)).clean;
    // How far each screw must go of its own way, the others standing at the truth.
    let least = |screw: usize| {
        let at = |share: f64| {
            let mut all = [1.0; 3];
            all[screw] = share;
            clean(all)
        };
        if at(0.0) {
            return 0.0;
        }
        let (mut dirty, mut enough) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (dirty + enough);
            if at(middle) {
                enough = middle;
            } else {
                dirty = middle;
            }
        }
        enough
    };
    let (high, (low, idle)) = rayon::join(
        || least(0),
        || (least(1), if clean([1.0, 1.0, 0.0]) { 0.0 } else { 1.0 }),
    );
    // Each edge was found with the others in the middle; together they may need a little more.
    let share = [0.0, 0.5, 1.0]
        .into_iter()
        .map(|more: f64| [high, low, idle].map(|s: f64| if s > 0.0 { s + more * (1.0 - s) } else { more.floor() }))
        .find(|share| clean(*share))
        // All the way, which is clean: else there would be no practice.
        .unwrap_or([1.0; 3]);
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
