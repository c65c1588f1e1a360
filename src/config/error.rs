//! What can be wrong with a file, each with the place, the allowed range and the remedy.
//!
//! Every message is one line that starts with the place, so that editors and people find it.

use std::fmt;

use crate::config::{names, unit};
use crate::parameters::Key;

/// A place in a file: counted from 1, columns in characters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file as the user named it.
    pub path: Box<str>,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}", self.path, self.line, self.column)
    }
}

/// What is to be changed in a file that was written for an earlier edition.
#[derive(Clone, Debug, PartialEq)]
pub enum Amend {
    /// A key that nothing asks for any more.
    Delete {
        /// Its table.
        group: &'static str,
        /// The key.
        key: &'static str,
        /// What became of it.
        why: &'static str,
    },
    /// A number that is wanted.
    Add {
        /// Its table.
        group: &'static str,
        /// The key.
        key: &'static Key,
        /// A value to start from.
        start: Option<f64>,
    },
}

impl fmt::Display for Amend {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Delete { group, key, why } => write!(f, "[{group}] has `{key}`, which {why}; delete it"),
            Self::Add { group, key, start } => {
                let (range, meaning) = (unit::range(key), unit::meaning(key));
                write!(f, "[{group}] lacks `{}`, {range} ({meaning}); add it", key.name)?;
                start.map_or(Ok(()), |value| write!(f, ", say `{} = {value}`", key.name))
            }
        }
    }
}

/// Changes told one by one: a file lacks more only if it was never a model.
const MOST_AMENDS: usize = 12;

/// Changes on one line.
fn amended(amends: &[Amend], model: &str) -> String {
    let told = amends.iter().take(MOST_AMENDS).map(ToString::to_string);
    let told = told.collect::<Vec<_>>().join("; ");
    let more = match amends.len().saturating_sub(MOST_AMENDS) {
        0 => String::new(),
        more => format!("; and {more} more"),
    };
    format!("{told}{more} (values to start from: those of `needlebench models show {model} --toml`)")
}

