//! A recording replayed: every line again, held against what is written, and whatever is wrong with it told at its place.
//!
//! Three things can be wrong with a recording that reads well. It can be cut off. Its chain of links can be broken: then somebody
//! changed the file, and what stands before that line is replayed. Or its states can differ while its links are right: then the models
//! have changed since, and the actions are replayed with today's.

use std::io::{BufRead, Write};

use super::lines::{Entry, Lines, Next};
use super::recording::Practice;
use super::session::Frame;
pub use super::unreadable::ReplayError;
use crate::config::Source;
use crate::tuning::action::Action;
use crate::tuning::scenario::{self, Scenario};

/// A recording replayed.
#[derive(Debug)]
pub struct Replayed {
    /// The practice as it stands after the last line replayed.
    pub practice: Practice,
    /// The last line was cut off, or the ending is missing behind the action that ended it.
    pub cut_off: bool,
    /// First line that does not follow what stands before it: the file was changed there, and nothing from there on was replayed.
    pub changed_at: Option<usize>,
    /// First line that comes out otherwise than recorded: the models have changed since.
    pub differs_at: Option<usize>,
}

impl Replayed {
    /// Whether the practice still runs, as far as its file tells: then what is hidden stays hidden.
    pub fn running(&self) -> bool {
        self.practice.session().episode().ending().is_none()
    }

    /// Whether it was replayed to its last line exactly.
    pub fn exact(&self) -> bool {
        !self.cut_off && self.changed_at.is_none() && self.differs_at.is_none()
    }
}

/// One replayed line.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// An action and what it showed.
    Act(Action, Box<Frame>),
    /// Time passed, ms.
    Pass(u32),
    /// A remark.
    Note(String),
}

/// Replays a recording; `out` receives the same recording anew, `begin` the practice before its first step, `show` each step.
///
/// # Errors
/// Not a recording, a damaged one, or one whose scenario can't be used. One that is cut off in its last line replays what is
/// whole.
pub fn replay(
    path: &str,
    reader: impl BufRead,
    out: Option<Box<dyn Write>>,
    mut show: impl FnMut(&Practice, Option<Step>),
) -> Result<Replayed, ReplayError> {
    let mut lines = Lines::new(path, reader);
    let (first, header) = lines.header()?;
    let text = match &header.scenario_text {
        Some(text) => Source::new(&format!("scenario of {path}"), text),
        None => scenario::built_in(&header.scenario)?,
    };
    let scenario = Scenario::carried(&text, header.files.clone())?;
    let (mut practice, written) = Practice::again(header, scenario, out)?;
    let (mut cut_off, mut changed_at) = (false, None);
    let mut differs_at = (written != first.text).then_some(1);
    show(&practice, None);
    loop {
        let line = match lines.next()? {
            Next::Line(line) => line,
            Next::CutOff => {
                cut_off = true;
                break;
            }
            Next::End => break,
        };
        let entry = lines.entry(&line)?;
        if !line.linked {
            changed_at = Some(line.number);
            break;
        }
        let step = match entry {
            Entry::Act { action, .. } => match practice.act(&action) {
                Ok(frame) => Some(Step::Act(action, Box::new(frame))),
                // Today's models have brought it to where that can't be done: whatever follows is another practice.
                Err(_) => {
                    differs_at = differs_at.or(Some(line.number));
                    break;
                }
            },
            Entry::Pass { ms, .. } => {
                practice.pass(ms);
                practice.write_pass();
                Some(Step::Pass(ms))
            }
            Entry::Note { text } => {
                practice.note(&text);
                Some(Step::Note(text))
            }
            Entry::End(_) => None,
        };
        if practice.line_written().as_ref() != Some(&line.text) {
            differs_at = differs_at.or(Some(line.number));
        }
        if let Some(step) = step {
            show(&practice, Some(step));
        }
    }
    // The ending follows the action that brought it about: without it the file was cut off between two lines.
    let ending_missing = practice.line_written().is_some();
    Ok(Replayed {
        cut_off: cut_off || ending_missing && changed_at.is_none() && differs_at.is_none(),
        practice,
        changed_at,
        differs_at,
    })
}
