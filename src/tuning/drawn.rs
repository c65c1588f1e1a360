//! What chance made of a scenario: every value that a practice hides because it was drawn, by (seed, episode, variable).
//!
//! It is data, so that a recording can tell it once the practice is over.

use std::ops::RangeInclusive;

use rand::Rng;
use rand_distr::{Bernoulli, Distribution, Uniform};
use serde::{Deserialize, Serialize};

use super::action::Screw;
use super::scenario::{Fault, LEAST_SHARE, Off, Scenario};
use crate::chance::{Chance, Generator};
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
    Fault = 14,
    /// Which set of constants is the engine's.
    Set = 15,
    /// The jug of a later stage: nitro, oil and viscosity, three for each stage.
    Jug = 100,
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
    /// What is broken, if anything is.
    pub fault: Option<Fault>,
    /// How far each screw starts from its true setting: high, low, idle; rich and fast are positive.
    pub start_turns: [f64; 3],
    /// How far each screw turns from its start to the end at its lesser marks: in at the needles, out at the idle stop.
    pub least_mark_turns: [f64; 3],
    /// How far each turns from its start to the end at its greater marks.
    pub most_mark_turns: [f64; 3],
    /// Seed of the engine's noise, small enough to be exact wherever numbers are doubles.
    pub engine_seed: u64,
    /// Which set of constants of the ensemble is the engine's, from 0 up to 1 (it knows how many there are); none where it is the reference's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_share: Option<f64>,
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
        Self {
            nitro_percent: about(Variable::Nitro, scenario.hidden.nitro_percent),
            oil_percent: about(Variable::Oil, scenario.hidden.oil_percent),
            viscosity_share: about(Variable::Viscosity, scenario.hidden.viscosity_share),
            sleeve_wear_share: within(Variable::Wear as u64, 0.0, scenario.hidden.sleeve_wear_share),
            fault: fault(scenario, chance),
            start_turns: [0.0; 3],
            least_mark_turns: end(Variable::LeastMark).map(|turns| -turns),
            most_mark_turns: end(Variable::MostMark),
            engine_seed: chance.of(Channel::Hidden, Variable::Engine as u64).next_u64() >> 12,
            set_share: scenario.ensemble.then(|| within(Variable::Set as u64, 0.0, 1.0)),
        }
    }

    /// Another jug, opened after so many sign-offs: as far off its label as any, and differently.
    pub fn another_jug(self, scenario: &Scenario, seed: u64, episode: u64, signed_off: usize) -> Self {
        let chance = Chance::new(seed, episode);
        let about = |k: u64, half_width: f64| {
            let variable = Variable::Jug as u64 + 3 * signed_off as u64 + k;
            chance.uniform(Channel::Hidden, variable, -half_width, half_width)
        };
        Self {
            nitro_percent: about(0, scenario.hidden.nitro_percent),
            oil_percent: about(1, scenario.hidden.oil_percent),
            viscosity_share: about(2, scenario.hidden.viscosity_share),
            ..self
        }
    }

    /// How far the screws may start from their true setting: one draw after the other, until one makes a practice.
    pub fn starts(scenario: &Scenario, seed: u64, episode: u64) -> impl Iterator<Item = [f64; 3]> {
        let chance = Chance::new(seed, episode);
        let offs = scenario.start.offs();
        let mut generators = [0, 1, 2].map(|screw| chance.of(Channel::Hidden, Variable::Start as u64 + screw));
        std::iter::repeat_with(move || {
            let mut screws = generators.iter_mut().zip(&offs);
            [0; 3].map(|_| screws.next().map_or(0.0, |(generator, off)| off_turns(generator, off)))
        })
    }

    /// The marks between which a screw turns.
    pub fn marks(&self, screw: Screw) -> RangeInclusive<f64> {
        let at = screw as usize;
        self.least_mark_turns[at]..=self.most_mark_turns[at]
    }
}

/// How far off a screw is. Each draw takes three numbers, whether it uses them or not.
fn off_turns(generator: &mut Generator, off: &Off) -> f64 {
    let [is_off, up] = [off.chance, off.up_chance].map(|chance| happens(generator, chance));
    let [least, most] = if up { off.up_turns } else { off.down_turns };
    let turns = between(generator, least, most);
    match (is_off, up) {
        (false, _) => 0.0,
        (true, true) => turns,
        (true, false) => -turns,
    }
}

