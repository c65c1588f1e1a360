//! `needlebench compare`: ways of tuning on hidden engines in batch; who needs the fewest needle turns, and how sure that is.

mod outside;
mod rows;
mod text;

use std::cell::{Cell, RefCell};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::Instant;

use clap::Args;
use needlebench::config::models::is_path;
use needlebench::plot::compare::svg;
use needlebench::tuning::batch::record::Record;
use needlebench::tuning::batch::running;
use needlebench::tuning::batch::study::{self, STUDIES, Study, Way};
use needlebench::tuning::batch::summary::{Summary, summary, told_apart};
use needlebench::tuning::hidden::HiddenError;
use rayon::{ThreadPool, ThreadPoolBuilder};
use serde::Serialize;

use super::bar::Bar;
use super::options::{AnswerOptions, number, whole};
use super::signals::Asked;
use super::{Answer, Failure, output, places};
use outside::Program;
use rows::Rows;

/// Ways of tuning on hidden engines in batch: who needs the fewest needle turns
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench compare quick\n  \
    needlebench compare quick --csv quick.csv --plot quick.svg\n  \
    needlebench compare quick --csv quick.csv --resume\n  \
    needlebench compare quick --shard 1/2 --csv part-1.csv\n  \
    needlebench compare quick --shard 2/2 --csv part-2.csv\n  \
    needlebench compare quick --merge part-1.csv part-2.csv\n\n\
    Every way meets the same hidden engines, and the same errors of hand and ear. A study that is broken off keeps all rows that are \
    written; --resume goes on from them. What comes out depends on the study, --seed and --episodes alone, not on --threads.\n\n\
    Exit codes: 0 done, 2 wrong usage or a file that can't be used, 130 interrupted: what is done is kept and told.")]
pub struct Arguments {
    /// Study: a built-in name or a file
    #[arg(value_name = "STUDY", default_value = STUDIES[0].name)]
    study: String,
    /// Hidden engines of each situation [default: as the study says]
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = whole(1, 1_000_000))]
    episodes: Option<u64>,
    /// Seed of everything that is drawn [default: as the study says]
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = whole(0, 9_007_199_254_740_992))]
    seed: Option<u64>,
    /// Threads [default: one for each core]
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = whole(1, 1024))]
    threads: Option<u64>,
    /// Write a row for each practice to this file as it is played
    #[arg(long, value_name = "FILE.csv", help_heading = "Answer")]
    csv: Option<PathBuf>,
    /// Go on from the rows that are in the --csv file already
    #[arg(long, requires = "csv")]
    resume: bool,
    /// Play only this part of the study, such as 2/4; --merge puts the parts together
    #[arg(long, value_name = "I/N", value_parser = shard, requires = "csv")]
    shard: Option<Shard>,
    /// Stop as soon as the least costly way is told from all others
    #[arg(long, conflicts_with_all = ["shard", "merge"])]
    stop_early: bool,
    /// Play nothing: report on the rows of these files, the parts of one study
    #[arg(long, value_name = "FILE.csv", num_args = 1.., conflicts_with_all = ["resume", "shard", "threads"])]
    merge: Vec<PathBuf>,
    /// One more way of tuning: a program that speaks JSON lines on standard input and output
    #[arg(long, value_name = "PROGRAM")]
    strategy_command: Vec<String>,
    /// Seconds that it may take for an answer
    #[arg(long, value_name = "S", default_value_t = 10.0, value_parser = number(0.01, 3600.0, "s"))]
    strategy_patience_s: f64,
    /// Draw how the needle turns are distributed, `-` for standard output
    #[arg(long, value_name = "FILE.svg", help_heading = "Answer")]
    plot: Option<PathBuf>,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// A part of a study: every so manieth hidden engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Shard {
    part: u64,
    of: u64,
}

impl Shard {
    const WHOLE: Self = Self { part: 1, of: 1 };

    fn has(self, engine: u64) -> bool {
        engine % self.of == self.part - 1
    }
}

