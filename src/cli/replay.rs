//! `needlebench replay`: a recorded practice again, exactly.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;
use needlebench::config::Source;
use needlebench::practise::debrief::Debrief;
use needlebench::practise::replay::{Step, replay};
use needlebench::practise::{show, words};

use super::{Answer, Failure, output, places, practise};

/// A recorded practice again, exactly
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench replay practice.jsonl\n  \
    needlebench replay practice.jsonl --record again.jsonl\n\n\
    Exit code 0: replayed to the last line exactly; 1: it was cut off, or the models have changed since.")]
pub struct Arguments {
    /// The recording
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Record the replay, which gives the same bytes; `-` for standard output instead of the text
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
}

/// Collects what is recorded, to be written whole.
#[derive(Clone, Default)]
struct Shared(std::rc::Rc<std::cell::RefCell<Vec<u8>>>);

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Replays and shows every step.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let record = arguments.record.as_deref();
    let alone = record.is_some_and(places::is_standard);
    let mut written = Vec::new();
    written.extend((!alone).then_some(("the text", Path::new("-"))));
    written.extend(record.map(|path| ("--record", path)));
    places::apart(&[("FILE", arguments.file.as_path())], &written)?;
    let source = Source::read(&arguments.file)?;
    let copy = Shared::default();
    let replayed = replay(&source, Some(Box::new(copy.clone())))?;
    let session = replayed.practice.session();
    let mut text = show::card(session);
    for step in &replayed.steps {
        match step {
            Step::Act(action, frame) => text += &format!("> {}\n{}", words::exactly(action), show::frame(frame)),
            Step::Pass(ms) => text += &format!("  ... {:.1} s\n", f64::from(*ms) / 1000.0),
            Step::Note(note) => text += &format!("> note {}\n", note.escape_debug()),
        }
    }
    let debrief = practise::finished(Debrief::begin(session), session);
    text += &format!("\n{}", words::debrief(&debrief));
    let again = copy.0.borrow();
    let mut results = Vec::new();
    if !alone {
        results.push((Path::new("-"), text.as_bytes()));
    }
    results.extend(record.map(|path| (path, again.as_slice())));
    output::write_all(&results)?;
    if replayed.cut_off {
        output::say("the recording is cut off in its last line: what is whole was replayed");
    }
    if let Some(line) = replayed.differs_at {
        output::say(&format!(
            "{}:{line}:1: from here on it goes differently than recorded: the models have changed since",
            source.path
        ));
    }
    Ok(if replayed.cut_off || replayed.differs_at.is_some() {
        Answer::No
    } else {
        Answer::Yes
    })
}
