//! A strategy's file: ordered rules, of which the first that holds is followed. Read with the place of every mistake; a rule that
//! can never fire, since an earlier one takes all its cases, is named too.

use std::sync::Arc;

use super::facts::{Fact, Kind, facts};
use super::reason::{Because, Reason};
use super::rule::{Condition, Proposal, Rule, Wanted};
use crate::config::{ConfigError, Place, Source, Table, names};
use crate::parameters::{Key, Origin};
use crate::tuning::action::{Action, Part, Screw};

/// Clicks of a screw in a turn: the steps by which sizes are given.
const CLICKS: f64 = 24.0;
/// Characters that end a key: a reason with a space in it is a sentence of the file's own.
const SENTENCE: char = ' ';

const fn key(name: &'static str, low: f64, high: f64, meaning: &'static str) -> Key {
    Key {
        name,
        low,
        high,
        origin: Origin::design,
        meaning,
    }
}

const CLICKS_MEAN: &str =
    "Clicks of 1/24 turn; a list gives the first size, the one after turning back once, and so on.";

/// What an action can take, and where each stands in the list.
static DO_KEYS: [Key; 8] = [
    key("richer_clicks", 1.0, 48.0, CLICKS_MEAN),
    key("leaner_clicks", 1.0, 48.0, CLICKS_MEAN),
    key("faster_clicks", 1.0, 48.0, CLICKS_MEAN),
    key("slower_clicks", 1.0, 48.0, CLICKS_MEAN),
    key("throttle_percent", 0.0, 100.0, "The throttle, held for hold_s."),
    key("hold_s", 0.05, 600.0, "How long it is held."),
    key("wait_s", 0.05, 600.0, "Time to let pass."),
    key("laps", 1.0, 20.0, "Laps to drive."),
];
const RICHER: usize = 0;
const LEANER: usize = 1;
const FASTER: usize = 2;
const SLOWER: usize = 3;
const THROTTLE_PERCENT: usize = 4;
const HOLD_S: usize = 5;
const WAIT_S: usize = 6;
const LAPS: usize = 7;

static RULE_KEYS: [Key; 1] = [key("at_most", 1.0, 100.0, "How often in a row the same is proposed.")];

/// A number's range in a condition.
static RANGE_KEYS: [Key; 2] = [
    key("from", -1e6, 1e6, "At least this."),
    key("below", -1e6, 1e6, "Less than this."),
];

/// Actions that take something, as they are told to somebody who names none.
const MEASURED: [&str; 5] = [
    "{ turn = \"high\", leaner_clicks = 3 }",
    "{ throttle_percent = 100, hold_s = 3 }",
    "{ wait_s = 18 }",
    "{ laps = 3 }",
    "{ fix = \"plug\" }",
];

/// Actions that are one word in a file.
const PLAIN: [(&str, Proposal); 12] = [
    ("fix", Proposal::FixFound),
    ("fuel", Proposal::Do(Action::Fuel)),
    ("gun", Proposal::Do(Action::Gun)),
    ("inspect", Proposal::Do(Action::Inspect)),
    ("leave", Proposal::Do(Action::Leave)),
    ("pinch", Proposal::Do(Action::Pinch)),
    ("plug", Proposal::Do(Action::Plug)),
    ("roll-on", Proposal::Do(Action::RollOn)),
    ("sign-off", Proposal::Do(Action::SignOff)),
    ("start", Proposal::Do(Action::Start)),
    ("stop", Proposal::Do(Action::Stop)),
    ("warm", Proposal::Do(Action::Warm)),
];

/// A strategy: its rules in their order.
#[derive(Clone, Debug)]
pub struct Strategy {
    /// Its name.
    pub name: String,
    /// How it tunes, in one line.
    pub summary: String,
    /// Of these the first that holds is followed.
    pub rules: Vec<Rule>,
}

impl Strategy {
    /// The list that only a strategy has: what tells its file from others.
    pub const OWN_TABLE: &'static str = "rule";

    /// Reads a strategy's file.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range, or a rule that can never fire.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(&[], &["name", "summary", Self::OWN_TABLE])?;
        let facts = facts();
        let tables = root.tables(Self::OWN_TABLE)?;
        let mut rules: Vec<Rule> = Vec::with_capacity(tables.len());
        for (at, table) in tables.iter().enumerate() {
            let rule = rule(table, &facts)?;
            if let Some(by) = rules.iter().position(|earlier| earlier.shadows(&rule)) {
                return Err(ConfigError::Together {
                    place: table.place(),
                    what: format!(
                        "rule {} can never fire: rule {} (line {}) holds whenever it does",
                        at + 1,
                        by + 1,
                        tables[by].place().line
                    ),
                    remedy: "move it up, narrow the earlier one, or delete it",
                });
            }
            rules.push(rule);
        }
        if rules.last().is_none_or(|last| !last.when.is_empty()) {
            return Err(ConfigError::Together {
                place: tables.last().map_or(root.place(), Table::place),
                what: "there may come a time when no rule holds".to_string(),
                remedy: "end with a rule without `when`, say `do = \"sign-off\"`",
            });
        }
        Ok(Self {
            name: root.text("name")?,
            summary: root.text("summary")?,
            rules,
        })
    }
}

