//! A strategy's file: parameters, and ordered rules of which the first that holds is followed. Read with the place of every mistake; a
//! rule that can never fire or never stop is named too.

use std::sync::Arc;

use super::doing::proposal;
use super::facts::{Fact, Kind, facts};
use super::never;
use super::parameters::{OUT_OF_RANGE, Parameter, Parameters, unknown};
use super::reason::{Because, Reason};
use super::rule::{Condition, Rule, Wanted};
use crate::config::{ConfigError, Source, Table, rewrite_at};
use crate::parameters::Key;

/// Characters that end a key: a reason with a space in it is a sentence of the file's own.
const SENTENCE: char = ' ';

static RULE_KEYS: [Key; 1] = [Key::design(
    "at_most",
    1.0,
    100.0,
    "How often in a row the same is proposed.",
)];

/// A number's range in a condition.
static RANGE_KEYS: [Key; 2] = [
    Key::design("from", -1e6, 1e6, "At least this."),
    Key::design("below", -1e6, 1e6, "Less than this."),
];

/// A strategy: its rules in their order.
#[derive(Clone, Debug)]
pub struct Strategy {
    /// Its name.
    pub name: String,
    /// How it tunes, in one line.
    pub summary: String,
    /// The numbers by which it can be varied, in the order of its file.
    pub parameters: Vec<Parameter>,
    /// Of these the first that holds is followed.
    pub rules: Vec<Rule>,
    /// The file that it was read from.
    pub source: Source,
}

impl Strategy {
    /// The list that only a strategy has: what tells its file from others.
    pub const OWN_TABLE: &'static str = "rule";

    /// Reads a strategy's file.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range, a rule that can never fire or never stop, or a parameter that
    /// nobody uses.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(&[], &["name", "summary", Parameters::TABLE, Self::OWN_TABLE])?;
        let parameters = Parameters::read(&root)?;
        let facts = facts();
        let tables = root.tables(Self::OWN_TABLE)?;
        let mut rules: Vec<Rule> = Vec::with_capacity(tables.len());
        for table in &tables {
            rules.push(rule(table, &facts, &parameters)?);
            never::fires(&rules, &tables)?;
        }
        if rules.last().is_none_or(|last| !last.when.is_empty()) {
            return Err(ConfigError::Together {
                place: tables.last().map_or(root.place(), Table::place),
                what: "there may come a time when no rule holds".to_string(),
                remedy: "end with a rule without `when`, say `do = \"sign-off\"`",
            });
        }
        never::stops(&rules, &tables)?;
        Ok(Self {
            name: root.text("name")?,
            summary: root.text("summary")?,
            parameters: parameters.all_used()?,
            rules,
            source: source.clone(),
        })
    }

    /// The same strategy with other values of some of its parameters, read anew from its file with these numbers in it.
    ///
    /// # Errors
    /// No such parameter, or with these values it is a file that can't be used.
    pub fn with(&self, values: &[(&str, f64)]) -> Result<Self, ConfigError> {
        let mut texts = Vec::with_capacity(values.len());
        for &(name, value) in values {
            let known = self.parameters.iter().find(|parameter| parameter.name == name);
            let parameter = known.ok_or_else(|| unknown(self.source.place(0), name, &self.parameters))?;
            if !(parameter.low..=parameter.high).contains(&value) {
                return Err(ConfigError::Together {
                    place: self.source.place(parameter.text.start),
                    what: format!(
                        "`{name}` = {value} is outside its own range, {} to {}",
                        parameter.low, parameter.high
                    ),
                    remedy: OUT_OF_RANGE,
                });
            }
            // The last of several values counts.
            texts.retain(|(text, _)| *text != parameter.text);
            texts.push((parameter.text.clone(), value));
        }
        Self::read(&Source::new(&self.source.path, &rewrite_at(&self.source.text, &texts)))
    }
}

fn rule(table: &Table<'_>, facts: &[Fact], parameters: &Parameters) -> Result<Rule, ConfigError> {
    table.only(&RULE_KEYS, &["when", "do", "because"])?;
    let when = match table.optional_table("when")? {
        Some(when) => conditions(&when, facts, parameters)?,
        None => Vec::new(),
    };
    let at_most = parameters.optional(table, &RULE_KEYS[0])?;
    Ok(Rule {
        when,
        proposal: proposal(table, parameters)?,
        because: because(table)?,
        at_most: at_most.map(|most| most.value as u32),
    })
}

fn conditions(when: &Table<'_>, facts: &[Fact], parameters: &Parameters) -> Result<Vec<Condition>, ConfigError> {
    let known: Vec<&str> = facts.iter().map(|fact| fact.name).collect();
    when.only(&[], &known)?;
    let asked = facts.iter().filter(|fact| when.has(fact.name));
    asked
        .map(|fact| {
            wanted(when, fact, parameters).map(|wanted| Condition {
                fact: fact.clone(),
                wanted,
            })
        })
        .collect()
}

fn wanted(when: &Table<'_>, fact: &Fact, parameters: &Parameters) -> Result<Wanted, ConfigError> {
    match &fact.kind {
        Kind::YesNo => when.yes_no(fact.name).map(Wanted::YesNo),
        Kind::Word(all) => {
            let (mut words, mut unknown) = (Vec::new(), false);
            for (word, place) in when.words_of(fact.name)? {
                match all.iter().find(|known| **known == word) {
                    Some(known) => words.push(*known),
                    None if word == "unknown" => unknown = true,
                    None => {
                        let known: Vec<&str> = all.iter().copied().chain(["unknown"]).collect();
                        return Err(ConfigError::no_such(place, fact.name, &word, &known));
                    }
                }
            }
            Ok(Wanted::Words { words, unknown })
        }
        Kind::Number { unit, low, high } => {
            if when.kind_of(fact.name) == Some("a text") {
                let word = when.text(fact.name)?;
                if word == "unknown" {
                    return Ok(Wanted::Unknown);
                }
            }
            let range = when.table(fact.name)?;
            range.only(&RANGE_KEYS, &[])?;
            let [from, below] = [&RANGE_KEYS[0], &RANGE_KEYS[1]].map(|key| parameters.optional(&range, key));
            let (first, last) = (from?, below?);
            let outside = [first, last]
                .into_iter()
                .flatten()
                .find_map(|number| number.outside(fact.name, *low, *high, unit));
            let from = first.map_or(f64::NEG_INFINITY, |number| number.value);
            let below = last.map_or(f64::INFINITY, |number| number.value);
            let nothing = from >= below || (unit.is_empty() && from.ceil() >= below);
            let what = match outside {
                Some(what) => what,
                None if nothing => format!("no `{}` is at least {from} and below {below} {unit}", fact.name),
                None => return Ok(Wanted::Number { from, below }),
            };
            Err(ConfigError::Together {
                place: when.place_of(fact.name),
                what: what.trim_end().to_string(),
                remedy: OUT_OF_RANGE,
            })
        }
    }
}

/// Why: a reason's key, or a sentence of the file's own.
fn because(table: &Table<'_>) -> Result<Because, ConfigError> {
    let text = table.text("because")?;
    if text.contains(SENTENCE) {
        return Ok(Because::Own(Arc::from(text)));
    }
    let known: Vec<&str> = Reason::ALL.iter().map(|reason| reason.key()).collect();
    Reason::of(&text)
        .map(Because::Known)
        .ok_or_else(|| ConfigError::no_such(table.place_of("because"), "reason", &text, &known))
}

#[cfg(test)]
#[path = "file_tests.rs"]
mod tests;
