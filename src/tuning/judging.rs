//! How a setting of a practice is judged: by the sign-off's checks, with the day's limits and from the warmth with which the engine comes
//! in from laps.

use super::warmth::Warmth;
use crate::bench::checks::{self, Facts, Limits, Report};
use crate::bench::manoeuvre::table::Waits;
use crate::config::EngineModel;
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup};

/// Largest openings.
const MOST: Setting = EngineModel::MOST_OPEN;

/// The opening at a screw position: never less than shut, never more than wide open.
pub fn within(setting: Setting) -> Setting {
    Setting {
        high_turns: setting.high_turns.clamp(0.0, MOST.high_turns),
        low_turns: setting.low_turns.clamp(0.0, MOST.low_turns),
        idle_turns: setting.idle_turns.clamp(0.0, MOST.idle_turns),
    }
}

/// A setting so far from another: high, low, idle.
pub fn off(from: Setting, turns: [f64; 3]) -> Setting {
    let [high, low, idle] = turns;
    within(Setting {
        high_turns: from.high_turns + high,
        low_turns: from.low_turns + low,
        idle_turns: from.idle_turns + idle,
    })
}

/// How a setting of this practice is judged.
#[derive(Clone, Copy, Debug)]
pub struct Judging {
    /// What the checks must know of the engine, in today's air.
    pub facts: Facts,
    /// Limits of a clean setting.
    pub limits: Limits,
    /// Waits of the checks.
    pub waits: Waits,
    /// How warm the engine comes in from laps today.
    pub warmth: Warmth,
    /// Seed of the engine's noise.
    pub seed: u64,
}

impl Judging {
    /// The sign-off of `setup` at `setting`.
    pub fn check(&self, setup: &Setup, setting: Setting) -> Report {
        self.check_all(setup, &[setting]).swap_remove(0)
    }

    /// The sign-offs of `setup` at many settings, half of them on another core where one is free: not if this is one core's part of
    /// a greater task already, for together they take less of it.
    pub fn check_on_both(&self, setup: &Setup, settings: &[Setting]) -> Vec<Report> {
        if rayon::current_thread_index().is_some() {
            return self.check_all(setup, settings);
        }
        let (one, other) = settings.split_at(settings.len() / 2);
        let (mut found, others) = rayon::join(|| self.check_all(setup, one), || self.check_all(setup, other));
        found.extend(others);
        found
    }

    /// The sign-offs of `setup` at many settings, side by side.
    pub fn check_all(&self, setup: &Setup, settings: &[Setting]) -> Vec<Report> {
        let mut lab = checks::lab(Engine::new(setup), setup, self.facts, &self.waits);
        let cases: Vec<_> = settings
            .iter()
            .map(|setting| {
                let start = self.warmth.stand(lab.engine(), *setting, self.seed);
                (lab.add(start), *setting, self.seed)
            })
            .collect();
        checks::check_in(&mut lab, &cases, setup, self.facts, &self.limits)
    }
}
