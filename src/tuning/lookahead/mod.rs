//! A tuner that looks ahead: it holds beliefs over hidden engines, does the same round of tests each time, and makes the turn that it
//! expects to cost least.
//!
//! Its engines are drawn as a practice draws its own, with a seed that no practice has, and played in lanes once for each situation
//! ([`library`]): how the round of tests ([`tests`]) comes out with the screws off by so much, and where the setting is clean. What it
//! hears is held against them ([`belief`]); it knows no more of the engine at hand than anybody who has tuned a dozen like it.

mod belief;
pub mod library;
mod tests;

use std::sync::Arc;

use belief::Belief;
use library::Library;
use tests::Round;

use crate::bench::checks::Limits;
use crate::tuning::action::{Action, Screw};
use crate::tuning::batch::playing::{End, Tuner};
use crate::tuning::episode::{Found, Refusal};
use crate::tuning::strategy::Sight;

/// Clicks of a turn.
const CLICKS: f64 = 24.0;
/// Rounds of tests after which it signs off what it has.
const MOST_ROUNDS: u32 = 7;
/// Needle turns that a setting costs which is not clean yet: one that sets it right, and the chance of another.
const AGAIN: f64 = 1.5;
/// Needle turns that it costs to sign off what is not clean: what studies ask as a rule.
const NOT_CLEAN: f64 = 20.0;
/// How often a setting that is not clean will be taken for one that is (assumed).
const NOT_SEEN: f64 = 0.05;

/// Where it stands in its work.
#[derive(Clone, Debug)]
enum Doing {
    /// Does a round of tests.
    Testing(Round),
    /// Has made up its mind: these actions, the next first, and then another round.
    Turning(Vec<Action>),
    /// Signs off, warming the engine up again if that is asked for.
    SigningOff,
}

/// The tuner.
#[derive(Clone, Debug)]
pub struct LookAhead {
    belief: Belief,
    limits: Limits,
    /// Turned since the start: high, low, idle.
    turned: [f64; 3],
    doing: Doing,
    rounds: u32,
    tank_quarters: u8,
    running: bool,
    /// Actions refused since the last that was done.
    refused: u32,
    found: Vec<Action>,
}

impl LookAhead {
    /// Somebody who knows engines like those of the library.
    pub fn new(library: Arc<Library>, limits: Limits) -> Self {
        Self {
            belief: Belief::new(library),
            limits,
            turned: [0.0; 3],
            doing: Doing::Testing(Round::first(limits)),
            rounds: 0,
            tank_quarters: 4,
            running: false,
            refused: 0,
            found: Vec::new(),
        }
    }

    pub fn told(&self) -> String {
        self.belief.told(self.turned)
    }

    /// What to do after a round of tests.
    fn decide(&mut self, round: &Round) -> Doing {
        self.rounds += 1;
        self.belief.take_in(&round.signs(), self.turned);
        let now = self.belief.clean_share(self.turned);
        let (turns, cost) = self.belief.best_turns(self.turned, AGAIN + NOT_SEEN * NOT_CLEAN);
        if NOT_CLEAN * (1.0 - now) <= cost || self.rounds >= MOST_ROUNDS {
            return Doing::SigningOff;
        }
        let [high, low, idle] = turns;
        let wanted = [(Screw::Idle, idle), (Screw::Low, low), (Screw::High, high)];
        let turn = |(screw, turns): (Screw, f64)| (turns != 0.0).then_some(Action::Turn { screw, turns });
        let mut actions: Vec<Action> = wanted.into_iter().filter_map(turn).collect();
        if self.tank_quarters < 4 {
            actions.insert(0, Action::Fuel);
        }
        Doing::Turning(actions)
    }
}

impl Tuner for LookAhead {
    fn next(&mut self) -> Result<Action, End> {
        if self.refused > 4 {
            return Err(End::NothingProposed);
        }
        if let Some(cure) = self.found.pop() {
            return Ok(cure);
        }
        loop {
            let next = match &mut self.doing {
                Doing::Testing(round) => match round.next() {
                    Some(action) => return Ok(action),
                    None => {
                        let round = round.clone();
                        self.decide(&round)
                    }
                },
                Doing::Turning(actions) => match actions.pop() {
                    Some(action) => return Ok(action),
                    None => Doing::Testing(Round::later(self.limits)),
                },
                Doing::SigningOff if self.refused == 0 => return Ok(Action::SignOff),
                // It has cooled at the plug, or a test was cut short.
                Doing::SigningOff if !self.running => return Ok(Action::Start),
                Doing::SigningOff => return Ok(Action::Warm),
            };
            self.doing = next;
        }
    }

    fn did(&mut self, action: &Action, sight: &Sight) {
        (self.tank_quarters, self.running) = (sight.tank_quarters, sight.running);
        self.turned = [sight.marks.high_turns, sight.marks.low_turns, sight.marks.idle_turns];
        let faults = sight.found.iter().filter_map(|found| match found {
            Found::Looked { part, at_fault: true } => Some(Action::Fix { part: *part }),
            _ => None,
        });
        self.found.extend(faults);
        match &mut self.doing {
            Doing::Testing(round) => round.did(action, sight),
            Doing::Turning(_) => {}
            Doing::SigningOff => {
                // Started for it and warm: once more.
                if *action == Action::Start {
                    return;
                }
            }
        }
        self.refused = 0;
    }

    fn refused(&mut self, action: &Action, _: Refusal) {
        self.refused += 1;
        if let Doing::Testing(round) = &mut self.doing {
            round.refused(action);
            self.refused = 0;
        }
    }
}
