//! `needlebench progress`: the learner's curve over all recorded practices.

use std::io::BufReader;
use std::path::{Path, PathBuf};

use clap::Args;
use needlebench::config::Source;
use needlebench::plot::progress::svg;
use needlebench::practise::curve_text::text;
use needlebench::practise::progress::{Practised, Told, curve, read, situations};
use needlebench::practise::skills::Skills;

use super::bar::Bar;
use super::options::AnswerOptions;
use super::{Answer, Failure, output, places, recording};

/// The learner's curve over all recorded practices
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench progress\n  \
    needlebench progress --plot progress.svg\n  \
    needlebench progress practice-1.jsonl practice-2.jsonl --json\n\n\
    Recordings are taken in the order in which they began. One that can't be read, still runs, was changed, is a copy of another or\n\
    was made with other models than today's is named and left out. Exit code 1: there is nothing to show, and no plot is written; 2: there\n\
    is nothing to show, and a file that was named can't be read or is no recording.")]
pub struct Arguments {
    /// Recordings [default: all in the practices' folder]
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Show practices with other models than today's too
    #[arg(long)]
    other_models: bool,
    /// Draw the curve to this file besides, `-` for standard output instead of the text
    #[arg(long, value_name = "FILE.svg", help_heading = "Answer")]
    plot: Option<PathBuf>,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// What is printed as JSON.
#[derive(serde::Serialize)]
struct Progress<'a> {
    /// The practices, oldest first.
    practices: &'a [Practised],
    /// What they say of the learner.
    #[serde(flatten)]
    skills: &'a Skills,
}

/// All recordings in the practices' folder, by name.
fn recordings() -> Vec<PathBuf> {
    let Some(entries) = recording::folder().and_then(|folder| std::fs::read_dir(folder).ok()) else {
        return Vec::new();
    };
    let mut files: Vec<PathBuf> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|e| e == "jsonl"))
        .collect();
    files.sort();
    files
}

/// Reads one recording.
fn read_one(file: &Path) -> Result<Told, Failure> {
    let opened = Source::open(file)?;
    Ok(read(&file.display().to_string(), BufReader::new(opened))?)
}

/// The learner's curve over the practices' folder as it is now, in text and as a picture; what can't be read is left out.
pub fn so_far() -> Option<(String, Option<String>)> {
    let all = recordings().iter().filter_map(|file| read_one(file).ok()).collect();
    let (practices, _) = curve(all, false);
    let skills = Skills::of(&practices, &situations());
    (!practices.is_empty()).then(|| (text(&practices, &skills), svg(&practices).ok().flatten()))
}

/// Reads every recording behind a bar; what can't be read is named after it. Those that were read, and how many were not.
fn read_all(files: &[PathBuf]) -> (Vec<Told>, usize) {
    let mut bar = Bar::new("recordings");
    let (mut all, mut failures) = (Vec::new(), Vec::new());
    for (number, file) in files.iter().enumerate() {
        bar.show(number as f64 / files.len() as f64);
        match read_one(file) {
            Ok(told) => all.push(told),
            Err(failure) => failures.push(failure),
        }
    }
    drop(bar);
    for failure in &failures {
        output::say(&failure.to_string());
    }
    (all, failures.len())
}

/// Reads every recording and prints the curve.
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
    let (read, bad) = read_all(&files);
    let (practices, left_out) = curve(read, arguments.other_models);
    for (path, reason) in left_out {
        output::say(&format!("{path}: {reason}"));
    }
    if named && bad > 0 && practices.is_empty() {
        return Err(Failure::Files { bad, all: files.len() });
    }
    let mut results = Vec::new();
    let skills = Skills::of(&practices, &situations());
    if arguments.answer.json {
        let progress = Progress {
            practices: &practices,
            skills: &skills,
        };
        results.push((Path::new("-"), output::json(&progress)?));
    } else if !practices.is_empty() && !plot_alone {
        results.push((Path::new("-"), text(&practices, &skills)));
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
