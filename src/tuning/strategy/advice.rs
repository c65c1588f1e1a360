//! What a strategy proposes: an action and why, both as data; and somebody who follows one, remembering what comes of it.

use std::sync::Arc;

use serde::Serialize;

use super::file::Strategy;
use super::memory::Memory;
use super::reason::Because;
use crate::bench::checks::Limits;
use crate::tuning::action::Action;

/// A proposal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// What to do.
    pub action: Action,
    /// Why.
    pub because: Because,
}

/// The first rule that holds, as a proposal; none where no rule can be followed.
pub fn next(strategy: &Strategy, memory: &Memory) -> Option<Advice> {
    let holding = strategy.rules.iter().filter(|rule| rule.holds(memory));
    let mut proposed = holding.filter_map(|rule| {
        rule.action(memory).map(|action| Advice {
            action,
            because: rule.because.clone(),
        })
    });
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
    /// Somebody who knows the rules and the limits of a clean setting, and nothing of the engine yet.
    pub fn new(strategy: Arc<Strategy>, limits: Limits) -> Self {
        let memory = Memory::new(limits);
        Self { strategy, memory }
    }

    /// What to do next, and why.
    pub fn next(&self) -> Option<Advice> {
        next(&self.strategy, &self.memory)
    }
}

#[cfg(test)]
#[path = "advice_tests.rs"]
mod tests;