fn rule(table: &Table<'_>, facts: &[Fact]) -> Result<Rule, ConfigError> {
    table.only(&RULE_KEYS, &["when", "do", "because"])?;
    let when = match table.optional_table("when")? {
        Some(when) => conditions(&when, facts)?,
        None => Vec::new(),
    };
    Ok(Rule {
        when,
        proposal: proposal(table)?,
        because: because(table)?,
        at_most: table.optional_number(&RULE_KEYS[0])?.map(|most| most as u32),
    })
}

fn conditions(when: &Table<'_>, facts: &[Fact]) -> Result<Vec<Condition>, ConfigError> {
    let known: Vec<&str> = facts.iter().map(|fact| fact.name).collect();
    when.only(&[], &known)?;
    let asked = facts.iter().filter(|fact| when.has(fact.name));
    asked
        .map(|fact| {
            wanted(when, fact).map(|wanted| Condition {
                fact: fact.clone(),
                wanted,
            })
        })
        .collect()
}

fn wanted(when: &Table<'_>, fact: &Fact) -> Result<Wanted, ConfigError> {
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
                        return Err(no_such(place, fact.name, &word, &known));
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
            let from = range.optional_number(&RANGE_KEYS[0])?.unwrap_or(f64::NEG_INFINITY);
            let below = range.optional_number(&RANGE_KEYS[1])?.unwrap_or(f64::INFINITY);
            let unheard_of = [from, below]
                .into_iter()
                .find(|n| n.is_finite() && !(*low..=*high).contains(n));
            let what = match unheard_of {
                Some(value) => format!(
                    "`{}` = {value} is out of range; allowed {low} to {high} {unit}",
                    fact.name
                ),
                None if from >= below => format!("no `{}` is at least {from} and below {below} {unit}", fact.name),
                None => return Ok(Wanted::Number { from, below }),
            };
            Err(ConfigError::Together {
                place: when.place_of(fact.name),
                what: what.trim_end().to_string(),
                remedy: "change the value",
            })
        }
    }
}

fn no_such(place: Place, kind: &'static str, name: &str, known: &[&str]) -> ConfigError {
    let name: String = name.chars().take(60).collect::<String>().escape_debug().to_string();
    ConfigError::UnknownReference {
        place,
        kind,
        hint: names::hint(&name, known),
        name,
    }
}

/// What a rule does: one word, or a table with what it takes.
fn proposal(table: &Table<'_>) -> Result<Proposal, ConfigError> {
    if table.kind_of("do") != Some("a table") {
        let word = table.text("do")?;
        let plain = PLAIN.iter().find(|(name, _)| *name == word);
        let known = || {
            let words = PLAIN.iter().map(|(name, _)| *name);
            words.chain(MEASURED).collect::<Vec<_>>()
        };
        return plain
            .map(|(_, proposal)| proposal.clone())
            .ok_or_else(|| no_such(table.place_of("do"), "action", &word, &known()));
    }
    let act = table.table("do")?;
    act.only(&DO_KEYS, &["turn", "fix"])?;
    if act.has("turn") {
        return turn(&act);
    }
    let number = |key: usize| act.number(&DO_KEYS[key]);
    let ms = |seconds: f64| (1000.0 * seconds).round() as u32;
    Ok(Proposal::Do(if act.has("fix") {
        let word = act.text("fix")?;
        let known: Vec<&str> = Part::ALL.iter().map(|part| part.word()).collect();
        let part = Part::ALL.into_iter().find(|part| part.word() == word);
        Action::Fix {
            part: part.ok_or_else(|| no_such(act.place_of("fix"), "part", &word, &known))?,
        }
    } else if act.has(DO_KEYS[LAPS].name) {
        Action::Laps {
            laps: number(LAPS)?.round() as u8,
        }
    } else if act.has(DO_KEYS[WAIT_S].name) {
        Action::Wait {
            ms: ms(number(WAIT_S)?),
        }
    } else {
        Action::Hold {
            position: number(THROTTLE_PERCENT)? / 100.0,
            ms: ms(number(HOLD_S)?),
        }
    }))
}

/// A turn: which screw, which way, by how many clicks.
fn turn(act: &Table<'_>) -> Result<Proposal, ConfigError> {
    let word = act.text("turn")?;
    let (screw, ways) = match word.as_str() {
        "high" => (Screw::High, [RICHER, LEANER]),
        "low" => (Screw::Low, [RICHER, LEANER]),
        "idle" => (Screw::Idle, [FASTER, SLOWER]),
        _ => return Err(no_such(act.place_of("turn"), "screw", &word, &["high", "low", "idle"])),
    };
    let [more, less] = ways.map(|key| act.numbers(&DO_KEYS[key]));
    let (more, less) = (more?, less?);
    if more.is_empty() == less.is_empty() {
        let [more, less] = ways.map(|key| DO_KEYS[key].name);
        return Err(ConfigError::Together {
            place: act.place(),
            what: format!("a turn of the {} goes one way, `{more}` or `{less}`", screw.name()),
            remedy: "give one of the two, in clicks of 1/24 turn",
        });
    }
    let steps = more.iter().copied().chain(less.iter().map(|clicks| -clicks));
    Ok(Proposal::Turn {
        screw,
        steps: steps.map(|clicks| clicks.round() / CLICKS).collect(),
    })
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
        .ok_or_else(|| no_such(table.place_of("because"), "reason", &text, &known))
}

#[cfg(test)]
#[path = "file_tests.rs"]
mod tests;
