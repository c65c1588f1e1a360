//! The command line: which commands there are, and which file answers each.
//!
//! A command's file holds its arguments, one call into the library and the wording of the answer, as text or JSON. Data go to
//! standard output, words to standard error.

pub mod advise;
pub mod air;
pub mod bar;
pub mod blend;
pub mod change;
pub mod check;
pub mod compare;
pub mod completions;
pub mod csv_text;
mod demo;
pub mod explain;
pub mod failure;
pub mod forms;
pub mod keyboard;
pub mod lines;
pub mod man;
pub mod models;
pub mod options;
pub mod output;
pub mod page;
pub mod places;
pub mod practise;
pub mod progress;
pub mod range;
pub mod recorder;
mod recording;
pub mod replay;
mod replayed;
pub mod run;
pub mod signals;
pub mod sureness;
pub mod terminal;
pub mod threads;
pub mod trace;

use clap::{CommandFactory, Parser, Subcommand};

pub use failure::Failure;

/// What a command that ran has to say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Done, or yes.
    Yes,
    /// It ran, and the answer is no.
    No,
    /// Interrupted; what is done is kept.
    Interrupted,
}

/// Bring the needles of a small two-stroke glow engine to a clean, safe setting, without fuel.
#[derive(Debug, Parser)]
#[command(
    name = "needlebench",
    version,
    after_help = "Without a command: practise, with the first lesson.\n\
                  Data go to standard output, words to standard error. Exit codes: 0 done, 1 the answer is no, 2 wrong usage or \
                  a file that can't be used, 130 interrupted.\n\
                  Needles count in turns open from closed; oil counts as not burning in every air-fuel ratio."
)]
pub struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// An engine with a hidden setting: find it in as few turns as possible
    Practise(practise::Arguments),
    /// The sign-off checks at a setting: each measure, limit and verdict
    Check(Box<check::Arguments>),
    /// What an eighth of a turn on each screw does, which screw is for what, and why
    Explain(Box<explain::Arguments>),
    /// One engine, one setting, one throttle trace: the series as CSV or JSON, and as a picture
    Run(Box<run::Arguments>),
    /// At the real engine: what was seen and heard in, what most likely stands wrong out, with how likely
    Advise(Box<advise::Arguments>),
    /// A recorded practice again, exactly
    Replay(replay::Arguments),
    /// Ways of tuning on hidden engines in batch: who needs the fewest needle turns
    Compare(compare::Arguments),
    /// The learner's curve over all recorded practices
    Progress(progress::Arguments),
    /// List, show and validate engines, fuels, plugs and scenarios
    Models(models::Arguments),
    /// From one fuel or weather to another: which screw, which way, how far, and the safe rich start
    Change(Box<change::Arguments>),
    /// Fuel per lap and minutes per tank for a duty cycle: will it reach the planned stop?
    Range(range::Arguments),
    /// What today's air is worth: density, density altitude, power correction
    Air(air::Arguments),
    /// What a fuel is worth, and how to mix one from two jugs and pure parts
    Blend(blend::Arguments),
    /// Completions for a shell, on standard output
    Completions(completions::Arguments),
    /// Manual pages, for packagers
    Man(man::Arguments),
}

impl Cli {
    /// The arguments, or what to tell the user about them (help and version included).
    pub fn read() -> Result<Self, clap::Error> {
        Self::try_parse()
    }

    /// Runs the command.
    pub fn run(self) -> Result<Answer, Failure> {
        let Some(command) = self.command else {
            return practise::run(&practise::Arguments::default());
        };
        match command {
            Command::Practise(arguments) => practise::run(&arguments),
            Command::Advise(arguments) => advise::run(&arguments),
            Command::Replay(arguments) => replay::run(&arguments),
            Command::Compare(arguments) => compare::run(&arguments),
            Command::Progress(arguments) => progress::run(&arguments),
            Command::Check(arguments) => check::run(&arguments),
            Command::Explain(arguments) => explain::run(&arguments),
            Command::Run(arguments) => run::run(&arguments),
            Command::Models(arguments) => models::run(&arguments),
            Command::Change(arguments) => change::run(&arguments),
            Command::Range(arguments) => range::run(&arguments),
            Command::Air(arguments) => air::run(&arguments),
            Command::Blend(arguments) => blend::run(&arguments),
            Command::Completions(arguments) => completions::run(&arguments, &mut Self::command()),
            Command::Man(arguments) => man::run(&arguments, Self::command()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_consistent() {
        Cli::command().debug_assert();
    }

    #[test]
    fn every_command_shows_examples() {
        for command in Cli::command().get_subcommands() {
            let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            assert!(help.contains("Examples:"), "{}", command.get_name());
        }
    }
}
