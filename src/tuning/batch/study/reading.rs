//! The tables of a study's file that are more than plain numbers: situations, skills, who plays, and what is claimed.

use std::path::Path;
use std::sync::Arc;

use super::parts::{Entrant, Hypothesis, LOOK_AHEAD, Measure, Size, Way, skill_name};
use crate::config::models::is_path;
use crate::config::{ConfigError, Place, Table};
use crate::parameters::Key;
use crate::tuning::human::Skill;
use crate::tuning::scenario::{self, Scenario};
use crate::tuning::strategy::{self, STRATEGIES};

/// Number of hidden engines that an entrant may be given for itself.
static EPISODES: &Key = &Size::KEYS[1];

/// All words of a key, none twice.
fn distinct<'s>(root: &Table<'s>, key: &str) -> Result<Vec<(String, Place)>, ConfigError> {
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

pub fn scenarios(root: &Table<'_>) -> Result<Vec<Scenario>, ConfigError> {
    let mut all: Vec<Scenario> = Vec::new();
    for (name, place) in distinct(root, "scenarios")? {
        let known: Vec<&str> = scenario::SCENARIOS.iter().map(|file| file.name).collect();
        if !is_path(&name) && !known.contains(&name.as_str()) {
            return Err(ConfigError::no_such(place, "scenario", &name, &known));
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

pub fn skills(root: &Table<'_>) -> Result<Vec<Skill>, ConfigError> {
    let words = distinct(root, "skills")?;
    let known = Skill::ALL.map(skill_name);
    words
        .into_iter()
        .map(|(word, place)| {
            let skill = Skill::ALL.into_iter().find(|skill| skill_name(*skill) == word);
            skill.ok_or_else(|| ConfigError::no_such(place, "skill", &word, &known))
        })
        .collect()
}

pub fn entrants(root: &Table<'_>, all: u64) -> Result<Vec<Entrant>, ConfigError> {
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
            return Err(ConfigError::no_such(table.place_of("name"), "strategy", &name, &known));
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

pub fn hypotheses(root: &Table<'_>, entrants: &[Entrant]) -> Result<Vec<Hypothesis>, ConfigError> {
    let labels: Vec<&str> = entrants.iter().map(|entrant| entrant.label.as_str()).collect();
    root.tables("hypothesis")?
        .iter()
        .map(|table| {
            table.only(&[], &["claim", "measure", "less", "than"])?;
            let who = |key: &str| {
                let word = table.text(key)?;
                let at = labels.iter().position(|label| *label == word);
                at.ok_or_else(|| ConfigError::no_such(table.place_of(key), "strategy in this study", &word, &labels))
            };
            let word = table.text("measure")?;
            let measure = Measure::ALL.into_iter().find(|measure| measure.key() == word);
            Ok(Hypothesis {
                claim: table.text("claim")?,
                measure: measure.ok_or_else(|| {
                    ConfigError::no_such(
                        table.place_of("measure"),
                        "measure",
                        &word,
                        &Measure::ALL.map(Measure::key),
                    )
                })?,
                less: who("less")?,
                than: who("than")?,
            })
        })
        .collect()
}
