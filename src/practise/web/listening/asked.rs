//! What a page of the listening room may ask, and why nothing is done about it.

use serde::{Deserialize, de::DeserializeOwned};
use thiserror::Error;

use crate::config::models::engine_names;
use crate::config::reference_setup;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::practise::listening::drill::{Answer, Drill};
use crate::practise::listening::sweep::{self, At};
use crate::tuning::action::Screw;

/// Samples per second that can be asked for.
const RATES_HZ: std::ops::RangeInclusive<u32> = 8_000..=48_000;

/// A page wants to be asked.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ask {
    /// Name of a built-in engine.
    pub engine: String,
    /// Which drill; the one that is due if there is none.
    #[serde(default)]
    pub drill: Option<Drill>,
    /// Samples per second.
    pub rate_hz: u32,
}

/// A page answers.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answers {
    /// The question's id.
    pub question: String,
    /// Its answer.
    pub answer: Answer,
}

/// A page wants to hear a step of a sweep.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Name of a built-in engine.
    pub engine: String,
    /// Which needle.
    pub screw: Screw,
    /// At which throttle.
    pub at: At,
    /// Off the clean setting; rich is positive.
    pub clicks: i32,
    /// Samples per second.
    pub rate_hz: u32,
}

/// Why nothing was done.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Refused {
    /// It can't be read.
    #[error("not understood: {0}")]
    NotUnderstood(String),
    /// Not one of the built-in engines.
    #[error("there is no engine of this name built in; there are {}", engine_names().join(", "))]
    Engine,
    /// Too few or too many samples a second.
    #[error("rate_hz is from {} to {}", RATES_HZ.start(), RATES_HZ.end())]
    Rate,
    /// No step of the sweep.
    #[error("clicks is one of {:?}, and screw high or low", sweep::STEPS_CLICKS)]
    Step,
    /// No answer to this question.
    #[error("this is no answer to that question")]
    Answer,
    /// No question of this id waits.
    #[error("no such question waits for an answer; ask for another one")]
    NoQuestion,
    /// It was answered before.
    #[error("this question was answered already; ask for another one")]
    Twice,
}

/// Reads a request.
///
/// # Errors
/// It can't be read.
pub fn read<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refused> {
    serde_json::from_slice(body).map_err(|error| Refused::NotUnderstood(error.to_string()))
}

/// A built-in engine with its clean setting; no path is ever taken from a page.
pub(super) fn engine(name: &str) -> Result<(Setup, Setting), Refused> {
    let name = engine_names()
        .into_iter()
        .find(|known| *known == name)
        .ok_or(Refused::Engine)?;
    let (model, setup) = reference_setup(name).map_err(|_| Refused::Engine)?;
    Ok((setup, model.reference))
}

/// A rate that can be asked for.
pub(super) fn rate(rate_hz: u32) -> Result<u32, Refused> {
    RATES_HZ.contains(&rate_hz).then_some(rate_hz).ok_or(Refused::Rate)
}
