//! A study: which strategies play which situations how often, what it costs when something goes wrong, and what is asked of the
//! outcome. Read from a file with the place of every mistake.

mod parts;
mod reading;

use std::path::Path;

pub use parts::{
    Costs, Entrant, Hypothesis, LOOK_AHEAD, Measure, Outside, RankingNumbers, Size, Start, Way, skill_name,
};
use reading::{entrants, hypotheses, scenarios, skills};

use super::ranking::Rules;
use crate::config::models::{self, BuiltIn, is_path};
use crate::config::{ConfigError, SetupError, Source, Table};
use crate::digest::Digest;
use crate::parameters::put;
use crate::tuning::fingerprint::fingerprint;
use crate::tuning::human::Skill;
use crate::tuning::scenario::Scenario;

/// A study.
#[derive(Clone, Debug)]
pub struct Study {
    /// Its name.
    pub name: String,
    /// What it asks, in one line.
    pub summary: String,
    /// Seed and number of hidden engines.
    pub size: Size,
    /// Situations.
    pub scenarios: Vec<Scenario>,
    /// Who plays.
    pub entrants: Vec<Entrant>,
    /// How practised those are who play.
    pub skills: Vec<Skill>,
    /// Whether par is sought for every hidden engine.
    pub par: bool,
    /// What goes wrong.
    pub costs: Costs,
    /// How it is ranked.
    pub ranking: RankingNumbers,
    /// What is said of the ways.
    pub hypotheses: Vec<Hypothesis>,
}

macro_rules! studies {
    ($($name:literal)+) => {
        &[$(BuiltIn {
            name: $name,
            path: concat!("scenarios/studies/", $name, ".toml"),
            text: include_str!(concat!("../../../scenarios/studies/", $name, ".toml")),
        },)+]
    };
}

/// The built-in studies.
pub const STUDIES: &[BuiltIn] = studies!("standard" "unknown-engine" "quick");

/// Keys at the top of a study's file that are no numbers.
const KEYS: [&str; 9] = [
    "name",
    "summary",
    "scenarios",
    "skills",
    "par",
    Costs::GROUP,
    RankingNumbers::GROUP,
    "strategy",
    "hypothesis",
];

/// The text of a study, by name or path.
///
/// # Errors
/// No such name, or a file that can't be read.
pub fn source(argument: &str) -> Result<Source, ConfigError> {
    if is_path(argument) {
        return Source::read(Path::new(argument));
    }
    models::built_in("study", argument, STUDIES)
}

impl Study {
    /// Tables that only a study has: what tells its file from others.
    pub const OWN_TABLE: &'static str = Costs::GROUP;

    /// Reads a study's file, and the scenarios and strategies that it names.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range, or a file that it names and that can't be used.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(Size::KEYS, &KEYS)?;
        let mut size = Size::default();
        for key in Size::KEYS {
            put(size.get_mut(key.name), root.number(key)?.floor());
        }
        let (mut costs, mut ranking) = (Costs::default(), RankingNumbers::default());
        root.table(Costs::GROUP)?
            .group(Costs::KEYS, &[], |k, v| put(costs.get_mut(k), v))?;
        root.table(RankingNumbers::GROUP)?
            .group(RankingNumbers::KEYS, &[], |k, v| put(ranking.get_mut(k), v))?;
        ranking.first_stage = ranking.first_stage.floor();
        let entrants = entrants(&root, size.episodes as u64)?;
        Ok(Self {
            name: root.text("name")?,
            summary: root.text("summary")?,
            size,
            scenarios: scenarios(&root)?,
            skills: skills(&root)?,
            par: root.has("par") && root.yes_no("par")?,
            costs,
            ranking,
            hypotheses: hypotheses(&root, &entrants)?,
            entrants,
        })
    }

    /// The same with another seed or another number of hidden engines; nobody plays more than that.
    pub fn sized(mut self, seed: Option<u64>, episodes: Option<u64>) -> Self {
        if let Some(seed) = seed {
            self.size.seed = seed as f64;
        }
        if let Some(episodes) = episodes {
            let all = self.size.episodes as u64;
            for entrant in &mut self.entrants {
                // Who was to play them all still does.
                entrant.episodes = if entrant.episodes == all {
                    episodes
                } else {
                    entrant.episodes.min(episodes)
                };
            }
            self.size.episodes = episodes as f64;
        }
        self
    }

    /// Seed of everything that is drawn.
    pub fn seed(&self) -> u64 {
        self.size.seed as u64
    }

    /// Hidden engines of each situation.
    pub fn episodes(&self) -> u64 {
        self.size.episodes as u64
    }

    /// The same with one more who plays, under a name that nobody has yet.
    pub fn with(mut self, label: &str, way: Way) -> Self {
        let taken = |label: &str| self.entrants.iter().any(|entrant| entrant.label == label);
        let numbered = (2..).map(|number| format!("{label}-{number}"));
        let label = std::iter::once(label.to_string())
            .chain(numbered)
            .find(|label| !taken(label));
        self.entrants.push(Entrant {
            label: label.unwrap_or_default(),
            way,
            episodes: self.episodes(),
        });
        self
    }

    /// All hidden engines. They are numbered through the situations in turn, so that a study that is broken off has met all alike.
    pub fn engines(&self) -> u64 {
        self.episodes() * self.scenarios.len() as u64
    }

    /// Situation and episode of a hidden engine.
    pub fn engine(&self, number: u64) -> (usize, u64) {
        let situations = self.scenarios.len() as u64;
        ((number % situations) as usize, number / situations)
    }

    /// Practices on one hidden engine in an episode.
    pub fn practices(&self, episode: u64) -> usize {
        self.skills.len() * self.entrants.iter().filter(|e| episode < e.episodes).count()
    }

    /// How a race is run.
    pub fn rules(&self) -> Rules {
        Rules {
            confidence: self.ranking.confidence_percent / 100.0,
            indifference: self.ranking.indifference_turns,
            first_stage: self.ranking.first_stage as usize,
        }
    }

    /// A digest of all that its practices follow from: the models, the situations, who plays, and what is drawn. What is asked of the
    /// outcome is no part of it.
    ///
    /// # Errors
    /// A model that can't be used.
    pub fn identity(&self) -> Result<u64, SetupError> {
        let mut digest = Digest::from(self.seed());
        digest.word(self.episodes());
        digest.word(u64::from(self.par));
        digest.text(env!("CARGO_PKG_VERSION"));
        for scenario in &self.scenarios {
            digest.text(&scenario.name);
            digest.text(&fingerprint(scenario)?);
        }
        for entrant in &self.entrants {
            digest.text(&entrant.label);
            digest.word(entrant.episodes);
            match &entrant.way {
                Way::Rules(strategy) => digest.text(&strategy.source.text),
                Way::LookAhead => digest.text(LOOK_AHEAD),
                Way::Outside(outside) => digest.text(&outside.identity),
            }
        }
        for skill in &self.skills {
            digest.text(skill_name(*skill));
        }
        Ok(digest.value())
    }
}

#[cfg(test)]
#[path = "study_tests.rs"]
mod tests;
