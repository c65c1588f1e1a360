//! `needlebench replay`: a recorded practice again, exactly.

use std::io::{BufReader, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use needlebench::config::Source;
use needlebench::practise::debrief::Debrief;
use needlebench::practise::replay::{Step, replay};
use needlebench::practise::said::Said;
use needlebench::practise::{show, words};

use super::lines::fitted;
use super::terminal::Attached;
use super::{Answer, Failure, output, places, practise, replayed};

/// A recorded practice again, exactly
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench replay practice.jsonl\n  \
    needlebench replay practice.jsonl --record again.jsonl\n\n\
    Own scenarios, engines, fuels and plugs travel in the recording. One that has no ending yet tells nothing hidden.\n\
    Exit code 0: replayed to the last line exactly; 1: it was cut off or changed, or the models or rules have changed since.")]
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
    let path = arguments.file.display().to_string();
    let file = BufReader::new(Source::open(&arguments.file)?);
    let copy = Shared::default();
    let mut text = String::new();
    let mut said = Said::default();
    let columns = Attached::now().columns();
    let replayed = replay(&path, file, Some(Box::new(copy.clone())), |practice, step| match step {
        None => text += &fitted(&show::card(practice.session()), columns),
        Some(Step::Act(action, frame)) => {
            let next = show::another_stage(practice.session(), &frame).unwrap_or_default();
            text += &format!("> {}\n", words::exactly(&action));
            text += &fitted(&(show::frame(&frame, &mut said) + &next), columns);
        }
        Some(Step::Pass(ms)) => text += &format!("  ... {:.1} s\n", f64::from(ms) / 1000.0),
        Some(Step::Note(note)) => text += &format!("> note {}\n", note.escape_debug()),
    })?;
    text.push('\n');
    if replayed.running() {
        text += "It has no ending yet: what is hidden stays hidden.\n";
    } else {
        let session = replayed.practice.session();
        let debrief = practise::finished(Debrief::begin(session), session);
        text += &practise::debriefed(&debrief, columns);
    }
    let again = copy.0.borrow();
    let mut results = Vec::new();
    if !alone {
        results.push((Path::new("-"), text.as_bytes()));
    }
    results.extend(record.map(|path| (path, again.as_slice())));
    output::write_all(&results)?;
    Ok(replayed::told(&path, &replayed))
}