/// What is broken: whether anything, which part, and how badly.
fn fault(scenario: &Scenario, chance: Chance) -> Option<Fault> {
    let worst = scenario.fault.worst();
    let mut generator = chance.of(Channel::Hidden, Variable::Fault as u64);
    let broken = happens(&mut generator, scenario.fault.chance_percent / 100.0);
    let which = between(&mut generator, 0.0, worst.len() as f64) as usize;
    let share = between(&mut generator, LEAST_SHARE, 1.0);
    let Fault { part, size } = *worst.get(which.min(worst.len().saturating_sub(1)))?;
    broken.then_some(Fault {
        part,
        size: share * size,
    })
}

/// Whether something with this chance happens.
fn happens(generator: &mut Generator, chance: f64) -> bool {
    Bernoulli::new(chance).is_ok_and(|coin| coin.sample(generator))
}

/// Uniform; the lower end where that is no range.
fn between(generator: &mut Generator, low: f64, high: f64) -> f64 {
    Uniform::new_inclusive(low, high).map_or(low, |within| within.sample(generator))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::scenario::{FaultNumbers, NeedleNumbers, source};

    fn scenario() -> Scenario {
        Scenario::read(&source("lesson-1").unwrap()).unwrap()
    }

    fn share(of: impl Iterator<Item = bool>) -> f64 {
        let all: Vec<bool> = of.collect();
        all.iter().filter(|yes| **yes).count() as f64 / all.len() as f64
    }

    #[test]
    fn a_screw_is_off_as_often_and_as_far_as_the_file_says() {
        let mut s = scenario();
        s.start.low = NeedleNumbers {
            off_percent: 60.0,
            rich_percent: 30.0,
            least_turns: 0.1,
            most_rich_turns: 0.7,
            most_lean_turns: 0.2,
        };
        let low: Vec<f64> = (0..4000)
            .map(|seed| Drawn::starts(&s, seed, 0).next().unwrap()[1])
            .collect();
        assert!((share(low.iter().map(|turns| *turns != 0.0)) - 0.6).abs() < 0.03);
        let off: Vec<f64> = low.iter().copied().filter(|turns| *turns != 0.0).collect();
        assert!((share(off.iter().map(|turns| *turns > 0.0)) - 0.3).abs() < 0.03);
        let [least, most] = [f64::min, f64::max].map(|end| off.iter().copied().fold(off[0], end));
        assert!(
            (-0.2..-0.195).contains(&least) && (0.69..0.7).contains(&most),
            "{least} {most}"
        );
        assert!(off.iter().all(|turns| turns.abs() >= 0.1));
        // One draw after the other, each its own; and the first of a seed is always the same.
        let three: Vec<f64> = Drawn::starts(&s, 5, 0).take(3).map(|turns| turns[0]).collect();
        assert!(three[0] != three[1] && three[1] != three[2]);
        assert_eq!(Drawn::starts(&s, 5, 0).next().unwrap()[0], three[0]);
        // Another screw's widths move nothing.
        s.start.high.most_rich_turns = 3.0;
        assert_eq!(Drawn::starts(&s, 7, 0).next().unwrap()[1], low[7]);
    }

    #[test]
    fn one_part_at_most_is_at_fault_as_often_as_the_file_says() {
        let mut s = scenario();
        let drawn =
            |s: &Scenario| -> Vec<Option<Fault>> { (0..4000).map(|seed| Drawn::draw(s, seed, 0).fault).collect() };
        assert!(drawn(&s).iter().all(Option::is_none));
        s.fault = FaultNumbers {
            chance_percent: 25.0,
            air_leak_mm2: 0.6,
            plug_tired_share: 0.5,
            ..FaultNumbers::default()
        };
        let faults = drawn(&s);
        assert!((share(faults.iter().map(Option::is_some)) - 0.25).abs() < 0.03);
        let broken: Vec<Fault> = faults.into_iter().flatten().collect();
        use crate::tuning::action::Part;
        assert!((share(broken.iter().map(|fault| fault.part == Part::Plug)) - 0.5).abs() < 0.06);
        for fault in broken {
            let worst = if fault.part == Part::Plug { 0.5 } else { 0.6 };
            assert!((LEAST_SHARE * worst..=worst).contains(&fault.size), "{fault:?}");
        }
    }
}
