//! What a practice answers, as data: how it ended, why an action can't be done, and what one brought to light.

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

use super::heard::Missing;
use crate::bench::instruments::{Exit, PinchRise, PlugReading, Straight, WayIn};
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
        | Action::RollOn
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
    /// Signing off asks for what has not been heard since the last turn.
    Unheard {
        /// What is missing.
        missing: Missing,
    },
}

/// Why warming up has ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Warmed {
    /// It is warm.
    Warm,
    /// Its time is over, and it is not warm.
    TimeOver,
    /// The engine died.
    Died,
    /// It was warm before.
    Before,
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
        /// The old one was at fault, as one sees once it is out.
        was_at_fault: bool,
    },
    /// A stage signed off that was not the last.
    SignedOff {
        /// Every check passed, and nothing was left at fault.
        clean: bool,
    },
    /// Laps: the straight.
    Straight {
        /// How it was.
        straight: Straight,
    },
    /// Laps: the way out of the corners.
    Corner {
        /// How it was.
        exit: Exit,
    },
    /// Laps: the idle on the way in.
    WayIn {
        /// How it was.
        way_in: WayIn,
    },
    /// It was warmed up.
    Warmed {
        /// What the gun shows then.
        head_c: f64,
        /// Why it was left at that.
        until: Warmed,
    },
    /// The head is hotter than one comes in with from laps.
    HeadHot,
    /// How far a plug's colour is to be trusted, for who is guided.
    TrustPlug,
    /// What was done has let the engine go cold.
    Cooled {
        /// What the gun shows now.
        head_c: f64,
    },
    /// What was said of an end was not taken: the engine is cold.
    NotJudged,
    /// The same, and it is taken when it is said once more.
    SayAgain,
}

impl Found {
    /// What the gun showed, if it was read.
    pub fn gun_c(&self) -> Option<f64> {
        match self {
            Self::Gun { head_c } | Self::Warmed { head_c, .. } | Self::Cooled { head_c } => Some(*head_c),
            _ => None,
        }
    }
}