/// A file that can't be used, and what to do about it.
#[derive(Debug, thiserror::Error)]
pub enum ConfigError {
    /// There is no such file.
    #[error("{path}: there is no such file; check the path")]
    NotFound {
        /// The file.
        path: String,
    },
    /// A directory stands where a file is wanted.
    #[error("{path}: this is a directory; name a file in it")]
    Directory {
        /// The directory.
        path: String,
    },
    /// The user may not read it.
    #[error("{path}: no permission to read it; change its permissions or copy it")]
    Permission {
        /// The file.
        path: String,
    },
    /// The system failed to deliver it.
    #[error("{path}: it can't be read ({cause}); check the disk or copy the file")]
    Read {
        /// The file.
        path: String,
        /// What the system said.
        cause: std::io::Error,
    },
    /// It is larger than any sensible model.
    #[error("{path}: larger than {limit} bytes, the most that is read; is it the right file?")]
    TooLarge {
        /// The file.
        path: String,
        /// The most that is read, bytes.
        limit: u64,
    },
    /// Bytes that aren't text.
    #[error("{place}: not UTF-8 text; save the file as UTF-8")]
    NotText {
        /// The first such byte.
        place: Place,
    },
    /// Nothing in it.
    #[error("{place}: the file says nothing; start from a built-in one: `needlebench models show NAME --toml`")]
    Empty {
        /// Its beginning.
        place: Place,
    },
    /// Not TOML.
    #[error(
        "{place}: not valid TOML ({message}); write lines like `displacement_cm3 = 3.5` and tables like `[geometry]`"
    )]
    Syntax {
        /// Where reading stopped.
        place: Place,
        /// What the reader said.
        message: String,
    },
    /// A key or table that nothing asks for.
    #[error("{place}: {table} has no {} `{key}`{hint}", if *is_table { "table" } else { "key" })]
    Unknown {
        /// The key.
        place: Place,
        /// The table it stands in, in words.
        table: String,
        /// Whether it is a table.
        is_table: bool,
        /// The key as written.
        key: String,
        /// The nearest known one, or all of them, in words.
        hint: String,
    },
    /// A known quantity in another unit.
    #[error(
        "{place}: `{written}` has the wrong unit: {table} wants `{}`, allowed {}; convert the value and rename the key",
        wanted.name, unit::range(wanted)
    )]
    WrongUnit {
        /// The key.
        place: Place,
        /// The table it stands in, in words.
        table: String,
        /// The key as written.
        written: String,
        /// The key that is wanted.
        wanted: &'static Key,
    },
    /// A number that has to be there.
    #[error("{place}: {table} lacks `{}`, {} ({}); add it", key.name, unit::range(key), unit::meaning(key))]
    MissingNumber {
        /// The table.
        place: Place,
        /// The table, in words.
        table: String,
        /// The key that is wanted.
        key: &'static Key,
    },
    /// A file with keys that are no more, or without some that are wanted: an earlier edition's, perhaps.
    #[error("{place}: {}", amended(amends, model))]
    Outdated {
        /// The first key that is no more, or else the first table that lacks one.
        place: Place,
        /// What is to be changed.
        amends: Vec<Amend>,
        /// The built-in model whose values are offered.
        model: &'static str,
    },
    /// A text or table that has to be there.
    #[error("{place}: {table} lacks the {what} `{key}`; add it")]
    Missing {
        /// The table.
        place: Place,
        /// The table, in words.
        table: String,
        /// "text" or "table".
        what: &'static str,
        /// The key that is wanted.
        key: String,
    },
    /// A value of another kind.
    #[error("{place}: `{key}` is {found}, but {wanted} is wanted{hint}")]
    WrongType {
        /// The value.
        place: Place,
        /// The key.
        key: String,
        /// What it is.
        found: &'static str,
        /// What is wanted.
        wanted: &'static str,
        /// Remedy.
        hint: String,
    },
    /// Not a number, or infinite.
    #[error("{place}: `{}` is not a finite number; allowed {}; write a plain number", key.name, unit::range(key))]
    NotFinite {
        /// The value.
        place: Place,
        /// The key.
        key: &'static Key,
    },
    /// Outside what is allowed.
    #[error(
        "{place}: `{}` = {value} is out of range; allowed {} ({}); change the value",
        key.name, unit::range(key), unit::meaning(key)
    )]
    OutOfRange {
        /// The value.
        place: Place,
        /// The key.
        key: &'static Key,
        /// The value as written.
        value: f64,
    },
    /// A text of no use.
    #[error(
        "{place}: `{key}` has {characters} characters; allowed 1 to {most} on one line, no control characters; change the text"
    )]
    TextLength {
        /// The value.
        place: Place,
        /// The key.
        key: String,
        /// How many it has.
        characters: usize,
        /// How many it may have.
        most: usize,
    },
    /// Two values that don't go together.
    #[error("{place}: {what}; {remedy}")]
    Together {
        /// The later of the two.
        place: Place,
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: &'static str,
    },
    /// A file that names a model that isn't built in.
    #[error("{place}: there is no {kind} `{name}`{hint}")]
    UnknownReference {
        /// The value.
        place: Place,
        /// "fuel" or "plug".
        kind: &'static str,
        /// The name as written.
        name: String,
        /// The nearest known one, or all of them, in words.
        hint: String,
    },
    /// A file of no known kind.
    #[error(
        "{place}: neither an engine ([geometry]), a fuel ([blend]), a plug ([plug]), laws ([film]) nor an ensemble ([laws]); start from a built-in \
         one: `needlebench models show NAME --toml`"
    )]
    UnknownKind {
        /// Its beginning.
        place: Place,
    },
    /// A file of one's own that a recording should carry.
    #[error(
        "{path}: this {kind} is not among the files that the recording carries; use the recording as it was written"
    )]
    NotCarried {
        /// "engine", "fuel" or "plug".
        kind: &'static str,
        /// The file as named.
        path: String,
    },
    /// A name on the command line that isn't built in.
    #[error("there is no {kind} `{name}`{hint}; or give a path that ends in .toml")]
    UnknownModel {
        /// "engine", "fuel" or "plug".
        kind: &'static str,
        /// The name as given.
        name: String,
        /// The nearest known one, or all of them, in words.
        hint: String,
    },
}

impl ConfigError {
    /// A name that is none of the known ones.
    pub fn no_such(place: Place, kind: &'static str, name: &str, known: &[&str]) -> Self {
        let name: String = name.chars().take(60).collect::<String>().escape_debug().to_string();
        Self::UnknownReference {
            place,
            kind,
            hint: names::hint(&name, known),
            name,
        }
    }
}
