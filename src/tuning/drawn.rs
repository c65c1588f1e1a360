//! What chance made of a scenario: every value that a practice hides because it was drawn, by (seed, episode, variable).
//!
//! It is data, so that a recording can tell it once the practice is over.

use std::ops::RangeInclusive;

use rand::Rng;
use serde::{Deserialize, Serialize};

use super::action::Screw;
use super::scenario::Scenario;
use crate::chance::Chance;
use crate::noise::Channel;

/// The variables, each with a generator of its own: their numbers are addresses and never change.
#[derive(Clone, Copy, Debug)]
#[repr(u64)]
enum Variable {
    Nitro = 0,
    Oil = 1,
    Viscosity = 2,
    Wear = 3,
    /// Three: high, low, idle.
    Start = 4,
    Engine = 7,
    /// Three.
    LeastMark = 8,
    /// Three.
    MostMark = 11,
}

/// Every screw turns at least this far from where it stands, turns: further than any scenario puts it from its true setting.
const LEAST_REACH: f64 = 5.0;

/// The values drawn.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawn {
    /// Nitromethane in the jug against its label, in volume percent.
    pub nitro_percent: f64,
    /// Oil in the jug against its label, in volume percent.
    pub oil_percent: f64,
    /// Viscosity of the oil against the book.
    pub viscosity_share: f64,
    /// Share of the charge that the worn sleeve loses.
    pub sleeve_wear_share: f64,
    /// What chance added to the start of each screw: high, low, idle.
    pub start_turns: [f64; 3],
    /// How far each screw turns from its start to the end at its lesser marks: in at the needles, out at the idle stop.
    pub least_mark_turns: [f64; 3],
    /// How far each turns from its start to the end at its greater marks.
    pub most_mark_turns: [f64; 3],
    /// Seed of the engine's noise, small enough to be exact wherever numbers are doubles.
    pub engine_seed: u64,
}

impl Drawn {
    /// Draws them.
    pub fn draw(scenario: &Scenario, seed: u64, episode: u64) -> Self {
        let chance = Chance::new(seed, episode);
        let within = |variable: u64, low, high| chance.uniform(Channel::Hidden, variable, low, high);
        let about = |variable: Variable, half_width: f64| within(variable as u64, -half_width, half_width);
        // An end is drawn from where the screw stands, never from where it is shut or wide open: whoever feels it has learnt nothing
        // of the opening, at either end.
        let end = |variable: Variable| {
            [0, 1, 2].map(|screw| {
                let scatter = 2.0 * scenario.hidden.zero_turns;
                within(variable as u64 + screw, LEAST_REACH, LEAST_REACH + scatter)
            })
        };
        let spread = scenario.start.spread_turns;
        Self {
            nitro_percent: about(Variable::Nitro, scenario.hidden.nitro_percent),
            oil_percent: about(Variable::Oil, scenario.hidden.oil_percent),
            viscosity_share: about(Variable::Viscosity, scenario.hidden.viscosity_share),
            sleeve_wear_share: within(Variable::Wear as u64, 0.0, scenario.hidden.sleeve_wear_share),
            start_turns: [0, 1, 2].map(|screw| within(Variable::Start as u64 + screw, -spread, spread)),
            least_mark_turns: end(Variable::LeastMark).map(|turns| -turns),
            most_mark_turns: end(Variable::MostMark),
            engine_seed: chance.of(Channel::Hidden, Variable::Engine as u64).next_u64() >> 12,
        }
    }

    /// The marks between which a screw turns.
    pub fn marks(&self, screw: Screw) -> RangeInclusive<f64> {
        let at = screw as usize;
        self.least_mark_turns[at]..=self.most_mark_turns[at]
    }
}
