//! `needlebench progress`: the learner's curve over all recorded practices.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use clap::Args;
use needlebench::config::Source;
use needlebench::plot::progress::svg;
use needlebench::practise::progress::{Practised, text};
use needlebench::practise::replay::replay;

use super::options::AnswerOptions;
use super::{Answer, Failure, output, places, recording};

/// The learner's curve over all recorded practices
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench progress\n  \
    needlebench progress --plot progress.svg\n  \
    needlebench progress practice-1.jsonl practice-2.jsonl --json\n\n\
    Recordings that can't be read are named and left out. Exit code 1: there is nothing to show, and no plot is written.")]
pub struct Arguments {
    /// Recordings, oldest first [default: all in the practices' folder]
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Draw the curve to this file besides, `-` for standard output instead of the text
    #[arg(long, value_name = "FILE.svg", help_heading = "Answer")]
    plot: Option<PathBuf>,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// All recordings in the practices' folder, oldest first.
fn recordings() -> Vec<PathBuf> {
    let Some(entries) = recording::folder().and_then(|folder| std::fs::read_dir(folder).ok()) else {
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
    let plot_alone = arguments.plot.as_deref().is_some_and(places::is_standard);
    if plot_alone && arguments.answer.json {
        return Err(Failure::Usage {
            flag: "--json, --plot",
            what: "both go to standard output".to_string(),
            allowed: "one result for standard output",
            remedy: "name a file for the plot",
        });
    }
    let named = !arguments.files.is_empty();
    let files = if named { arguments.files.clone() } else { recordings() };
    let read: Vec<places::Named<'_>> = files.iter().map(|file| ("FILE", file.as_path())).collect();
    let mut written = Vec::new();
    written.extend((!plot_alone).then_some(("the text", Path::new("-"))));
    written.extend(arguments.plot.as_deref().map(|file| ("--plot", file)));
    places::apart(&read, &written)?;
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
    let mut results = Vec::new();
    if arguments.answer.json {
        results.push((Path::new("-"), output::json(&practices)?));
    } else if !practices.is_empty() && !plot_alone {
        results.push((Path::new("-"), text(&practices)));
    }
    if let Some((target, picture)) = arguments.plot.as_deref().zip(svg(&practices)?) {
        results.push((target, picture));
    }
    let results: Vec<(&Path, &[u8])> = results
        .iter()
        .map(|(target, text)| (*target, text.as_bytes()))
        .collect();
    output::write_all(&results)?;
    if practices.is_empty() {
        if !arguments.answer.json || arguments.plot.is_some() {
            output::say(match (named, &arguments.plot) {
                (true, _) => "none of these recordings can be shown",
                (false, None) => "no practice recorded yet: `needlebench practise` records one",
                (false, Some(_)) => "no practice recorded yet, so nothing is drawn: `needlebench practise` records one",
            });
        }
        return Ok(Answer::No);
    }
    Ok(Answer::Yes)
}
