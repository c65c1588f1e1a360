//! The lines of a recording: what stands in them, how each is linked to all before it, and how they are read within bounds.
//!
//! A recording is text, one JSON object a line: first a header, then an entry for every action, every stretch of time and every remark,
//! and at last the ending. Whoever reads a practice that still runs learns nothing hidden: what was drawn, the true setting and the
//! score stand in the ending alone. Two digests close a line. Its `state` is that of the practice after it, chained, and tells whether
//! today's models go the same way. Its `link` is that of its own text and all lines before, and tells whether the file is as it was
//! written: a line edited, left out or doubled by accident breaks the chain there.

use std::io::{BufRead, Read as _};

use serde::{Deserialize, Serialize};

use super::session::Level;
use super::unreadable::ReplayError;
use super::words::refusal;
use crate::config::OwnFiles;
use crate::digest::Digest;
use crate::engine::params::Setting;
use crate::tuning::action::Action;
use crate::tuning::drawn::Drawn;
use crate::tuning::episode::{Ending, in_range};
use crate::tuning::human::Errors;
use crate::tuning::par::Par;
use crate::tuning::score::Score;

/// Version of the format.
pub(super) const VERSION: u32 = 2;
/// What the first line says it is.
pub(super) const KIND: &str = "needlebench practice";
/// Longest stretch of time in one line, ms: it is written out at least this often.
pub(super) const PASS_MS: u32 = 1000;
/// Longest remark of one line, bytes; a longer one takes several.
pub(super) const NOTE_BYTES: usize = 4096;
/// Longest line that is read, bytes: six files of the largest size that is read, every letter of them escaped.
const LINE_BYTES: u64 = 32 << 20;

/// The first line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Header {
    pub kind: String,
    pub version: u32,
    /// Fingerprint of the models it was practised with.
    pub model: String,
    /// When it began, milliseconds since 1970; none where nobody said.
    pub begun_unix_ms: Option<u64>,
    pub scenario: String,
    /// The scenario's file, where it is not built in.
    pub scenario_text: Option<String>,
    /// Own engines, fuels and plugs by their paths.
    pub files: OwnFiles,
    pub seed: u64,
    pub episode: u64,
    pub level: Level,
    pub state: String,
}

/// What every version's first line says.
#[derive(Deserialize)]
pub(super) struct Kind {
    pub kind: String,
    pub version: u32,
}

/// Any later line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Entry {
    /// An action.
    Act {
        action: Action,
        clock_ms: u64,
        state: String,
    },
    /// Time that passed at the caller's pace.
    Pass { ms: u32, state: String },
    /// A remark for the notebook.
    Note { text: String },
    /// The ending, with all that was hidden.
    End(Box<End>),
}

/// The last line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct End {
    pub ending: Ending,
    pub score: Score,
    /// Least needle turns, idle-stop trims and rotation; where it ended clean.
    pub par: Option<LeastTurning>,
    /// Openings at the start, turns: high, low, idle.
    pub start_turns: [f64; 3],
    /// Openings at the true setting, turns.
    pub truth_turns: [f64; 3],
    /// What chance drew.
    pub drawn: Drawn,
    /// What hand and ear got wrong.
    pub errors: Errors,
}

/// Par as numbers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LeastTurning {
    pub turns: u32,
    pub idle_trims: u32,
    pub rotation_turns: f64,
}

impl From<&Par> for LeastTurning {
    fn from(par: &Par) -> Self {
        Self {
            turns: par.turns,
            idle_trims: par.idle_trims,
            rotation_turns: par.rotation_turns,
        }
    }
}

/// A setting as three numbers.
pub(super) fn three(setting: Setting) -> [f64; 3] {
    [setting.high_turns, setting.low_turns, setting.idle_turns]
}

