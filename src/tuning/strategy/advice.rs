//! What a strategy can propose: an action, the same as a line of the line mode, and why.

use crate::tuning::action::{Action, Part, Screw};

/// A proposal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// What to do.
    pub action: Action,
    /// The same, as one would type it.
    pub line: &'static str,
    /// Why.
    pub because: &'static str,
}

/// Turns that are proposed: an eighth is a large step, a twelfth an ordinary one, a quarter is for what is far off, a click for a
/// low end that is nearly right.
const TURNS: [(Screw, f64, &str); 15] = [
    (Screw::High, -0.25, "high in 1/4"),
    (Screw::High, -0.125, "high in 1/8"),
    (Screw::High, -1.0 / 12.0, "high in 1/12"),
    (Screw::High, 1.0 / 12.0, "high out 1/12"),
    (Screw::High, 0.125, "high out 1/8"),
    (Screw::Low, -0.125, "low in 1/8"),
    (Screw::Low, -1.0 / 12.0, "low in 1/12"),
    (Screw::Low, -1.0 / 24.0, "low in 1/24"),
    (Screw::Low, 1.0 / 24.0, "low out 1/24"),
    (Screw::Low, 1.0 / 12.0, "low out 1/12"),
    (Screw::Low, 0.125, "low out 1/8"),
    (Screw::Idle, 0.125, "idle in 1/8"),
    (Screw::Idle, 0.25, "idle in 1/4"),
    (Screw::Idle, -0.125, "idle out 1/8"),
    (Screw::Idle, -0.25, "idle out 1/4"),
];

/// A turn of the list that comes nearest.
pub fn turn(screw: Screw, turns: f64, because: &'static str) -> Advice {
    let off = |t: &(Screw, f64, &str)| if t.0 == screw { (t.1 - turns).abs() } else { 100.0 };
    let nearest = TURNS
        .iter()
        .fold(&TURNS[0], |best, t| if off(t) < off(best) { t } else { best });
    Advice {
        action: Action::Turn {
            screw,
            turns: nearest.1,
        },
        line: nearest.2,
        because,
    }
}

/// Full throttle for 2 or 3 s.
pub fn full(seconds: u8, because: &'static str) -> Advice {
    let (ms, line) = if seconds < 3 {
        (2000, "full 2")
    } else {
        (3000, "full 3")
    };
    Advice {
        action: Action::Hold { position: 1.0, ms },
        line,
        because,
    }
}

/// Half throttle for 3 s.
pub fn half(because: &'static str) -> Advice {
    Advice {
        action: Action::Hold {
            position: 0.5,
            ms: 3000,
        },
        line: "half 3",
        because,
    }
}

/// Eighteen seconds: longer than any pause on a track, so that what is clean after it is clean.
pub fn wait(because: &'static str) -> Advice {
    Advice {
        action: Action::Wait { ms: 18_000 },
        line: "wait 18",
        because,
    }
}

/// An action that has only one form.
pub fn plain(action: Action, because: &'static str) -> Advice {
    let line = match action {
        Action::Gun => "gun",
        Action::Inspect => "inspect",
        Action::Pinch => "pinch",
        Action::Plug => "plug",
        Action::Warm => "warm",
        Action::Laps { .. } => "laps 3",
        Action::Fuel => "fuel",
        Action::Start => "start",
        Action::Fix { part } => match part {
            Part::Leak => "fix leak",
            Part::Line => "fix line",
            Part::Pressure => "fix pressure",
            Part::Plug => "fix plug",
            Part::Filter => "fix filter",
            Part::Brake => "fix brake",
            Part::Tank => "fix tank",
        },
        Action::SignOff => "sign off",
        _ => "quit",
    };
    Advice { action, line, because }
}
