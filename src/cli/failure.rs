//! Why a command could not run: wrong usage, a file that can't be used, or a result that can't be written.
//!
//! Every one ends in exit code 2, with one message that names the place or the flag, what is allowed, and the remedy.

use needlebench::config::{ConfigError, SetupError};
use needlebench::fluids::equilibrium::EquilibriumError;
use needlebench::plot::PlotError;
use needlebench::practise::replay::ReplayError;
use needlebench::sound::WavError;
use needlebench::tuning::hidden::HiddenError;

/// Why a command could not run.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A model's file, or a name that isn't built in.
    #[error(transparent)]
    Config(#[from] ConfigError),
    /// Flags that don't go together, or a value only wrong beside another.
    #[error("{flag}: {what}; allowed: {allowed}; {remedy}")]
    Usage {
        /// The flag or flags.
        flag: &'static str,
        /// What is wrong.
        what: String,
        /// What is allowed.
        allowed: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// A throttle trace that can't be used.
    #[error("{path}:{line}:{column}: {what}; allowed: {allowed}; {remedy}")]
    Trace {
        /// The file.
        path: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong.
        what: String,
        /// What is allowed.
        allowed: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// The fuel's heat can't be computed.
    #[error("the heat of this fuel can't be computed: {0}; choose another blend")]
    Heat(#[from] EquilibriumError),
    /// A scenario that can't be started.
    #[error(transparent)]
    Scenario(#[from] HiddenError),
    /// A recording that can't be replayed.
    #[error(transparent)]
    Recording(#[from] ReplayError),
    /// Some of several files can't be used; each was told by itself.
    #[error("{bad} of {all} files can't be used")]
    Files {
        /// How many are bad.
        bad: usize,
        /// How many there are.
        all: usize,
    },
    /// Some lines of standard input can't be used; each was told by itself.
    #[error(
        "{bad} of {all} lines can't be used; `needlebench advise --words` lists what can be written, with what it means"
    )]
    Lines {
        /// How many are bad.
        bad: usize,
        /// How many there are.
        all: usize,
    },
    /// A picture that can't be drawn.
    #[error(transparent)]
    Plot(#[from] PlotError),
    /// A sound that becomes no file.
    #[error("--sound: {0}")]
    Sound(#[from] WavError),
    /// A result that can't be written; nothing was.
    #[error("{path}: it can't be written ({cause}); nothing was; {remedy}")]
    Output {
        /// The file.
        path: String,
        /// What the system said.
        cause: std::io::Error,
        /// What to do.
        remedy: &'static str,
    },
    /// A recording that would go where something is already.
    #[error(
        "{path}: there is {what} of this name already, and a recording overwrites nothing; name a new file, or leave out \
         --record for a new one in the practices' folder"
    )]
    Exists {
        /// The file.
        path: String,
        /// What is there.
        what: &'static str,
    },
    /// The terminal can't be drawn on or read.
    #[error(
        "the terminal can't be used ({cause}); what is recorded is kept; `needlebench practise --plain` goes line by line"
    )]
    Terminal {
        /// What the system said.
        cause: std::io::Error,
    },
    /// The page can't be served.
    #[error("the page can't be served ({cause}); `needlebench practise --terminal` practises in this terminal")]
    Served {
        /// What the system said.
        cause: std::io::Error,
    },
    /// A row of a study's file that can't be used.
    #[error("{path}:{line}:1: {what}; {remedy}")]
    Row {
        /// The file.
        path: String,
        /// Line, from 1.
        line: usize,
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: &'static str,
    },
    /// Parts of a study that don't make up a whole.
    #[error("{what}; {remedy}")]
    Parts {
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: &'static str,
    },
    /// Rows that would go where something is already.
    #[error(
        "{path}: there is something in it already; --resume goes on from the rows of this study, or name a new file"
    )]
    RowsThere {
        /// The file.
        path: String,
    },
    /// A file to which another run adds rows.
    #[error("{path}: another run is writing to it; wait for that, or name another file")]
    Busy {
        /// The file.
        path: String,
    },
    /// Rows that could not be added on the way.
    #[error(
        "{path}: no more rows can be written ({cause}); those before are kept; make room there, then --resume goes on"
    )]
    RowsStopped {
        /// The file.
        path: String,
        /// What the system said.
        cause: std::io::Error,
    },
    /// A recording that stopped on the way.
    #[error(
        "{path}: recording stopped ({cause}); what was written before is kept and replays; make room there, or name another \
         place with --record FILE"
    )]
    Stopped {
        /// The recording.
        path: String,
        /// What the system said.
        cause: String,
    },
}

impl From<SetupError> for Failure {
    fn from(error: SetupError) -> Self {
        match error {
            SetupError::Config(error) => Self::Config(error),
            SetupError::Heat(error) => Self::Heat(error),
        }
    }
}
