//! Sets of parameters: drawn near the best by chance, and held against each other on the engines that both have played.

use std::sync::Arc;

use needlebench::chance::Chance;
use needlebench::config::ConfigError;
use needlebench::noise::Channel;
use needlebench::stats::Moments;
use needlebench::tuning::strategy::file::Strategy;

use crate::engines::Outcome;

/// Parameters that one candidate changes at most, and how far: the deviation as a share of the range.
const MOST_CHANGES: usize = 4;
const REACH: f64 = 0.2;
/// Draws of a candidate until its rules can be read: some values exclude each other.
const MOST_DRAWS: usize = 100;

/// One set of parameters, and what it came to on the engines so far.
#[derive(Clone)]
pub struct Candidate {
    pub values: Vec<f64>,
    pub strategy: Arc<Strategy>,
    pub outcomes: Vec<Outcome>,
}

impl Candidate {
    /// What it costs more than another on the engines that both have played, counted from the last, and the standard error of that.
    pub fn over(&self, other: &Self) -> (f64, f64) {
        let pairs = self.outcomes.iter().rev().zip(other.outcomes.iter().rev());
        let more = Moments::of(pairs.map(|(one, other)| one.cost() - other.cost()));
        let error = more.variance.map_or(f64::INFINITY, |v| (v / more.count as f64).sqrt());
        (more.mean, error)
    }

    /// A mean over the engines so far.
    pub fn mean(&self, of: impl Fn(&Outcome) -> f64) -> f64 {
        Moments::of(self.outcomes.iter().map(of).collect::<Vec<f64>>().iter().copied()).mean
    }
}

/// The chance of one round, a number after the other.
pub struct Dice {
    pub chance: Chance,
    pub rolled: u64,
}

impl Dice {
    fn uniform(&mut self) -> f64 {
        self.rolled += 1;
        self.chance.uniform(Channel::Choice, self.rolled, 0.0, 1.0)
    }
    fn below(&mut self, count: usize) -> usize {
        ((self.uniform() * count as f64) as usize).min(count - 1)
    }
    fn normal(&mut self, deviation: f64) -> f64 {
        self.rolled += 1;
        self.chance.normal(Channel::Choice, self.rolled, deviation)
    }
}

fn with(start: &Strategy, values: &[f64]) -> Result<Strategy, ConfigError> {
    let names = start.parameters.iter().map(|parameter| parameter.name.as_str());
    let named: Vec<(&str, f64)> = names.zip(values.iter().copied()).collect();
    start.with(&named)
}

/// Other values near the best: of some that came close to it a half first, then a few parameters by some steps.
pub fn drawn_near(start: &Strategy, best: &Candidate, close: &[Candidate], dice: &mut Dice) -> Option<Candidate> {
    for _ in 0..MOST_DRAWS {
        let mut values = best.values.clone();
        if !close.is_empty() && dice.uniform() < 0.5 {
            let other = &close[dice.below(close.len())];
            for (value, its) in values.iter_mut().zip(&other.values) {
                if dice.uniform() < 0.5 {
                    *value = *its;
                }
            }
        }
        for _ in 0..=dice.below(MOST_CHANGES) {
            let at = dice.below(values.len());
            let parameter = &start.parameters[at];
            let steps = dice.normal(REACH * (parameter.high - parameter.low) / parameter.step);
            let steps = steps.signum() * steps.abs().round().max(1.0);
            let value = (values[at] + steps * parameter.step).clamp(parameter.low, parameter.high);
            // As somebody would write it.
            values[at] = (value * 1e6).round() / 1e6;
        }
        if values == best.values {
            continue;
        }
        if let Ok(strategy) = with(start, &values) {
            return Some(Candidate {
                values,
                strategy: Arc::new(strategy),
                outcomes: Vec::new(),
            });
        }
    }
    None
}

/// The parameters that are not as they were, as a file has them.
pub fn changes(start: &Strategy, values: &[f64]) -> String {
    let pairs = start.parameters.iter().zip(values);
    let changed: Vec<String> = pairs
        .filter(|(parameter, value)| parameter.value != **value)
        .map(|(parameter, value)| format!("{} = {value}", parameter.name))
        .collect();
    if changed.is_empty() {
        "as at the start".to_string()
    } else {
        changed.join(", ")
    }
}