fn shard(text: &str) -> Result<Shard, String> {
    let numbers = text.split_once('/').and_then(|(part, of)| {
        let number = |text: &str| text.parse::<u64>().ok();
        Some((number(part)?, number(of)?))
    });
    match numbers {
        Some((part, of)) if (1..=of).contains(&part) && of <= 1_000_000 => Ok(Shard { part, of }),
        _ => Err("write which part of how many, such as 2/4: from 1/N to N/N".to_string()),
    }
}

/// The answer as JSON. Only the last two keys depend on the machine and the hour.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    summary: &'a Summary,
    interrupted: bool,
    seconds: f64,
    revolutions_per_second_per_core: f64,
}

/// What has been played.
struct Played {
    records: Vec<Record>,
    interrupted: bool,
    seconds: f64,
    revolutions_per_second_per_core: f64,
}

/// Plays the study, or reads what was played, and reports.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let study = Study::read(&study::source(&arguments.study)?)?.sized(arguments.seed, arguments.episodes);
    let study = arguments.strategy_command.iter().try_fold(study, |study, command| {
        let program = Program::new(command, arguments.strategy_patience_s)?;
        Ok::<_, Failure>(study.with(&program.label(), Way::Outside(program.outside())))
    })?;
    let identity = study.identity().map_err(HiddenError::from)?;
    targets(arguments)?;
    let played = if arguments.merge.is_empty() {
        play(arguments, &study, identity)?
    } else {
        let records = rows::merge(&arguments.merge, &study, identity)?;
        if let Some(path) = &arguments.csv {
            let text = rows::text(&study, identity, &records);
            output::write_all(&[(path, text.as_bytes())])?;
        }
        Played {
            records,
            interrupted: false,
            seconds: 0.0,
            revolutions_per_second_per_core: 0.0,
        }
    };
    report(arguments, &study, &played)?;
    Ok(if played.interrupted {
        Answer::Interrupted
    } else {
        Answer::Yes
    })
}

/// Refuses two results in one place, or one in the place of a file that is read.
fn targets(arguments: &Arguments) -> Result<(), Failure> {
    let mut read: Vec<places::Named<'_>> = arguments.merge.iter().map(|path| ("--merge", path.as_path())).collect();
    if is_path(&arguments.study) {
        read.push(("STUDY", Path::new(&arguments.study)));
    }
    let (csv, plot) = (arguments.csv.as_deref(), arguments.plot.as_deref());
    let mut written: Vec<places::Named<'_>> = Vec::new();
    written.extend(csv.map(|path| ("--csv", path)));
    written.extend(plot.map(|path| ("--plot", path)));
    written.extend(arguments.answer.json.then_some(("--json", Path::new("-"))));
    places::apart(&read, &written)?;
    if csv.is_some_and(places::is_standard_output) {
        return Err(Failure::Usage {
            flag: "--csv",
            what: "rows are kept in a file, so that a study that is broken off can go on".to_string(),
            allowed: "a file",
            remedy: "name one, such as study.csv; --json reports to standard output",
        });
    }
    Ok(())
}

