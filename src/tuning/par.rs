//! Par: how little turning leads from the start to a clean setting for somebody who knows the truth. Found by searching with the
//! model's own checks, coarsely, since a practice must start at once.

use serde::Serialize;

use super::hidden::Hidden;
use crate::engine::params::Setting;

/// Shares of the way from a screw's start to the truth that are tried, besides all of it.
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

/// One screw a share of its way, the others all of theirs.
fn alone(screw: usize, share: f64) -> [f64; 3] {
    let mut all = [1.0; 3];
    all[screw] = share;
    all
}

/// Par of a practice. What is tried is tried side by side: twice the time of one sign-off or so.
pub fn par(hidden: &Hidden) -> Par {
    let (start, truth) = (hidden.came, hidden.truth);
    let clean = |shares: &[[f64; 3]]| -> Vec<bool> {
        let settings: Vec<_> = shares.iter().map(|share| between(start, truth, *share)).collect();
        let reports = hidden.judging.check_on_both(&hidden.sound, &settings);
        reports.into_iter().map(|report| report.clean).collect()
    };
    // How far each screw must go of its own way, the others standing at the truth; an idle stop is left alone or set right.
    let tries: Vec<(usize, f64)> = [0, 1]
        .into_iter()
        .flat_map(|screw| SHARES.map(|share| (screw, share)))
        .chain([(2, 0.0)])
        .collect();
    let found = clean(
        &tries
            .iter()
            .map(|(screw, share)| alone(*screw, *share))
            .collect::<Vec<_>>(),
    );
    let least = [0, 1, 2].map(|screw| {
        let mut enough = tries
            .iter()
            .zip(&found)
            .filter(|((s, _), clean)| *s == screw && **clean);
        enough.next().map_or(1.0, |((_, share), _)| *share)
    });
    // Each edge was found with the others in the middle; together they may need a little more. All the way is clean: else there would
    // be no practice.
    let more = [0.0, 0.5].map(|more: f64| least.map(|s| if s > 0.0 { s + more * (1.0 - s) } else { 0.0 }));
    let together = clean(&more).into_iter().zip(more).find(|(clean, _)| *clean);
    let share = together.map_or([1.0; 3], |(_, share)| share);
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
