//! `needlebench models`: which engines, fuels, plugs, scenarios, strategies and studies there are, what each consists of, and whether
//! a file of one's own is right.

mod ensemble;
mod list;
mod show;

use std::path::PathBuf;

use clap::{Args, Subcommand};
use needlebench::config::{ConfigError, Kind, SetupError, Source, Table};
use needlebench::tuning::batch::study::Study;
use needlebench::tuning::scenario::Scenario;
use needlebench::tuning::strategy::file::Strategy;

use crate::cli::options::AnswerOptions;
use crate::cli::{Answer, Failure, output};

#[derive(Args, Debug)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  \
    needlebench models\n  \
    needlebench models show offroad-3.5\n  \
    needlebench models show race-25 --toml > mine.toml\n  \
    needlebench models validate mine.toml"
)]
pub struct Arguments {
    #[command(subcommand)]
    task: Option<Task>,
    #[command(flatten)]
    answer: AnswerOptions,
}

#[derive(Debug, Subcommand)]
enum Task {
    /// List the built-in models
    List(AnswerOptions),
    /// Show one model: every number with its unit, range, origin and meaning
    Show {
        /// A built-in name, `laws`, `ensemble`, or a file
        #[arg(value_name = "NAME|FILE")]
        model: String,
        /// As the file it is, comments and all: a start for one's own
        #[arg(long, conflicts_with = "json")]
        toml: bool,
        #[command(flatten)]
        answer: AnswerOptions,
    },
    /// Check files: exit code 0 if all are right, else 2 with each mistake's line and column
    Validate {
        /// Files to check
        #[arg(value_name = "FILE", required = true)]
        files: Vec<PathBuf>,
    },
}

pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    match &arguments.task {
        None => list::list(arguments.answer.json),
        Some(Task::List(answer)) => list::list(answer.json),
        Some(Task::Show { model, toml, answer }) => show::show(model, *toml, answer.json),
        Some(Task::Validate { files }) => validate(files),
    }
}

/// What a file describes.
enum Sort {
    /// An engine, a fuel, a plug, the laws or an ensemble.
    Model(Kind),
    Scenario,
    Strategy,
    Study,
}

impl Sort {
    /// A file is a scenario's, a strategy's or a study's if it has the table that only they have.
    fn of(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        Ok(if root.has(Scenario::OWN_TABLE) {
            Self::Scenario
        } else if root.has(Strategy::OWN_TABLE) {
            Self::Strategy
        } else if root.has(Study::OWN_TABLE) {
            Self::Study
        } else {
            Self::Model(Kind::of(source)?)
        })
    }

    /// Reads a file, and says what it is.
    fn validate(source: &Source) -> Result<String, SetupError> {
        match Self::of(source)? {
            Self::Scenario => Scenario::read(source).map(|_| "scenario".to_string()),
            Self::Strategy => Strategy::read(source).map(|_| "strategy".to_string()),
            Self::Study => Study::read(source).map(|_| "study".to_string()),
            Self::Model(Kind::Ensemble) => return ensemble::hold(source).map(|()| Kind::Ensemble.to_string()),
            Self::Model(kind) => kind.validate(source).map(|()| kind.to_string()),
        }
        .map_err(SetupError::from)
    }
}

fn validate(files: &[PathBuf]) -> Result<Answer, Failure> {
    let mut bad = 0;
    for path in files {
        match Source::read(path)
            .map_err(SetupError::from)
            .and_then(|source| Sort::validate(&source))
        {
            Ok(kind) => output::print(&format!("{}: a valid {kind} file\n", path.display()))?,
            Err(error) => {
                bad += 1;
                output::say(&error.to_string());
            }
        }
    }
    if bad > 0 {
        return Err(Failure::Files { bad, all: files.len() });
    }
    Ok(Answer::Yes)
}
