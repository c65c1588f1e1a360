//! A tuner that looks ahead: it holds beliefs over hidden engines, does the same round of tests each time, and makes the turn that it
//! expects to cost least.
//!
//! Its engines are drawn as a practice draws its own, with a seed that no practice has, and played in lanes once for each situation
//! ([`library`]): how the round of tests (`signs`) comes out with the screws off by so much, and where the setting is clean. What it
//! hears is held against them (`belief`); it knows no more of the engine at hand than anybody who has tuned a dozen like it.

pub mod alike;
mod axis;
mod belief;
pub mod library;
pub mod signs;

use std::sync::Arc;

use belief::Belief;
use library::Library;
use signs::Round;

use crate::bench::checks::Limits;
use crate::tuning::action::{Action, Screw};
use crate::tuning::batch::playing::{End, Tuner};
use crate::tuning::episode::{Found, Refusal};
use crate::tuning::strategy::Sight;

/// Clicks of a turn.
const CLICKS: f64 = 24.0;
/// Rounds of tests after which it signs off what it has.
const MOST_ROUNDS: u32 = 20;
/// Sign-offs refused after which it gives up: an engine that can't be kept warm.
const MOST_REFUSED: u32 = 3;
/// Rounds that it does at most over at one setting, and what each of these counts, for what the library has wrong it has wrong each time
/// (assumed).
const MOST_AGAIN: u32 = 1;
const REPEATED: f64 = 0.7;
/// What a turn has to gain besides its own cost, and what one of the idle stop counts as in that, needle turns: else trims would follow
/// each other for ever, since they are free.
const LEAST_GAIN: f64 = 0.5;
const LEAST_COST: f64 = 1.5;
/// Less likely clean than this nothing is signed off while there is time to listen.
const UNKNOWN: f64 = 0.4;
/// What is as likely clean as this is done without listening once more.
const CLEAR: f64 = 0.8;
/// Needle turns that it costs to sign off what is not clean: what studies ask as a rule.
const NOT_CLEAN: f64 = 20.0;

/// Where it stands in its work.
#[derive(Clone, Debug)]
enum Doing {
    /// Does a round of tests.
    Testing(Box<Round>),
    /// Has made up its mind: these actions, the next first, and then another round.
    Turning(Vec<Action>),
    /// Signs off.
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
    /// Sign-offs that were refused.
    refused: u32,
    /// To be done first: parts to put right, fuel.
    found: Vec<Action>,
    /// The plug was read since the high-speed needle was last turned.
    plug_read: bool,
    /// Rounds done over with the screws as they stand.
    again: u32,
}

impl LookAhead {
    /// Somebody who knows engines like those of the library.
    pub fn new(library: Arc<Library>, limits: Limits) -> Self {
        Self {
            belief: Belief::new(library),
            limits,
            turned: [0.0; 3],
            doing: Doing::Testing(Box::new(Round::first(limits))),
            rounds: 0,
            tank_quarters: 4,
            running: false,
            refused: 0,
            found: Vec::new(),
            again: 0,
            plug_read: false,
        }
    }

    /// What to do after a round of tests.
    fn decide(&mut self, round: Round) -> Doing {
        self.rounds += 1;
        let with_plug = round.has_plug();
        let signs = round.signs();
        let died = signs.died_at.is_some();
        let first = self.again == 0 || with_plug;
        let counts = if first { 1.0 } else { REPEATED };
        self.belief.take_in(signs, self.turned, counts);
        let now = self.belief.clean_share(self.turned);
        let (turns, made, then) = self.belief.best_turns(self.turned, NOT_CLEAN);
        let pays = NOT_CLEAN * (then - now) > if made > 0.0 { made } else { LEAST_COST } + LEAST_GAIN;
        // Where it is not sure what comes of either, listening once more costs a minute and no turn; an engine that dies says the same
        // again.
        let sure = if pays { then } else { now };
        if self.again < MOST_AGAIN && sure < CLEAR && !died && self.rounds < MOST_ROUNDS && !with_plug {
            self.again += 1;
            return Doing::Turning(Vec::new());
        }
        // Where nothing is known to be clean, the likeliest is tried.
        if !(pays || now < UNKNOWN && made > 0.0) || self.rounds >= MOST_ROUNDS {
            // The plug has the last word on the high end.
            if self.plug_read || !self.running {
                return Doing::SigningOff;
            }
            self.plug_read = true;
            return Doing::Testing(Box::new(Round::plug(self.limits)));
        }
        self.again = 0;
        let [high, low, idle] = turns;
        self.plug_read &= high == 0.0;
        let wanted = [(Screw::Idle, idle), (Screw::Low, low), (Screw::High, high)];
        let turn = |(screw, turns): (Screw, f64)| (turns != 0.0).then_some(Action::Turn { screw, turns });
        Doing::Turning(wanted.into_iter().filter_map(turn).collect())
    }

    /// Another round, with fuel for it.
    fn another(&mut self) -> Doing {
        if self.tank_quarters < 3 {
            self.found.push(Action::Fuel);
        }
        Doing::Testing(Box::new(Round::later(self.limits, self.running)))
    }
}

impl Tuner for LookAhead {
    fn next(&mut self) -> Result<Action, End> {
        if self.refused > MOST_REFUSED {
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
                        self.decide(*round)
                    }
                },
                Doing::Turning(actions) => match actions.pop() {
                    Some(action) => return Ok(action),
                    None => self.another(),
                },
                Doing::SigningOff => return Ok(Action::SignOff),
            };
            self.doing = next;
            if let Some(first) = self.found.pop() {
                return Ok(first);
            }
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
            // Between two tests.
            Doing::Testing(_) if matches!(action, Action::Fix { .. } | Action::Fuel) => {}
            Doing::Testing(round) => round.did(action, sight),
            Doing::Turning(_) | Doing::SigningOff => {}
        }
    }

    fn refused(&mut self, action: &Action, _: Refusal) {
        match &mut self.doing {
            Doing::Testing(round) => round.refused(action),
            Doing::Turning(_) => {}
            // It has cooled, or a test was cut short: what is asked for is a round of tests.
            Doing::SigningOff => {
                self.refused += 1;
                self.doing = self.another();
            }
        }
    }
}

#[cfg(test)]
#[path = "mod_tests.rs"]
mod cases;
