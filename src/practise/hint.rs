//! The next sensible thing to try, and why: what the book says to what was heard so far. It knows no more than the frames showed.

use serde::Serialize;

use crate::tuning::strategy::advice::Advice;

/// Something to try, as a command of the line mode, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Hint {
    /// The command.
    pub attempt: &'static str,
    /// The reason.
    pub because: &'static str,
}

impl From<Advice> for Hint {
    fn from(advice: Advice) -> Self {
        Self {
            attempt: advice.line,
            because: advice.because,
        }
    }
}
