//! Why a recording can't be read or replayed: each with the place and the remedy in one line.

use crate::config::ConfigError;
use crate::tuning::hidden::HiddenError;

/// Why a recording can't be replayed.
#[derive(Debug, thiserror::Error)]
pub enum ReplayError {
    /// Nothing in it.
    #[error("{path}:1:1: the file is empty; a recording begins with a line about its practice")]
    Empty {
        /// The file.
        path: String,
    },
    /// Not a recording.
    #[error(
        "{path}:1:{column}: this is no recording of a practice ({cause}); name a file that `needlebench practise` wrote"
    )]
    Foreign {
        /// The file.
        path: String,
        /// Where reading stopped.
        column: usize,
        /// What the reader said.
        cause: String,
    },
    /// Another version.
    #[error("{path}:1:1: recording of version {found}, but only {known} is known; use the program that wrote it")]
    Version {
        /// The file.
        path: String,
        /// Its version.
        found: u32,
        /// The version that is known.
        known: u32,
    },
    /// The first line was changed: what follows belongs to another practice.
    #[error(
        "{path}:1:1: this line was changed after it was written, so nothing that follows belongs to it; use the file as it was"
    )]
    HeaderChanged {
        /// The file.
        path: String,
    },
    /// A damaged line that is not the last.
    #[error(
        "{path}:{line}:{column}: damaged line ({cause}); delete this line and those after it to replay what is before"
    )]
    Damaged {
        /// The file.
        path: String,
        /// Line, from 1.
        line: usize,
        /// Where reading stopped.
        column: usize,
        /// What the reader said.
        cause: String,
    },
    /// A number that no practice writes.
    #[error("{path}:{line}:1: this can't have happened ({cause}); the file was changed: use it as it was written")]
    OutOfRange {
        /// The file.
        path: String,
        /// Line, from 1.
        line: usize,
        /// Which, and what is allowed.
        cause: String,
    },
    /// The system failed to deliver it.
    #[error("{path}: it can't be read ({cause}); check the disk or copy the file")]
    Read {
        /// The file.
        path: String,
        /// What the system said.
        cause: std::io::Error,
    },
    /// Its scenario or a model can't be used.
    #[error(transparent)]
    Scenario(#[from] HiddenError),
    /// Its scenario can't be read.
    #[error(transparent)]
    Config(#[from] ConfigError),
}
