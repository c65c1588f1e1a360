//! What a study consists of: its size, what it costs when something goes wrong, who plays and how, and what is claimed.

use std::sync::Arc;

use serde::Serialize;

use crate::parameters::parameters;
use crate::tuning::batch::playing::Tuner;
use crate::tuning::human::Skill;
use crate::tuning::scenario::Scenario;
use crate::tuning::strategy::file::Strategy;

parameters! {
    /// How large a study is.
    Size "size" {
        /// Seed of everything that is drawn.
        seed: 0 ..= 9007199254740992_i64, design;
        /// Hidden engines of each situation.
        episodes: 1 ..= 1000000, design;
    }
}

parameters! {
    /// What goes wrong, in needle turns that are added to those made.
    Costs "costs" {
        /// Signed off and not clean, or not signed off at all.
        not_clean_turns: 0 ..= 1000, design;
        /// The engine is lost.
        lost_turns: 0 ..= 1000, design;
    }
}

parameters! {
    /// How ways are ranked.
    RankingNumbers "ranking" {
        /// Confidence of every statement, percent.
        confidence_percent: 50 ..= 99.9, design;
        /// A difference in cost that nobody minds, needle turns.
        indifference_turns: 0.01 ..= 50, design;
        /// Observations from which spreads are taken before anything is dropped.
        first_stage: 5 ..= 10000, design;
    }
}

/// Who plays: a strategy under the name it has in this study.
#[derive(Clone, Debug)]
pub struct Entrant {
    /// Its name here.
    pub label: String,
    /// How it tunes.
    pub way: Way,
    /// Hidden engines of each situation that it meets: the first so many.
    pub episodes: u64,
}

/// How somebody tunes.
#[derive(Clone, Debug)]
pub enum Way {
    /// By the rules of a file.
    Rules(Arc<Strategy>),
    /// By beliefs over hidden engines.
    LookAhead,
    /// By a program of somebody's own.
    Outside(Outside),
}

/// A program of somebody's own that tunes.
#[derive(Clone)]
pub struct Outside {
    /// What tells it from others: its command and what is known of its text.
    pub identity: String,
    /// Starts it for a practice.
    pub start: Arc<Start>,
}

/// Starts whoever tunes a practice, told the situation and how practised its hands are.
pub type Start = dyn Fn(&Scenario, Skill) -> Box<dyn Tuner> + Send + Sync;

impl std::fmt::Debug for Outside {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Outside").field(&self.identity).finish()
    }
}

/// What is measured of a practice where two ways are held against each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Needle turns.
    Turns,
    /// Needle turns and what went wrong.
    Cost,
    /// Share of engines lost.
    Lost,
    /// Share of practices won.
    Won,
    /// Seconds too lean.
    Lean,
    /// Wear, share of an engine's life.
    Wear,
    /// Minutes.
    Minutes,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Turns,
        Self::Cost,
        Self::Lost,
        Self::Won,
        Self::Lean,
        Self::Wear,
        Self::Minutes,
    ];

    /// Its name in a study's file.
    pub fn key(self) -> &'static str {
        match self {
            Self::Turns => "turns",
            Self::Cost => "cost",
            Self::Lost => "lost",
            Self::Won => "won",
            Self::Lean => "lean",
            Self::Wear => "wear",
            Self::Minutes => "minutes",
        }
    }
}

/// Something that is said of two ways, to be found for or against.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hypothesis {
    /// What is said.
    pub claim: String,
    /// What is measured.
    pub measure: Measure,
    /// Which way is said to have less of it: its place among the entrants.
    pub less: usize,
    /// Than which.
    pub than: usize,
}

/// The name of the tuner that looks ahead, beside those of files.
pub const LOOK_AHEAD: &str = "look-ahead";

/// A skill's name in files.
pub fn skill_name(skill: Skill) -> &'static str {
    match skill {
        Skill::Beginner => "beginner",
        Skill::Club => "club",
        Skill::Expert => "expert",
    }
}
