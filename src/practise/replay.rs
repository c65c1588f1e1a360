//! A recording replayed: every line again, its state held against the recorded one, and whatever is wrong with it told at its place.

use std::io::Write;

use super::recording::{Entry, Header, KIND, Practice, VERSION};
use super::session::Frame;
use super::words::refusal;
use crate::config::{ConfigError, Source};
use crate::tuning::action::Action;
use crate::tuning::episode::{Ending, Refusal};
use crate::tuning::hidden::HiddenError;
use crate::tuning::scenario;

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
    #[error("{path}:1:1: recording of version {found}, but only {VERSION} is known; use the program that wrote it")]
    Version {
        /// The file.
        path: String,
        /// Its version.
        found: u32,
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
    /// An action that the practice refuses.
    #[error("{path}:{line}:1: this can't have happened here ({}); the file was changed, or the models were", refusal(.cause))]
    Refused {
        /// The file.
        path: String,
        /// Line, from 1.
        line: usize,
        /// Why.
        cause: Refusal,
    },
    /// Its scenario or a model can't be used.
    #[error(transparent)]
    Scenario(#[from] HiddenError),
    /// Its scenario can't be read.
    #[error(transparent)]
    Config(#[from] ConfigError),
}

/// A recording replayed.
#[derive(Debug)]
pub struct Replayed {
    /// The practice as it stands after the last whole line.
    pub practice: Practice,
    /// Whole lines after the first.
    pub steps: Vec<Step>,
    /// The last line was cut off.
    pub cut_off: bool,
    /// First line at which the state differs from the recorded one: the models have changed since.
    pub differs_at: Option<usize>,
    /// The practice never came to its end.
    pub ending: Option<Ending>,
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

/// Replays a recording; `out` receives the same recording anew.
///
/// # Errors
/// Not a recording, a damaged one, or one whose scenario can't be used. One that is cut off in its last line replays what is
/// whole.
pub fn replay(source: &Source, out: Option<Box<dyn Write>>) -> Result<Replayed, ReplayError> {
    let path = || source.path.clone();
    if source.text.trim().is_empty() {
        return Err(ReplayError::Empty { path: path() });
    }
    let mut lines = source.text.split_inclusive('\n').enumerate();
    let first = lines.next().map_or("", |(_, line)| line);
    let header: Header = serde_json::from_str(first).map_err(|error| ReplayError::Foreign {
        path: path(),
        column: error.column().max(1),
        cause: plain(&error),
    })?;
    if header.kind != KIND {
        return Err(ReplayError::Foreign {
            path: path(),
            column: 1,
            cause: "its first line says something else".to_string(),
        });
    }
    if header.version != VERSION {
        return Err(ReplayError::Version {
            path: path(),
            found: header.version,
        });
    }
    let scenario = match &header.scenario_text {
        Some(text) => Source::new(&format!("scenario of {}", source.path), text),
        None => scenario::source(&header.scenario)?,
    };
    let mut practice = Practice::begin(&scenario, header.level, header.seed, header.episode, out)?;
    let (mut steps, mut cut_off, mut differs_at) = (Vec::new(), false, None);
    for (index, line) in lines {
        let number = index + 1;
        let entry: Entry = match serde_json::from_str(line) {
            Ok(entry) if line.ends_with('\n') => entry,
            // The writer ends each line in one go: what has no end is not whole.
            _ if !line.ends_with('\n') => {
                cut_off = true;
                break;
            }
            Ok(entry) => entry,
            Err(error) => {
                return Err(ReplayError::Damaged {
                    path: path(),
                    line: number,
                    column: error.column().max(1),
                    cause: plain(&error),
                });
            }
        };
        let state = match entry {
            Entry::Act { action, state, .. } => {
                let frame = practice.act(&action).map_err(|cause| ReplayError::Refused {
                    path: path(),
                    line: number,
                    cause,
                })?;
                steps.push(Step::Act(action, Box::new(frame)));
                Some(state)
            }
            Entry::Pass { ms, state } => {
                practice.pass(ms);
                practice.write_pass();
                steps.push(Step::Pass(ms));
                Some(state)
            }
            Entry::Note { text } => {
                practice.note(&text);
                steps.push(Step::Note(text));
                None
            }
        };
        if differs_at.is_none() && state.is_some_and(|state| state != practice.state()) {
            differs_at = Some(number);
        }
    }
    let ending = practice.session().episode().ending();
    Ok(Replayed {
        practice,
        steps,
        cut_off,
        differs_at,
        ending,
    })
}

/// The reader's words without its own place.
fn plain(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rsplit_once(" at line ")
        .map_or(text.clone(), |(words, _)| words.to_string())
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;
    use std::rc::Rc;

    use super::*;
    use crate::practise::session::Level;

    /// A disk with room for so many bytes.
    #[derive(Clone)]
    struct Disk(Rc<RefCell<Vec<u8>>>, usize);

    impl Write for Disk {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            let room = self.1 - self.0.borrow().len();
            if room == 0 {
                return Err(std::io::ErrorKind::StorageFull.into());
            }
            let taken = room.min(bytes.len());
            self.0.borrow_mut().extend_from_slice(&bytes[..taken]);
            Ok(taken)
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    fn practice(disk: &Disk) -> Practice {
        let source = scenario::source("lesson-1").unwrap();
        Practice::begin(&source, Level::ByEar, 3, 0, Some(Box::new(disk.clone()))).unwrap()
    }

    #[test]
    fn a_full_disk_stops_the_recording_and_keeps_what_was_written() {
        let disk = Disk(Rc::default(), 400);
        let mut practice = practice(&disk);
        for _ in 0..6 {
            practice.act(&Action::Wait { ms: 100 }).unwrap();
        }
        assert_eq!(practice.trouble().unwrap().kind(), std::io::ErrorKind::StorageFull);
        assert!(practice.trouble().is_none(), "said once");
        assert_eq!(practice.session().episode().clock_ms(), 600);
        let text = String::from_utf8(disk.0.borrow().clone()).unwrap();
        let replayed = replay(&Source::new("r", &text), None).unwrap();
        assert!(replayed.cut_off && !replayed.steps.is_empty() && replayed.steps.len() < 6);
    }

    #[test]
    fn time_in_small_steps_is_the_same_time() {
        let disks = [Disk(Rc::default(), 1 << 20), Disk(Rc::default(), 1 << 20)];
        let digests = [(7, 100), (700, 1)].map(|(ms, times)| {
            let mut practice = practice(&disks[usize::from(times == 1)]);
            practice.act(&Action::Start).unwrap();
            practice.act(&Action::Throttle { position: 0.4 }).unwrap();
            for _ in 0..times {
                practice.pass(ms);
            }
            practice.act(&Action::Stop).ok();
            practice.session().episode().digest()
        });
        assert_eq!(digests[0], digests[1]);
        assert_eq!(*disks[0].0.borrow(), *disks[1].0.borrow(), "and the same recording");
    }
}
