//! What a strategy proposes: an action and why, both as data; and somebody who follows one, remembering what comes of it and which pass
//! it is.

use std::sync::Arc;

use serde::Serialize;

use super::file::Strategy;
use super::memory::Memory;
use super::reason::Because;
use super::rule::Step;
use crate::bench::checks::Limits;
use crate::chance::Chance;
use crate::tuning::action::Action;

/// A proposal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// What to do.
    pub action: Action,
    /// Why.
    pub because: Because,
}

/// What the first rule that holds and can be followed comes to, and why; none where no rule can be.
fn first(strategy: &Strategy, memory: &Memory) -> Option<(Step, Because)> {
    let holding = strategy.rules.iter().filter(|rule| rule.holds(memory));
    let mut proposed = holding.filter_map(|rule| Some((rule.step(memory)?, rule.because.clone())));
    proposed.next()
}

/// A strategy and the memory of who follows it. It proposes; whoever acts may do something else, and it goes on from what is found
/// then.
#[derive(Clone, Debug)]
pub struct Follower {
    strategy: Arc<Strategy>,
    /// What is remembered.
    pub memory: Memory,
}

impl Follower {
    /// Somebody who knows the rules and the limits of a clean setting, and nothing of the engine yet. What the rules leave to chance
    /// is drawn from that of the practice's seed and number.
    pub fn new(strategy: Arc<Strategy>, limits: Limits, chance: Chance) -> Self {
        let memory = Memory::new(limits, chance);
        Self { strategy, memory }
    }

    /// What to do next, and why: the same until something was done or refused.
    #[expect(
        clippy::should_implement_trait,
        reason = "it never runs out: asked twice, it proposes the same"
    )]
    pub fn next(&mut self) -> Option<Advice> {
        // It comes to an end: a rule that begins passes says until which.
        loop {
            let (step, because) = first(&self.strategy, &self.memory)?;
            let action = match step {
                Step::NextPass => {
                    self.memory.next_pass();
                    continue;
                }
                Step::Draw(action) => {
                    self.memory.lot.offer(action);
                    action
                }
                Step::Act(action) => action,
            };
            return Some(Advice { action, because });
        }
    }
}

#[cfg(test)]
#[path = "made_up.rs"]
mod made_up;

#[cfg(test)]
#[path = "advice_tests.rs"]
mod tests;

#[cfg(test)]
#[path = "low_end_tests.rs"]
mod low_end;
