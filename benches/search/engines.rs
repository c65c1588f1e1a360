//! The hidden engines that a search meets, what comes of strategies on them, and what that costs.

use std::sync::Arc;

use needlebench::tuning::batch::playing::{End, Practice, play};
use needlebench::tuning::episode::Episode;
use needlebench::tuning::human::Skill;
use needlebench::tuning::scenario::Scenario;
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::file::Strategy;
use rayon::prelude::*;

/// What goes wrong, in needle turns: as the standard study has it.
const NOT_CLEAN_TURNS: f64 = 20.0;
const LOST_TURNS: f64 = 50.0;
/// What takes long or wears, in needle turns: so little that it decides only among what tunes alike.
const FREE_MINUTES: f64 = 10.0;
const MINUTE_TURNS: f64 = 0.1;
const LEAN_SECOND_TURNS: f64 = 0.05;

/// What came of one practice.
#[derive(Clone, Copy)]
pub struct Outcome {
    pub turns: f64,
    pub clean: bool,
    pub lost: bool,
    pub lean_s: f64,
    pub minutes: f64,
}

impl Outcome {
    fn of(practice: &Practice<Follower>) -> Self {
        let score = practice.episode.score();
        Self {
            turns: f64::from(score.turns),
            clean: practice.end == Some(End::Clean),
            lost: practice.end == Some(End::Lost),
            lean_s: score.lean_s,
            minutes: score.minutes,
        }
    }

    /// What it cost, in needle turns.
    pub fn cost(&self) -> f64 {
        let wrong = match self {
            _ if self.lost => LOST_TURNS,
            _ if self.clean => 0.0,
            _ => NOT_CLEAN_TURNS,
        };
        let long = MINUTE_TURNS * (self.minutes - FREE_MINUTES).max(0.0);
        self.turns + wrong + long + LEAN_SECOND_TURNS * self.lean_s
    }
}

/// A hidden engine, drawn once for everybody who meets it.
pub struct Engine<'a> {
    scenario: &'a Scenario,
    fresh: Episode,
}

/// The hidden engines of these seeds, as many of each situation; one that can't be drawn is left out.
pub fn drawn(scenarios: &[Scenario], from: u64, count: u64) -> Vec<Engine<'_>> {
    let seeds = (from..from + count).flat_map(|seed| scenarios.iter().map(move |scenario| (scenario, seed)));
    let seeds: Vec<(&Scenario, u64)> = seeds.collect();
    seeds
        .par_iter()
        .filter_map(|&(scenario, seed)| {
            let fresh = Episode::reset_for(scenario, seed, 0, Skill::Club).ok()?;
            Some(Engine { scenario, fresh })
        })
        .collect()
}

/// What comes of each strategy on each of these engines, those of one engine side by side.
pub fn played(engines: &[Engine<'_>], strategies: &[Arc<Strategy>]) -> Vec<Vec<Outcome>> {
    let by_engine: Vec<Vec<Outcome>> = engines
        .par_iter()
        .map(|Engine { scenario, fresh }| {
            let follower = |of: &Arc<Strategy>| Follower::new(of.clone(), scenario.limits, fresh.chance());
            let practice = |of| Practice::new(fresh.clone(), follower(of));
            let mut practices: Vec<_> = strategies.iter().map(practice).collect();
            play(&mut practices);
            practices.iter().map(Outcome::of).collect()
        })
        .collect();
    let of = |at: usize| by_engine.iter().map(|outcomes| outcomes[at]).collect();
    (0..strategies.len()).map(of).collect()
}
