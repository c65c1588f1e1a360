//! One needle taken through its range, step by step from rich to lean, at idle, half and full throttle, with what stands where: to learn what
//! there is to hear before anything is asked.

use serde::{Deserialize, Serialize};

use super::CLICK;
use super::clip::{Clip, clip};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment};
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::tuning::action::Screw;
use crate::tuning::judging::off;

/// Where each step stands off the clean setting, clicks, rich first.
pub const STEPS_CLICKS: [i32; 7] = [12, 6, 3, 0, -2, -4, -6];

/// At which throttle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum At {
    /// Shut.
    Idle,
    /// Half open.
    Half,
    /// Wide open, wheels up.
    Full,
}

impl At {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Idle, Self::Half, Self::Full];

    fn manoeuvre(self) -> Manoeuvre {
        let (throttle, before_s, heard_s) = match self {
            Self::Idle => (0.0, 6.0, 2.0),
            Self::Half => (0.5, 2.5, 1.5),
            Self::Full => (1.0, 2.5, 1.2),
        };
        [
            Segment::hold(1.0, 1.0),
            Segment::hold(0.0, 1.0),
            Segment::hold(throttle, before_s),
            Segment::hold(throttle, heard_s).mark(Mark::Watch),
        ]
        .into_iter()
        .collect()
    }
}

/// One needle so many clicks off the clean setting, rich positive; the idle stop stays where it is.
pub fn step(setup: &Setup, clean: Setting, screw: Screw, clicks: i32, at: At, seed: u64, rate_hz: u32) -> Clip {
    let turns = f64::from(clicks) * CLICK;
    let turns = match screw {
        Screw::High => [turns, 0.0, 0.0],
        Screw::Low => [0.0, turns, 0.0],
        Screw::Idle => [0.0; 3],
    };
    clip(setup, off(clean, turns), at.manoeuvre(), seed, rate_hz)
}