fn play(arguments: &Arguments, study: &Study, identity: u64) -> Result<Played, Failure> {
    let shard = arguments.shard.unwrap_or(Shard::WHOLE);
    let numbers: Vec<u64> = (0..study.engines()).filter(|engine| shard.has(*engine)).collect();
    let asked = Asked::listen().map_err(|cause| Failure::Terminal { cause })?;
    let pool = pool(arguments.threads)?;
    let (mut records, mut file) = match &arguments.csv {
        None => (Vec::new(), None),
        Some(path) => {
            let (records, file) = Rows::open(path, arguments.resume, study, identity, &numbers)?;
            (records, Some(file))
        }
    };
    let engines_before = rows::engines(&records);
    // Asked once for each episode, when all situations have been met.
    let situations = study.scenarios.len();
    let enough = |records: &[Record]| {
        let engines = if arguments.stop_early {
            rows::engines(records)
        } else {
            0
        };
        engines > 0 && engines.is_multiple_of(situations) && told_apart(study, records)
    };
    let left = if enough(&records) {
        &[]
    } else {
        &numbers[engines_before..]
    };
    let (began, before) = (Instant::now(), records.len());
    let bar = RefCell::new(Bar::new("compare"));
    let (mut trouble, mut done, mut stopped) = (None, 0, false);
    // Since when engines are played.
    let playing = Cell::new(began);
    let goes_on = || match asked.is_set() {
        true => ControlFlow::Break(()),
        false => ControlFlow::Continue(()),
    };
    let learns = |done: usize| {
        let words = format!("{done}/{situations} situations learnt, engines are played then");
        bar.borrow_mut().tell(0.0, &words);
        playing.set(Instant::now());
        goes_on()
    };
    running::run(study, left, &pool, learns, |played| {
        if let Some(file) = &mut file
            && let Err(failure) = file.add(study, identity, &played)
        {
            trouble = Some(failure);
            return ControlFlow::Break(());
        }
        records.extend(played);
        done += 1;
        let seconds = playing.get().elapsed().as_secs_f64();
        let share = (engines_before + done) as f64 / numbers.len() as f64;
        bar.borrow_mut().tell(share, &text::progress(done, left.len(), seconds));
        if enough(&records) {
            stopped = true;
            return ControlFlow::Break(());
        }
        goes_on()
    })?;
    let interrupted = asked.is_set() && done < left.len() && !stopped;
    drop(bar);
    if let Some(failure) = trouble {
        return Err(failure);
    }
    let seconds = began.elapsed().as_secs_f64();
    let revolutions: u64 = records[before..].iter().map(|r| r.outcome.revolutions).sum();
    Ok(Played {
        records,
        interrupted,
        seconds,
        revolutions_per_second_per_core: revolutions as f64 / seconds / pool.current_num_threads() as f64,
    })
}

/// The threads to play on: as many as are wanted, or as there are to be had.
fn pool(wanted: Option<u64>) -> Result<ThreadPool, Failure> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let mut count = wanted.map_or(cores, |count| count as usize);
    loop {
        match ThreadPoolBuilder::new().num_threads(count).build() {
            Ok(pool) => return Ok(pool),
            Err(_) if count > 1 => count /= 2,
            Err(error) => {
                return Err(Failure::Usage {
                    flag: "--threads",
                    what: format!("not one thread is to be had ({error})"),
                    allowed: "what the system allows",
                    remedy: "raise its limit (`ulimit -u`)",
                });
            }
        }
    }
}

fn report(arguments: &Arguments, study: &Study, played: &Played) -> Result<(), Failure> {
    let summary = summary(study, &played.records);
    let mut results: Vec<(&Path, Vec<u8>)> = Vec::new();
    if let Some(path) = &arguments.plot {
        results.push((path, svg(study, &summary, &played.records)?.into_bytes()));
    }
    let plot_is_standard = arguments.plot.as_deref().is_some_and(places::is_standard_output);
    let told = if arguments.answer.json {
        output::json(&Told {
            summary: &summary,
            interrupted: played.interrupted,
            seconds: played.seconds,
            revolutions_per_second_per_core: played.revolutions_per_second_per_core,
        })?
    } else {
        text::report(study, &summary)
    };
    if plot_is_standard {
        // The picture has standard output for itself.
        output::say(&told);
    } else {
        results.push((Path::new("-"), told.into_bytes()));
    }
    let results: Vec<(&Path, &[u8])> = results.iter().map(|(path, bytes)| (*path, bytes.as_slice())).collect();
    output::write_all(&results)?;
    if played.interrupted {
        output::say(match &arguments.csv {
            Some(_) => "interrupted: what was played is kept and told above; --resume goes on",
            None => "interrupted: what was played is told above; with --csv FILE it is kept, and --resume goes on",
        });
    }
    Ok(())
}
