//! Command lines: the examples of every command, changed. What the reader of arguments accepts is run in process, in a folder of
//! its own and with standard output in a file there, unless it would practise or takes long; what it prints is all of numbers.

use std::ffi::OsString;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::os::fd::{AsFd, OwnedFd};
use std::path::PathBuf;

use clap::Parser;
use rustix::stdio::{dup2_stderr, dup2_stdout};

use super::draw::Draw;
use super::finite::no_number;
use super::{Outcome, Subject};
use crate::cli::Cli;

/// Command lines that work, in the folder that [`Flags::new`] furnishes.
const LINES: &[&str] = &[
    "check",
    "check --high 3.5 --low 2.25",
    "check --engine onroad-2.1 --temperature-c 5 --json",
    "check --limits lesson-1 --fahrenheit",
    "check --engine ./engine.toml --plug ./plug.toml --fuel ./fuel.toml --cold",
    "run --manoeuvre burst --low 2.5",
    "run --manoeuvre brake --rpm 28000 --csv brake.csv",
    "run --manoeuvre snap --plot snap.svg --csv snap.csv",
    "run --trace trace.csv --json",
    "run --trace trace.csv --csv - --plot a.svg --fahrenheit",
    "air --temperature-c 32 --humidity-percent 70",
    "air --altitude-m 1500 --json",
    "air --pressure-hpa 985 --temperature-c -5",
    "blend --nitro 25 --oil 11",
    "blend --fuel race-16 --fuel-temperature-c 5 --json",
    "blend --nitro 20 --oil 11 --make-ml 2000 --jug race-30 --add methanol,synthetic-oil",
    "blend --nitro 20 --oil 11 --make-ml 2000 --jug 30/10=1200 --jug 10/12",
    "blend --jug race-25=800 --jug sport-10=400",
    "blend --nitro 10 --oil 20 --castor-share 0.5 --make-ml 500 --add methanol,nitromethane,castor-oil --any-oil",
    "models",
    "models --json",
    "models show offroad-3.5",
    "models show race-25 --toml",
    "models show lesson-1 --json",
    "models validate engine.toml fuel.toml plug.toml",
    "replay r.jsonl --record again.jsonl",
    "progress r.jsonl --plot curve.svg",
    "progress r.jsonl --json",
    "practise other-hands --terminal --level by-ear --seed 7",
    "practise lesson-1 --seed 1 --record practice.jsonl",
    "completions bash",
    "man blend",
    "man --folder .",
];

/// Options to put in, with a value or none.
const OPTIONS: &[&str] = &[
    "--json",
    "--seed 7",
    "--engine truggy-4.6",
    "--plug hot",
    "--fuel race-30",
    "--nitro 60",
    "--oil 60",
    "--castor-share 1",
    "--temperature-c -30",
    "--pressure-hpa 500",
    "--altitude-m 5500",
    "--humidity-percent 100",
    "--high 8",
    "--low 0",
    "--idle 6",
    "--cold",
    "--fahrenheit",
    "--csv -",
    "--plot ./trace.csv",
    "--csv /dev/null",
    "--make-ml 1",
    "--jug 0/0",
    "--rpm 3000",
    "--trace none.csv",
    "--limits ./engine.toml",
    "--help",
    "--no-record",
    "--plain",
    "-- x",
    "--record -",
];

/// What takes long, such as a check or a replay, is done once in so many times.
const SELDOM: usize = 24;

/// The files that a command line finds, and where its words go meanwhile.
pub struct Flags {
    /// Goes with it.
    _folder: tempfile::TempDir,
    before: PathBuf,
    printed: File,
    output: OwnedFd,
    error: OwnedFd,
}

impl Flags {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).expect("a file");
        use needlebench::config::built_in::{ENGINES, FUELS, PLUGS};
        put("engine.toml", ENGINES[0].text);
        put("fuel.toml", FUELS[0].text);
        put("plug.toml", PLUGS[0].text);
        put("trace.csv", "time_s,throttle\n0,0\n1,0.5\n");
        put("r.jsonl", &super::recordings::short());
        let before = std::env::current_dir().expect("a folder");
        std::env::set_current_dir(&folder).expect("a folder");
        let own = |fd: std::os::fd::BorrowedFd<'_>| fd.try_clone_to_owned().expect("a descriptor");
        let (output, error) = (own(std::io::stdout().as_fd()), own(std::io::stderr().as_fd()));
        let printed = tempfile::tempfile().expect("a file");
        dup2_stdout(&printed).expect("a descriptor");
        dup2_stderr(&printed).expect("a descriptor");
        Self {
            _folder: folder,
            before,
            printed,
            output,
            error,
        }
    }

    /// What was printed since it was last asked.
    fn printed(&mut self) -> String {
        let mut bytes = Vec::new();
        let read = self
            .printed
            .seek(SeekFrom::Start(0))
            .and_then(|_| self.printed.read_to_end(&mut bytes))
            .and_then(|_| self.printed.set_len(0))
            .and_then(|()| self.printed.seek(SeekFrom::Start(0)));
        read.expect("a file");
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

impl Drop for Flags {
    fn drop(&mut self) {
        let _ = dup2_stdout(&self.output);
        let _ = dup2_stderr(&self.error);
        let _ = std::env::set_current_dir(&self.before);
    }
}

/// A command line, changed a little or not at all.
fn line(draw: &mut Draw) -> Vec<String> {
    let mut words: Vec<String> = draw.pick(LINES).split(' ').map(str::to_string).collect();
    for _ in 0..draw.below(4) {
        let at = 1 + draw.below(words.len());
        match draw.below(12) {
            // The numbers of a value.
            0..=7
                if at < words.len()
                    && words[at].bytes().any(|byte| byte.is_ascii_digit())
                    && !words[at].contains('.') =>
            {
                words[at] = draw.number_for(&words[at]);
            }
            0..=5 if at < words.len() && words[at].parse::<f64>().is_ok() => words[at] = draw.number_for(&words[at]),
            6..=9 => words.extend(draw.pick(OPTIONS).split(' ').map(str::to_string)),
            10 if at < words.len() && words.len() > 2 => drop(words.remove(at)),
            11 if at < words.len() => words[at] = draw.change(&words[at].clone()),
            _ => {}
        }
    }
    words
}

impl Subject for Flags {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        let words = line(draw);
        *shown = words.join(" ");
        let mut outcome = Outcome {
            tried: 1,
            ..Outcome::default()
        };
        let arguments = ["needlebench".to_string()].into_iter().chain(words.iter().cloned());
        let cli = match Cli::try_parse_from(arguments.map(OsString::from)) {
            Ok(cli) => cli,
            Err(message) => {
                // Help was asked for, or it is refused with what is wrong.
                let refused = message.use_stderr();
                (outcome.refused, outcome.parsed) = (u64::from(refused), u64::from(!refused));
                outcome.fault = message
                    .to_string()
                    .trim()
                    .is_empty()
                    .then(|| "an empty message".to_string());
                return outcome;
            }
        };
        outcome.parsed = 1;
        let runs = match words.first().map(String::as_str) {
            // These would wait for a player, and read what is none of ours.
            None | Some("practise") => false,
            Some("progress") if !words.iter().any(|word| word.ends_with(".jsonl")) => false,
            Some("check" | "run" | "replay" | "progress") => draw.once_in(SELDOM),
            Some(_) => true,
        };
        if runs {
            outcome.refused = u64::from(cli.run().is_err());
            outcome.fault = no_number(&self.printed());
        }
        outcome
    }
}