impl Entry {
    /// What is wrong with its numbers, if they are none that a practice writes.
    fn out_of_range(&self) -> Option<String> {
        match self {
            Self::Act { action, .. } => in_range(action).err().map(|refused| refusal(&refused)),
            Self::Pass { ms, .. } => (!(1..=PASS_MS).contains(ms))
                .then(|| format!("a stretch of {ms} ms is out of range; allowed 1 to {PASS_MS}")),
            Self::Note { text } => (text.len() > NOTE_BYTES)
                .then(|| format!("a remark of {} bytes is too long; allowed {NOTE_BYTES}", text.len())),
            Self::End(_) => None,
        }
    }
}

/// The chain of links through a recording.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Chain(u64);

/// What stands before the sixteen digits of a link, and after them.
const LINK: (&str, &str) = (",\"link\":\"", "\"}");

impl Chain {
    /// The link of a text that comes next.
    fn next(&mut self, text: &str) -> u64 {
        let mut digest = Digest::from(self.0);
        digest.text(text);
        self.0 = digest.value();
        self.0
    }

    /// A JSON object with its link, as a line without its end.
    pub fn close(&mut self, object: &str) -> String {
        let open = object.strip_suffix('}').unwrap_or(object);
        format!("{open}{}{:016x}{}", LINK.0, self.next(open), LINK.1)
    }

    /// The JSON object of a line, and whether its link is the right one; none for a line without one.
    fn open(&mut self, line: &str) -> Option<(String, bool)> {
        let before = line.strip_suffix(LINK.1)?;
        let (open, digits) = before.split_at_checked(before.len().checked_sub(16)?)?;
        let open = open.strip_suffix(LINK.0)?;
        let right = format!("{:016x}", self.next(open)) == digits;
        Some((format!("{open}}}"), right))
    }

    /// A digest of everything up to here.
    pub fn value(self) -> u64 {
        self.0
    }
}

/// A whole line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Line {
    /// Its number, from 1.
    pub number: usize,
    /// As it stands, without its end.
    pub text: String,
    /// The JSON object in it without the link.
    pub object: String,
    /// It follows what stands before it.
    pub linked: bool,
}

/// What comes next in a recording.
#[derive(Debug)]
pub(super) enum Next {
    /// A line.
    Line(Line),
    /// One that was cut off: the writer ends each line in one go, so what has no end is not whole.
    CutOff,
    /// Nothing.
    End,
}

/// Reads line by line, so that a recording may be as long as it likes.
#[derive(Debug)]
pub(super) struct Lines<R> {
    path: String,
    reader: R,
    number: usize,
    chain: Chain,
}

impl<R: BufRead> Lines<R> {
    pub fn new(path: &str, reader: R) -> Self {
        Self {
            path: path.to_string(),
            reader,
            number: 0,
            chain: Chain::default(),
        }
    }

    /// A digest of everything read.
    pub fn digest(&self) -> u64 {
        self.chain.value()
    }

    pub fn damaged(&self, column: usize, cause: impl ToString) -> ReplayError {
        ReplayError::Damaged {
            path: self.path.clone(),
            line: self.number,
            column: column.max(1),
            cause: cause.to_string(),
        }
    }

