//! Throttle traces of one's own: rows of time and throttle, changed. What is accepted runs on the reference engine.

use std::fmt::Write;
use std::path::Path;

use needlebench::config::built_in::ENGINES;
use needlebench::config::reference_setup;
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

use super::draw::Draw;
use super::finite::course;
use super::{Outcome, Subject};
use crate::cli::Failure;
use crate::cli::trace::parse;

/// Longest trace that is run, s; longer ones are only read.
const LONGEST_S: f64 = 5.0;

/// The engine they run on.
pub struct Traces {
    setup: Setup,
    setting: Setting,
}

impl Traces {
    pub fn new() -> Self {
        let (engine, setup) = reference_setup(ENGINES[0].name).expect("built in");
        Self {
            setup,
            setting: engine.reference,
        }
    }
}

impl Subject for Traces {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        let (mut text, mut time_s) = ("time_s,throttle\n".to_string(), 0.0);
        for _ in 0..2 + draw.below(8) {
            let _ = writeln!(text, "{time_s:.3},{:.3}", draw.unit());
            time_s += 0.01 + 0.5 * draw.unit();
        }
        *shown = if draw.once_in(5) { text } else { draw.change(&text) };
        let mut outcome = Outcome {
            tried: 1,
            ..Outcome::default()
        };
        match parse(Path::new("changed.csv"), shown) {
            Ok(trace) => {
                outcome.parsed = 1;
                if trace.longest_s() <= LONGEST_S {
                    (outcome.revolutions, outcome.fault) = course(&self.setup, self.setting, &trace);
                }
            }
            // Past the first line its rows were read.
            Err(Failure::Trace { line, .. }) => (outcome.parsed, outcome.refused) = (u64::from(line > 1), 1),
            Err(other) => outcome.fault = Some(other.to_string()),
        }
        outcome
    }
}
