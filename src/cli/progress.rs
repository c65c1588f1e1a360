//! `needlebench progress`: the learner's curve over all recorded practices.

use std::path::PathBuf;
use std::time::SystemTime;

use clap::Args;
use needlebench::config::Source;
use needlebench::practise::progress::{Practised, text};
use needlebench::practise::replay::replay;

use super::options::AnswerOptions;
use super::{Answer, Failure, output, practise};

/// The learner's curve over all recorded practices
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench progress\n  \
    needlebench progress practice-1.jsonl practice-2.jsonl --json\n\n\
    Recordings that can't be read are named and left out. Exit code 1: there is nothing to show.")]
pub struct Arguments {
    /// Recordings, oldest first [default: all in the practices' folder]
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// All recordings in the practices' folder, oldest first.
fn recordings() -> Vec<PathBuf> {
    let Some(entries) = practise::folder().and_then(|folder| std::fs::read_dir(folder).ok()) else {
        return Vec::new();
    };
    let mut files: Vec<(SystemTime, PathBuf)> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|e| e == "jsonl"))
        .map(|path| {
            let changed = path.metadata().and_then(|m| m.modified());
            (changed.unwrap_or(SystemTime::UNIX_EPOCH), path)
        })
        .collect();
    files.sort();
    files.into_iter().map(|(_, path)| path).collect()
}

/// Replays every recording and prints the curve.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let named = !arguments.files.is_empty();
    let files = if named { arguments.files.clone() } else { recordings() };
    let mut practices = Vec::new();
    for file in &files {
        let read = Source::read(file)
            .map_err(Failure::from)
            .and_then(|source| Ok(replay(&source, None)?));
        match read {
            Ok(replayed) => practices.push(Practised::from(&replayed)),
            Err(failure) => output::say(&failure.to_string()),
        }
    }
    if arguments.answer.json {
        output::print_json(&practices)?;
    } else if practices.is_empty() {
        output::say("no practice recorded yet: `needlebench practise` records one");
    } else {
        output::print(&text(&practices))?;
    }
    Ok(if practices.is_empty() { Answer::No } else { Answer::Yes })
}
