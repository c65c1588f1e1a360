//! What a strategy can propose: an action and why, both as data.

use serde::Serialize;

use super::reason::Reason;
use crate::tuning::action::{Action, Screw};

/// A proposal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// What to do.
    pub action: Action,
    /// Why.
    pub because: Reason,
}

/// Turns that are proposed: an eighth is a large step, a twelfth an ordinary one, a quarter is for what is far off, a click for a
/// low end that is nearly right.
const TURNS: [(Screw, &[f64]); 3] = [
    (Screw::High, &[-0.25, -0.125, -1.0 / 12.0, 1.0 / 12.0, 0.125]),
    (
        Screw::Low,
        &[-0.125, -1.0 / 12.0, -1.0 / 24.0, 1.0 / 24.0, 1.0 / 12.0, 0.125],
    ),
    (Screw::Idle, &[0.125, 0.25, -0.125, -0.25]),
];

/// A turn of the list that comes nearest.
pub fn turn(screw: Screw, turns: f64, because: Reason) -> Advice {
    let nearest = TURNS
        .iter()
        .filter(|(s, _)| *s == screw)
        .flat_map(|(_, all)| all.iter().copied())
        .min_by(|a, b| (a - turns).abs().total_cmp(&(b - turns).abs()));
    Advice {
        action: Action::Turn {
            screw,
            turns: nearest.unwrap_or(turns),
        },
        because,
    }
}

/// Full throttle for 3 s.
pub fn full(because: Reason) -> Advice {
    plain(
        Action::Hold {
            position: 1.0,
            ms: 3000,
        },
        because,
    )
}

/// Half throttle for 3 s.
pub fn half(because: Reason) -> Advice {
    plain(
        Action::Hold {
            position: 0.5,
            ms: 3000,
        },
        because,
    )
}

/// Eighteen seconds: longer than any pause on a track, so that what is clean after it is clean.
pub fn wait(because: Reason) -> Advice {
    plain(Action::Wait { ms: 18_000 }, because)
}

/// An action as it is.
pub fn plain(action: Action, because: Reason) -> Advice {
    Advice { action, because }
}
