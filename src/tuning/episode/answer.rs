//! What a practice answers, as data: how it ended, why an action can't be done, and what one brought to light.

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

use crate::bench::instruments::{PinchRise, PlugReading};
use crate::tuning::action::{Action, Part};

/// How a practice ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    /// Signed off clean, nothing left at fault.
    Clean,
    /// Signed off, and something failed.
    NotClean,
    /// The engine is lost.
    Lost,
    /// Our limit of time.
    OutOfTime,
    /// Left before signing off.
    Left,
}

impl Ending {
    /// Ended by its own course.
    pub fn terminated(self) -> bool {
        matches!(self, Self::Clean | Self::NotClean | Self::Lost)
    }
    /// Ended by a limit or by leaving.
    pub fn truncated(self) -> bool {
        !self.terminated()
    }
}

/// A number of an action, with the range that it may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Throttle, 0 shut to 1 full.
    Throttle,
    /// Milliseconds at a time.
    Milliseconds,
    /// Turns of a screw at once, either way.
    Turns,
    /// Laps at once.
    Laps,
    /// Sureness of a judgement, percent.
    SurePercent,
}

impl Quantity {
    /// What is allowed.
    pub fn range(self) -> RangeInclusive<f64> {
        match self {
            Self::Throttle => 0.0..=1.0,
            Self::Milliseconds => 50.0..=600_000.0,
            Self::Turns => -2.0..=2.0,
            Self::Laps => 1.0..=20.0,
            Self::SurePercent => 34.0..=100.0,
        }
    }

    /// Refuses a value out of the range.
    fn holds(self, value: f64) -> Result<(), Refusal> {
        if self.range().contains(&value) {
            Ok(())
        } else {
            Err(Refusal::OutOfRange { what: self, value })
        }
    }
}

/// Whether an action's numbers are in range, whatever the state of the practice.
///
/// # Errors
/// The first that is not.
pub fn in_range(action: &Action) -> Result<(), Refusal> {
    match *action {
        Action::Turn { turns, .. } => Quantity::Turns.holds(turns),
        Action::Throttle { position } => Quantity::Throttle.holds(position),
        Action::Hold { position, ms } => {
            Quantity::Throttle.holds(position)?;
            Quantity::Milliseconds.holds(f64::from(ms))
        }
        Action::Wait { ms } => Quantity::Milliseconds.holds(f64::from(ms)),
        Action::Laps { laps } => Quantity::Laps.holds(f64::from(laps)),
        Action::Judge { sure_percent, .. } => Quantity::SurePercent.holds(f64::from(sure_percent)),
        Action::Gun
        | Action::Inspect
        | Action::Pinch
        | Action::Plug
        | Action::Warm
        | Action::Fuel
        | Action::Stop
        | Action::Start
        | Action::Fix { .. }
        | Action::SignOff
        | Action::Leave => Ok(()),
    }
}

/// An action that can't be done now, and why.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "refused", rename_all = "kebab-case")]
pub enum Refusal {
    /// The practice is over.
    Over,
    /// Something is being done that takes its time.
    Busy,
    /// The engine stands.
    Standing,
    /// The engine runs.
    Running,
    /// The screw is at its end.
    AtEnd,
    /// A number out of its range.
    OutOfRange {
        /// Which.
        what: Quantity,
        /// What was asked for.
        value: f64,
    },
    /// Only the two ends are judged.
    NoEnd,
}

/// What an action brought to light, besides what is heard.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "found", rename_all = "kebab-case")]
pub enum Found {
    /// The temperature gun, read on the head.
    Gun {
        /// As it shows, in whole degrees.
        head_c: f64,
    },
    /// A part that was looked at.
    Looked {
        /// Which.
        part: Part,
        /// Its fault shows.
        at_fault: bool,
    },
    /// The pinch test.
    Pinched {
        /// How much the pitch rose.
        rise: PinchRise,
        /// Until it faded.
        seconds: f64,
    },
    /// The plug, pulled and read.
    Plug(PlugReading),
    /// A part put right.
    Fixed {
        /// Which.
        part: Part,
    },
    /// What was said of an end was not taken: the engine is cold.
    NotJudged,
}
