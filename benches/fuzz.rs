//! Tries files, lines, traces, recordings, command lines and corners of the model, drawn from a seed, in process and without end:
//!
//! ```text
//! cargo bench --bench fuzz -- --seconds 60 --seed 1
//! cargo bench --bench fuzz -- --inputs 2000000 --kind files
//! cargo bench --bench fuzz -- --seed 1 --kind files --only 1234
//! ```
//!
//! `--seconds` is for all kinds together, `--inputs` for each of them; with both, whichever comes first ends it. It tells how
//! many were tried and refused, panics and the slowest, and exits with 1 if any panicked, said something that is no number, took
//! longer than 2 s, or fewer than half got past the first parse. `--only` tries one input again and shows it.

#[allow(
    dead_code,
    unused_imports,
    reason = "the program's own, of which only some is tried here"
)]
#[path = "../src/cli/mod.rs"]
mod cli;
#[path = "fuzz/mod.rs"]
mod fuzz;

use std::process::ExitCode;
use std::time::Duration;

use fuzz::KINDS;
use fuzz::tally::{Limits, run};

/// Longest that one input may take.
const PATIENCE: Duration = Duration::from_secs(2);

/// What is asked for.
struct Wanted {
    seconds: Option<f64>,
    inputs: Option<u64>,
    seed: u64,
    kinds: Vec<String>,
    only: Option<u64>,
}

fn wanted() -> Result<Wanted, String> {
    let mut wanted = Wanted {
        seconds: None,
        inputs: None,
        seed: 1,
        kinds: Vec::new(),
        only: None,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        // What `cargo bench` itself adds.
        if word == "--bench" {
            continue;
        }
        let value = words.next().ok_or_else(|| format!("{word} wants a value"))?;
        let number = || {
            value
                .parse::<u64>()
                .map_err(|_| format!("{word}: `{value}` is no whole number"))
        };
        match word.as_str() {
            "--seconds" => {
                let seconds = value.parse::<f64>().ok().filter(|s| (0.0..1e7).contains(s));
                wanted.seconds = Some(seconds.ok_or_else(|| format!("--seconds: `{value}` is no time"))?);
            }
            "--inputs" => wanted.inputs = Some(number()?),
            "--seed" => wanted.seed = number()?,
            "--only" => wanted.only = Some(number()?),
            "--kind" if KINDS.iter().any(|kind| kind.name == value) => wanted.kinds.push(value),
            _ => {
                let kinds: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
                return Err(format!(
                    "{word} {value}: write --seconds S, --inputs N, --seed N, --kind KIND or --only N; kinds: {}",
                    kinds.join(", ")
                ));
            }
        }
    }
    Ok(wanted)
}

fn main() -> ExitCode {
    let wanted = match wanted() {
        Ok(wanted) => wanted,
        Err(message) => {
            eprintln!("{message}");
            return ExitCode::from(2);
        }
    };
    cli::threads::take();
    let kinds: Vec<_> = KINDS
        .iter()
        .filter(|kind| wanted.kinds.is_empty() || wanted.kinds.iter().any(|name| name == kind.name))
        .collect();
    let seconds = match (wanted.seconds, wanted.inputs) {
        (Some(seconds), _) => seconds,
        (None, Some(_)) => f64::MAX,
        (None, None) => 60.0,
    };
    let limits = Limits {
        time: Duration::try_from_secs_f64(seconds / kinds.len() as f64).unwrap_or(Duration::MAX),
        patience: PATIENCE,
        tries: if wanted.only.is_some() {
            1
        } else {
            wanted.inputs.unwrap_or(u64::MAX)
        },
    };
    let mut good = true;
    for kind in kinds {
        let tally = run(*kind, wanted.seed, wanted.only.unwrap_or(0), limits);
        println!("{tally}");
        for told in &tally.told {
            println!("  {told}");
        }
        if wanted.only.is_some() {
            println!("{}", tally.last.escape_debug());
        }
        good &= tally.panics == 0 && tally.faults == 0 && (wanted.only.is_some() || tally.parsed_share() >= 0.5);
    }
    ExitCode::from(u8::from(!good))
}
