//! A study: which strategies play which situations how often, what it costs when something goes wrong, and what is asked of the
//! outcome. Read from a file with the place of every mistake.

use std::path::Path;
use std::sync::Arc;

use serde::Serialize;

use super::playing::Tuner;
use super::ranking::Rules;
use crate::config::models::{self, BuiltIn, is_path};
use crate::config::{ConfigError, SetupError, Source, Table, names};
use crate::digest::Digest;
use crate::parameters::{Key, parameters, put};
use crate::tuning::fingerprint::fingerprint;
use crate::tuning::human::Skill;
use crate::tuning::scenario::{self, Scenario};
use crate::tuning::strategy::file::Strategy;
use crate::tuning::strategy::{self, STRATEGIES};

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
pub const STUDIES: &[BuiltIn] = studies!("standard" "quick");

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

/// The name of the tuner that looks ahead, beside those of files.
pub const LOOK_AHEAD: &str = "look-ahead";

/// Number of hidden engines that an entrant may be given for itself.
static EPISODES: &Key = &Size::KEYS[1];

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

/// A skill's name in files.
pub fn skill_name(skill: Skill) -> &'static str {
    match skill {
        Skill::Beginner => "beginner",
        Skill::Club => "club",
        Skill::Expert => "expert",
    }
}

/// All words of a key, none twice.
fn distinct<'s>(root: &Table<'s>, key: &str) -> Result<Vec<(String, crate::config::Place)>, ConfigError> {
    let words = root.words_of(key)?;
    for (at, (word, place)) in words.iter().enumerate() {
        if words[..at].iter().any(|(before, _)| before == word) {
            return Err(ConfigError::Together {
                place: place.clone(),
                what: format!("`{key}` names `{}` twice", word.escape_debug()),
                remedy: "leave one of them out",
            });
        }
    }
    Ok(words)
}

fn scenarios(root: &Table<'_>) -> Result<Vec<Scenario>, ConfigError> {
    let mut all: Vec<Scenario> = Vec::new();
    for (name, place) in distinct(root, "scenarios")? {
        let known: Vec<&str> = scenario::SCENARIOS.iter().map(|file| file.name).collect();
        if !is_path(&name) && !known.contains(&name.as_str()) {
            return Err(unknown(place, "scenario", name, &known));
        }
        let scenario = Scenario::read(&scenario::source(&name)?)?;
        if all.iter().any(|before| before.name == scenario.name) {
            return Err(ConfigError::Together {
                place,
                what: format!("two scenarios are called `{}`", scenario.name),
                remedy: "give one another name",
            });
        }
        all.push(scenario);
    }
    Ok(all)
}

fn skills(root: &Table<'_>) -> Result<Vec<Skill>, ConfigError> {
    let words = distinct(root, "skills")?;
    let known = Skill::ALL.map(skill_name);
    words
        .into_iter()
        .map(|(word, place)| {
            let skill = Skill::ALL.into_iter().find(|skill| skill_name(*skill) == word);
            skill.ok_or_else(|| unknown(place, "skill", word, &known))
        })
        .collect()
}

fn entrants(root: &Table<'_>, all: u64) -> Result<Vec<Entrant>, ConfigError> {
    let tables = root.tables("strategy")?;
    let mut entrants: Vec<Entrant> = Vec::new();
    for table in &tables {
        table.only(&Size::KEYS[1..], &["name", "label", "parameters"])?;
        let name = table.text("name")?;
        let label = if table.has("label") {
            table.text("label")?
        } else if is_path(&name) {
            Path::new(&name)
                .file_stem()
                .map_or(name.clone(), |stem| stem.to_string_lossy().into_owned())
        } else {
            name.clone()
        };
        if label.contains([',', '"']) {
            return Err(ConfigError::Together {
                place: table.place_of("label"),
                what: "a label has neither commas nor quotes".to_string(),
                remedy: "choose another",
            });
        }
        if entrants.iter().any(|before| before.label == label) {
            return Err(ConfigError::Together {
                place: table.place(),
                what: format!("two strategies are called `{}`", label.escape_debug()),
                remedy: "give one a `label` of its own",
            });
        }
        let by_rules = STRATEGIES.iter().map(|file| file.name);
        let known: Vec<&str> = by_rules.chain([LOOK_AHEAD]).collect();
        if !is_path(&name) && !known.contains(&name.as_str()) {
            return Err(unknown(table.place_of("name"), "strategy", name, &known));
        }
        entrants.push(Entrant {
            label,
            way: way(&name, table)?,
            episodes: table.optional_number(EPISODES)?.map_or(all, |n| (n as u64).min(all)),
        });
    }
    if entrants.is_empty() {
        return Err(ConfigError::Together {
            place: root.place(),
            what: "nobody plays".to_string(),
            remedy: "name at least one as [[strategy]] with `name = \"coach\"`",
        });
    }
    Ok(entrants)
}

/// How an entrant tunes, with the values that it gives to parameters of its strategy.
fn way(name: &str, table: &Table<'_>) -> Result<Way, ConfigError> {
    let given = table.optional_table("parameters")?;
    if name == LOOK_AHEAD {
        return match given {
            None => Ok(Way::LookAhead),
            Some(given) => Err(ConfigError::Together {
                place: given.place(),
                what: format!("`{LOOK_AHEAD}` has no parameters"),
                remedy: "leave them out",
            }),
        };
    }
    let strategy = strategy::strategy(name)?;
    let Some(given) = given else {
        return Ok(Way::Rules(Arc::new(strategy)));
    };
    let names = given.names();
    let values = names.iter().map(|name| Ok((name.as_str(), given.free_number(name)?)));
    let values = values.collect::<Result<Vec<_>, ConfigError>>()?;
    strategy.with(&values).map(|strategy| Way::Rules(Arc::new(strategy)))
}

fn hypotheses(root: &Table<'_>, entrants: &[Entrant]) -> Result<Vec<Hypothesis>, ConfigError> {
    let labels: Vec<&str> = entrants.iter().map(|entrant| entrant.label.as_str()).collect();
    root.tables("hypothesis")?
        .iter()
        .map(|table| {
            table.only(&[], &["claim", "measure", "less", "than"])?;
            let who = |key: &str| {
                let word = table.text(key)?;
                let at = labels.iter().position(|label| *label == word);
                at.ok_or_else(|| unknown(table.place_of(key), "strategy in this study", word, &labels))
            };
            let word = table.text("measure")?;
            let measure = Measure::ALL.into_iter().find(|measure| measure.key() == word);
            Ok(Hypothesis {
                claim: table.text("claim")?,
                measure: measure.ok_or_else(|| {
                    unknown(
                        table.place_of("measure"),
                        "measure",
                        word,
                        &Measure::ALL.map(Measure::key),
                    )
                })?,
                less: who("less")?,
                than: who("than")?,
            })
        })
        .collect()
}

fn unknown(place: crate::config::Place, kind: &'static str, name: String, known: &[&str]) -> ConfigError {
    let name: String = name.chars().take(60).collect::<String>().escape_debug().to_string();
    ConfigError::UnknownReference {
        place,
        kind,
        hint: names::hint(&name, known),
        name,
    }
}

#[cfg(test)]
#[path = "study_tests.rs"]
mod tests;
