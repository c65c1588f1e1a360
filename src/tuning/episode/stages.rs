//! A practice of several sign-offs: after each but the last the same engine comes to the bench on another day, with other fuel, other
//! weather and more wear, its screws where they were left.

use std::sync::{Arc, OnceLock};

use super::chop::AtBest;
use super::lean::Right;
use super::{Ending, Episode, Found, LIMIT_MS};
use crate::bench::checks::{self, Report};
use crate::bench::player::Stand;
use crate::engine::Engine;
use crate::engine::params::Setting;
use crate::tuning::action::Part;
use crate::tuning::hidden::Hidden;
use crate::tuning::scenario::Scenario;

/// Where a practice comes from: what its later stages are drawn from.
#[derive(Clone, Debug)]
pub(super) struct Origin {
    /// The situation.
    pub scenario: Scenario,
    /// Seed.
    pub seed: u64,
    /// Episode under it.
    pub episode: u64,
    /// Its later days, none where nothing is clean: drawn once for all practices that began as one.
    days: Arc<[OnceLock<Option<Day>>]>,
}

/// A later day, as far as it is the same for all.
#[derive(Debug)]
struct Day {
    hidden: Hidden,
    right: Arc<Right>,
    at_best: AtBest,
}

impl Origin {
    /// Of a fresh practice.
    pub fn new(scenario: &Scenario, seed: u64, episode: u64) -> Self {
        Self {
            scenario: scenario.clone(),
            seed,
            episode,
            days: scenario.stages.iter().map(|_| OnceLock::new()).collect(),
        }
    }

    /// The day after so many sign-offs; none after the last.
    fn day(&self, before: &Hidden, count: usize, stand: Stand, setting: Setting) -> Option<&Day> {
        let day = self.days.get(count - 1)?;
        if day.get().is_none() {
            let hidden = before.later(&self.scenario, self.seed, self.episode, count, setting);
            // Whoever was faster has found the same. Nobody waits for another: a core that waits may be asked to draw it itself.
            _ = day.set(hidden.ok().map(|hidden| Day {
                right: Arc::new(Right::of(&hidden, stand)),
                at_best: AtBest::of(&hidden),
                hidden,
            }));
        }
        day.get()?.as_ref()
    }
}

/// A stage that was signed off.
#[derive(Clone, Debug)]
pub struct SignedOff {
    /// What was hidden then.
    pub hidden: Hidden,
    /// The checks.
    pub report: Report,
    /// Parts still at fault then.
    pub left_at_fault: Vec<Part>,
}

impl SignedOff {
    /// Every check passed, and nothing was left at fault.
    pub fn clean(&self) -> bool {
        self.report.clean && self.left_at_fault.is_empty()
    }
}

impl Episode {
    /// Longest practice, ms on its clock: an hour for each sign-off.
    pub fn limit_ms(&self) -> u64 {
        LIMIT_MS * (1 + self.origin.scenario.stages.len() as u64)
    }

    /// Stages that were signed off, each with what was hidden in it.
    pub fn signed_off(&self) -> &[SignedOff] {
        &self.signed_off
    }

    /// The situation as it is now.
    pub fn situation(&self) -> Scenario {
        let Origin { scenario, .. } = &self.origin;
        scenario.at_stage(self.signed_off.len().min(scenario.stages.len()))
    }

    /// The settings that signing off has checked: the one at hand, and both needles leaner by what a safe one bears.
    pub(in crate::tuning) fn to_check(&self) -> [Setting; 2] {
        let stand = self.opening();
        [stand, checks::leaner(stand)]
    }

    /// Signs off with those two checks: ends the practice, or brings the next stage.
    pub(super) fn sign_off(&mut self, mut reports: Vec<Report>) -> Vec<Found> {
        let stand = self.opening();
        let leaner = reports.pop();
        let report = reports.swap_remove(0);
        let stage = SignedOff {
            hidden: self.hidden.clone(),
            report,
            left_at_fault: self.left_at_fault.clone(),
        };
        let clean = stage.clean();
        let count = self.signed_off.len() + 1;
        // Where no later day has a clean setting in reach, there is nothing to drive for: it ends here.
        let day = self.origin.day(&self.hidden, count, self.rig.stand(), stand);
        let next = day.map(|day| {
            let right = Arc::clone(&day.right);
            (self.hidden.came_to(&day.hidden, stand), right, day.at_best)
        });
        let Some((next, right, at_best)) = next else {
            let all_clean = clean && self.signed_off.iter().all(SignedOff::clean);
            self.ending = Some(if all_clean { Ending::Clean } else { Ending::NotClean });
            self.report = Some(stage.report);
            self.leaner = leaner;
            return Vec::new();
        };
        self.signed_off.push(stage);
        (self.right, self.at_best) = (right, at_best);
        self.begin_stage(next, count);
        vec![Found::SignedOff { clean }]
    }

    /// The engine comes to the bench again.
    fn begin_stage(&mut self, next: Hidden, count: usize) {
        let stage = &self.origin.scenario.stages[count - 1];
        self.rig.engine = Engine::new(&next.setup);
        let (before, engine) = (self.rig.state, &self.rig.engine);
        let mut state = if stage.cold {
            engine.cold_state()
        } else {
            engine.warm_state(0.0)
        };
        state.speed = 0.0;
        state.tank_fuel = stage.numbers.tank_percent / 100.0 * engine.tank_capacity();
        // Its clock goes on, and what has been done to it stays done.
        (state.time, state.revolution, state.damage) = (before.time, before.revolution, before.damage);
        self.rig.state = state;
        self.set_throttle(0.0);
        self.log.heard = Default::default();
        self.log.cleared_ms = None;
        self.log.silent_ms = Some(self.clock_ms);
        self.log.leanness = Default::default();
        self.hidden = next;
    }
}
