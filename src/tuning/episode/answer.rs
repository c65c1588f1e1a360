//! What a practice answers: how it ended, why an action can't be done, and what one brought to light.

use serde::Serialize;

/// How a practice ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
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

/// An action that can't be done now, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The practice is over.
    #[error("the practice is over")]
    Over,
    /// The engine stands.
    #[error("the engine stands; start it first")]
    Standing,
    /// The engine runs.
    #[error("the engine runs; stop it first")]
    Running,
    /// Too far at once.
    #[error("that is too far at once: turn by at most 2 turns")]
    TooFar,
    /// The screw is at its end.
    #[error("the screw is at its end and does not turn further")]
    AtEnd,
    /// A number out of its range.
    #[error("out of range: throttle 0 to 1, at most 600 seconds at a time, 1 to 20 laps, sureness 34 to 100 percent")]
    Range,
    /// Judging comes before turning.
    #[error("a needle has been turned: judging the ends comes before the first turn")]
    TooLate,
    /// Only the two ends are judged.
    #[error("only the high and the low end can be judged")]
    NoEnd,
}

/// What an action brought to light, besides what is heard.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// Head temperature by the gun, °C.
    Gun(f64),
    /// What was seen, in words.
    Seen(String),
}
