//! Recordings: a few practices as they are recorded, changed and replayed. What is read of them makes a line of the learner's
//! curve.

use std::cell::RefCell;
use std::io::Write;
use std::rc::Rc;

use needlebench::practise::curve_text::text;
use needlebench::practise::progress::{curve, read};
use needlebench::practise::recording::Practice;
use needlebench::practise::replay::{ReplayError, replay};
use needlebench::practise::session::Level;
use needlebench::practise::skills::Skills;
use needlebench::practise::words::{self, Line};
use needlebench::tuning::scenario::source;

use super::draw::Draw;
use super::finite::no_number;
use super::{Outcome, Subject};

/// What is recorded, in words.
const LINES: &str = "start\nfull 1\nhigh in 1/8\nblip\nlow out 1/24\ngun\nwait 2\njudge high rich 60\nnote less smoke\nidle in 1/8\nstop\n";

/// A file in memory.
#[derive(Clone, Default)]
struct Memory(Rc<RefCell<Vec<u8>>>);

impl Write for Memory {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// The recordings to change.
pub struct Recordings {
    texts: Vec<String>,
}

fn recorded(scenario: &str, level: Level, own: bool) -> String {
    let mut source = source(scenario).expect("built in");
    if own {
        source.text += "\n# one's own\n";
    }
    let memory = Memory::default();
    let out: Box<dyn Write> = Box::new(memory.clone());
    let mut practice = Practice::begin(&source, level, 1, 0, Some(out)).expect("it can be won");
    for line in LINES.lines() {
        match words::read(line) {
            // What can't be done now isn't recorded.
            Ok(Line::Act(action)) => drop(practice.act(&action)),
            Ok(Line::Note(text)) => practice.note(&text),
            other => panic!("{line}: {other:?}"),
        }
        practice.pass(700);
    }
    drop(practice);
    String::from_utf8(memory.0.take()).expect("text")
}

/// A short recording, for who needs one.
pub fn short() -> String {
    recorded("lesson-1", Level::ByEar, false)
}

impl Recordings {
    pub fn new() -> Self {
        Self {
            texts: vec![
                recorded("lesson-1", Level::Guided, false),
                recorded("lesson-1", Level::ByEar, true),
            ],
        }
    }
}

impl Subject for Recordings {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        let which = draw.below(self.texts.len());
        *shown = draw.change(&self.texts[which]);
        let mut outcome = Outcome {
            tried: 1,
            parsed: 1,
            ..Outcome::default()
        };
        // What makes a line of the curve reads less closely than a replay, and must not show nonsense either.
        if let Ok(told) = read("changed.jsonl", shown.as_bytes()) {
            let practices = curve(vec![told], true).0;
            outcome.fault = no_number(&text(&practices, &Skills::of(&practices, &[])));
        }
        match replay("changed.jsonl", shown.as_bytes(), None, |_, _| {}) {
            Ok(_) => {}
            Err(error) => {
                outcome.refused = 1;
                let first = matches!(error, ReplayError::Empty { .. } | ReplayError::Foreign { .. });
                outcome.parsed = u64::from(!first);
                let message = error.to_string();
                if message.is_empty() || message.contains('\n') {
                    outcome.fault = Some(format!("a message of no or several lines: {message}"));
                }
            }
        }
        outcome
    }
}
