//! Strategies: who tunes knowing only what may be known. A strategy is a file of ordered rules ([`mod@file`]) over facts ([`facts`])
//! that somebody remembers ([`memory`]) from a [`Sight`] after every action: never from the practice itself, so it can't see what
//! is hidden.

pub mod advice;
mod called;
mod doing;
pub mod facts;
pub mod file;
pub mod findings;
mod lot;
pub mod memory;
mod never;
pub mod parameters;
pub mod reason;
pub mod recalled;
pub mod rule;

use std::path::Path;
use std::sync::Arc;

use serde::Serialize;

use advice::Follower;
use file::Strategy;

use super::action::{Action, Screw};
use super::episode::{Ending, Episode, Found, Missing, Refusal};
use super::hidden::HiddenError;
use super::scenario::Scenario;
use super::score::Score;
use crate::bench::instruments::{Compared, Following, Note};
use crate::config::models::{self, BuiltIn, is_path};
use crate::config::{ConfigError, Source};

macro_rules! strategies {
    ($($name:literal)+) => {
        &[$(BuiltIn {
            name: $name,
            path: concat!("scenarios/strategies/", $name, ".toml"),
            text: include_str!(concat!("../../../scenarios/strategies/", $name, ".toml")),
        },)+]
    };
}

/// The built-in strategies; `guided` follows the first.
pub const STRATEGIES: &[BuiltIn] = strategies!(
    "coach" "stopwatch" "two-pass-quarter" "two-pass-half" "low-first-pinch" "halving" "alternating" "single-needle" "fastest-idle"
    "careless-leaner" "random"
);

/// A strategy by name or path.
///
/// # Errors
/// No such name, or a file that can't be used.
pub fn strategy(argument: &str) -> Result<Strategy, ConfigError> {
    Strategy::read(&if is_path(argument) {
        Source::read(Path::new(argument))?
    } else {
        models::built_in("strategy", argument, STRATEGIES)?
    })
}

/// The strategy that `guided` follows.
///
/// # Errors
/// None as long as the program's own file is right.
pub fn coach() -> Result<Arc<Strategy>, ConfigError> {
    strategy(STRATEGIES[0].name).map(Arc::new)
}

/// Screws against where they stood at the start, turns; needles out and idle stop in are positive.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Marks {
    /// High-speed needle.
    pub high_turns: f64,
    /// Low-speed needle.
    pub low_turns: f64,
    /// Idle stop.
    pub idle_turns: f64,
}

impl Marks {
    /// The mark of one screw.
    pub fn of(&self, screw: Screw) -> f64 {
        match screw {
            Screw::High => self.high_turns,
            Screw::Low => self.low_turns,
            Screw::Idle => self.idle_turns,
        }
    }
}

/// What can be heard, seen and read at one moment; speeds only where there is a tachometer. It is all that screens and strategies
/// get of an engine before the end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sight {
    /// Time on the practice's clock.
    pub clock_s: f64,
    /// Whether the engine runs.
    pub running: bool,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Screws against their start.
    pub marks: Marks,
    /// Gap left by the idle stop.
    pub idle_gap_mm: f64,
    /// Fuel left in the tank, in quarters as one sees it.
    pub tank_quarters: u8,
    /// What is heard and seen.
    pub notes: Vec<Note>,
    /// How it differs from before.
    pub compared: Vec<Compared>,
    /// The return from a burst, as it is followed.
    pub following: Option<Following>,
    /// What the action brought to light.
    pub found: Vec<Found>,
    /// Tachometer, where there is one.
    pub tachometer_rpm: Option<f64>,
    /// What signing off still asks for.
    pub missing: Missing,
    /// How it ended, if it did.
    pub ended: Option<Ending>,
}

impl Sight {
    /// Of somebody with a tachometer, after an action that brought `found` to light.
    pub fn of(episode: &Episode, found: Vec<Found>) -> Self {
        Self {
            clock_s: episode.clock_ms() as f64 / 1000.0,
            running: episode.running(),
            throttle: episode.throttle(),
            marks: Marks {
                high_turns: episode.mark(Screw::High),
                low_turns: episode.mark(Screw::Low),
                idle_turns: episode.mark(Screw::Idle),
            },
            idle_gap_mm: episode.idle_gap_mm(),
            tank_quarters: episode.tank_quarters(),
            notes: episode.notes(),
            compared: episode.compared(),
            following: episode.following(),
            found,
            tachometer_rpm: Some(episode.tachometer_rpm()),
            missing: episode.missing(),
            ended: episode.ending(),
        }
    }

    /// Whether `note` is among what is heard and seen.
    pub fn has(&self, note: Note) -> bool {
        self.notes.contains(&note)
    }
}

/// Does one action, and shows it as it is seen with a tachometer; after a held throttle that is its last moment.
///
/// # Errors
/// It can't be done now; nothing has changed then.
pub fn act(episode: &mut Episode, action: &Action) -> Result<Sight, Refusal> {
    let found = episode.act(action)?;
    Ok(Sight::of(episode, found))
}

/// What the coach does with a practice, from its start: the score of somebody who knows nothing of what is hidden.
///
/// # Errors
/// A model that can't be used.
pub fn coached(scenario: &Scenario, seed: u64, episode: u64) -> Result<Score, HiddenError> {
    coached_from(&Episode::reset(scenario, seed, episode)?, scenario)
}

/// The same from a practice in which nothing was done yet.
///
/// # Errors
/// A strategy that can't be read.
pub fn coached_from(fresh: &Episode, scenario: &Scenario) -> Result<Score, HiddenError> {
    let mut practice = fresh.clone();
    let mut follower = Follower::new(coach()?, scenario.limits, fresh.chance());
    for _ in 0..MOST_ACTIONS {
        let Some(advice) = follower.next() else { break };
        match act(&mut practice, &advice.action) {
            Ok(sight) if sight.ended.is_none() => follower.memory.did(&advice.action, &sight),
            Ok(_) => break,
            Err(refusal) => follower.memory.refused(&advice.action, refusal),
        }
    }
    Ok(practice.score())
}

/// Actions after which a strategy goes in circles.
const MOST_ACTIONS: usize = 1000;