    pub fn next(&mut self) -> Result<Next, ReplayError> {
        self.number += 1;
        let mut bytes = Vec::new();
        let read = (&mut self.reader).take(LINE_BYTES).read_until(b'\n', &mut bytes);
        if let Err(cause) = read {
            return Err(ReplayError::Read {
                path: self.path.clone(),
                cause,
            });
        }
        if bytes.pop_if(|last| *last == b'\n').is_none() {
            return match bytes.len() as u64 {
                0 => Ok(Next::End),
                LINE_BYTES => Err(self.damaged(1, format!("longer than {LINE_BYTES} bytes"))),
                _ => Ok(Next::CutOff),
            };
        }
        let text = match String::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => return Err(self.damaged(error.utf8_error().valid_up_to() + 1, "not UTF-8 text")),
        };
        let (object, linked) = match self.chain.open(&text) {
            Some(opened) => opened,
            // The JSON reader says best what is wrong with it.
            None => (text.clone(), false),
        };
        Ok(Next::Line(Line {
            number: self.number,
            text,
            object,
            linked,
        }))
    }

    /// The entry of a line.
    pub fn entry(&self, line: &Line) -> Result<Entry, ReplayError> {
        let entry: Entry =
            serde_json::from_str(&line.object).map_err(|error| self.damaged(error.column(), plain(&error)))?;
        match entry.out_of_range() {
            None => Ok(entry),
            Some(cause) => Err(ReplayError::OutOfRange {
                path: self.path.clone(),
                line: line.number,
                cause,
            }),
        }
    }

    /// The first line and its header.
    pub fn header(&mut self) -> Result<(Line, Header), ReplayError> {
        let next = self.next();
        let path = self.path.clone();
        let foreign = |column: usize, cause: &str| ReplayError::Foreign {
            path: path.clone(),
            column: column.max(1),
            cause: cause.to_string(),
        };
        let line = match next {
            Ok(Next::Line(line)) => line,
            Ok(Next::End) => return Err(ReplayError::Empty { path }),
            Ok(Next::CutOff) => return Err(foreign(1, "its first line has no end")),
            Err(ReplayError::Damaged { column, cause, .. }) => return Err(foreign(column, &cause)),
            Err(other) => return Err(other),
        };
        let unread = |error: serde_json::Error| foreign(error.column(), &plain(&error));
        let Kind { kind, version } = serde_json::from_str(&line.object).map_err(unread)?;
        if kind != KIND {
            return Err(foreign(1, "its first line says something else"));
        }
        if version != VERSION {
            return Err(ReplayError::Version {
                path,
                found: version,
                known: VERSION,
            });
        }
        let header: Header = serde_json::from_str(&line.object).map_err(unread)?;
        if !line.linked {
            return Err(ReplayError::HeaderChanged { path });
        }
        Ok((line, header))
    }
}

/// The reader's words without its own place.
fn plain(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rsplit_once(" at line ")
        .map_or(text.clone(), |(words, _)| words.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn linked(text: &str) -> Vec<bool> {
        let mut lines = Lines::new("r", text.as_bytes());
        let mut all = Vec::new();
        while let Ok(Next::Line(line)) = lines.next() {
            all.push(line.linked);
        }
        all
    }

    #[test]
    fn a_line_edited_left_out_or_doubled_breaks_the_chain_at_its_place() {
        let mut chain = Chain::default();
        let lines: Vec<String> = (0..6)
            .map(|i| chain.close(&format!("{{\"note\":{{\"text\":\"{}\"}}}}", i / 3)) + "\n")
            .collect();
        assert_eq!(linked(&lines.concat()), [true; 6]);
        // Line 3 left out, doubled, edited, swapped with the next.
        let without = [&lines[..2], &lines[3..]].concat().concat();
        assert_eq!(linked(&without)[..3], [true, true, false]);
        let doubled = [&lines[..3], &lines[2..]].concat().concat();
        assert_eq!(linked(&doubled)[..4], [true, true, true, false]);
        let edited = lines.concat().replacen("\"1\"", "\"2\"", 1);
        assert_eq!(linked(&edited)[..4], [true, true, true, false]);
        let swapped = [&lines[..2], &[lines[3].clone(), lines[2].clone()], &lines[4..]]
            .concat()
            .concat();
        assert_eq!(linked(&swapped)[..3], [true, true, false]);
    }

    #[test]
    fn a_line_is_bounded_before_it_is_read() {
        let mut lines = Lines::new("r", std::io::BufReader::new(std::io::repeat(b'x')));
        let error = lines.next().unwrap_err().to_string();
        assert!(
            error.starts_with("r:1:1: damaged line (longer than 33554432 bytes)"),
            "{error}"
        );
    }
}
