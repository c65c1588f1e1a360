//! A rule: when (conditions on facts), do (an action, or a turn whose size follows how often the screw has turned back) and because.
//! Whether it applies is a pure question to the memory.

use super::facts::{Fact, Kind, Value};
use super::memory::Memory;
use super::reason::Because;
use crate::tuning::action::{Action, Screw};

/// What a fact has to be: a set of its values.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted {
    /// Yes or no.
    YesNo(bool),
    /// One of these.
    Words {
        /// The words.
        words: Vec<&'static str>,
        /// Unknown will do too.
        unknown: bool,
    },
    /// A number of this range.
    Number {
        /// At least.
        from: f64,
        /// And less than.
        below: f64,
    },
    /// Unknown, of a number.
    Unknown,
}

impl Wanted {
    /// Whether a value is one of the set.
    pub fn holds(&self, value: Value) -> bool {
        match (self, value) {
            (Self::YesNo(wanted), Value::YesNo(is)) => *wanted == is,
            (Self::Words { words, .. }, Value::Word(is)) => words.contains(&is),
            (Self::Words { unknown, .. }, Value::Unknown) => *unknown,
            (Self::Number { from, below }, Value::Number(is)) => *from <= is && is < *below,
            (Self::Unknown, Value::Unknown) => true,
            _ => false,
        }
    }

    /// Whether every value of `other` is one of this set too.
    pub fn covers(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::YesNo(a), Self::YesNo(b)) => a == b,
            (
                Self::Words { words, unknown },
                Self::Words {
                    words: others,
                    unknown: too,
                },
            ) => others.iter().all(|word| words.contains(word)) && (*unknown || !too),
            (
                Self::Number { from, below },
                Self::Number {
                    from: other_from,
                    below: other_below,
                },
            ) => from <= other_from && other_below <= below,
            (Self::Unknown, Self::Unknown) => true,
            _ => false,
        }
    }

    /// Whether it is every value that a fact of this kind can have.
    pub fn anything(&self, kind: &Kind) -> bool {
        match (self, kind) {
            (Self::Words { words, unknown }, Kind::Word(all)) => {
                *unknown && all.iter().all(|word| words.contains(word))
            }
            _ => false,
        }
    }
}

/// A fact and what it has to be.
#[derive(Clone, Debug)]
pub struct Condition {
    /// The fact.
    pub fact: Fact,
    /// What it has to be.
    pub wanted: Wanted,
}

/// What a rule proposes.
#[derive(Clone, Debug, PartialEq)]
pub enum Proposal {
    /// This.
    Do(Action),
    /// Put right what was found at fault first.
    FixFound,
    /// Turn a screw: by the first step until it turns back for the first time, with that by the second, and so on; the last stays.
    Turn {
        /// Which.
        screw: Screw,
        /// Turns, with their sign as actions have it.
        steps: Vec<f64>,
    },
    /// Turn one of these screws by one of these turns, whichever is drawn of those that can be done.
    Drawn {
        /// The screws.
        screws: Vec<Screw>,
        /// Turns, with their sign as actions have it; none of them 0.
        clicks: Vec<f64>,
    },
    /// Begin the next pass: nothing is done, and what was found is found anew.
    NextPass,
}

/// What a rule comes to, with what is remembered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// This is done.
    Act(Action),
    /// This is done, and was drawn.
    Draw(Action),
    /// The next pass begins.
    NextPass,
}

/// A rule.
#[derive(Clone, Debug)]
pub struct Rule {
    /// All of these.
    pub when: Vec<Condition>,
    /// What it proposes then.
    pub proposal: Proposal,
    /// Why.
    pub because: Because,
    /// How often in a row the same may be proposed, if not without end.
    pub at_most: Option<u32>,
}

impl Rule {
    /// Whether all its conditions hold.
    pub fn holds(&self, memory: &Memory) -> bool {
        self.when.iter().all(|c| c.wanted.holds(c.fact.of(memory)))
    }

    /// Whether this rule holds whenever `other` does, so that nothing is left for `other` if it comes later.
    pub fn shadows(&self, other: &Self) -> bool {
        let implied = |name: &str, mine: &Wanted, anything: bool| {
            let same = other.when.iter().find(|theirs| theirs.fact.name == name);
            let silent = other.proposal.needs().find(|(fact, _)| *fact == name);
            match (same, silent) {
                (Some(theirs), _) => mine.covers(&theirs.wanted),
                (None, Some((_, is))) => mine.covers(&Wanted::YesNo(is)),
                (None, None) => anything,
            }
        };
        let said = self.when.iter();
        let mut said = said.map(|c| implied(c.fact.name, &c.wanted, c.wanted.anything(&c.fact.kind)));
        let mut needed = self
            .proposal
            .needs()
            .map(|(fact, is)| implied(fact, &Wanted::YesNo(is), false));
        self.at_most.is_none() && said.all(|holds| holds) && needed.all(|holds| holds)
    }

    /// What it proposes, if it can be done as far as one knows.
    pub fn step(&self, memory: &Memory) -> Option<Step> {
        let action = match &self.proposal {
            Proposal::Do(action) => *action,
            Proposal::FixFound => Action::Fix {
                part: memory.to_fix.first().copied()?,
            },
            Proposal::Turn { screw, steps } => {
                let went = memory.went[*screw as usize];
                let turns_back = steps.first().is_some_and(|step| step * went.last < 0.0);
                let back = went.turned_back as usize + usize::from(turns_back);
                let turns = *steps.get(back).or(steps.last())?;
                Action::Turn { screw: *screw, turns }
            }
            Proposal::Drawn { screws, clicks } => {
                let turns = screws.iter().flat_map(|screw| {
                    let screw = *screw;
                    clicks.iter().map(move |turns| Action::Turn { screw, turns: *turns })
                });
                let can: Vec<Action> = turns.filter(|turn| goes(turn, memory)).collect();
                return memory.lot.draw(&can).map(Step::Draw);
            }
            Proposal::NextPass => return Some(Step::NextPass),
        };
        let in_a_row = if memory.last == Some(action) {
            memory.repeated
        } else {
            0
        };
        let engine = running_for(&action).is_none_or(|running| running == memory.running);
        let can = engine && goes(&action, memory) && self.at_most.is_none_or(|most| in_a_row < most);
        can.then_some(Step::Act(action))
    }
}

/// Whether it was not refused just before, nor turns a screw beyond its end.
fn goes(action: &Action, memory: &Memory) -> bool {
    let on = match *action {
        Action::Turn { screw, turns } => turns * memory.went[screw as usize].at_end <= 0.0,
        _ => true,
    };
    on && !memory.refused.contains(action)
}

/// Whether the engine has to run for an action, or to stand; none where it may do either. Nobody pulls the plug of a running engine,
/// or reaches into it.
fn running_for(action: &Action) -> Option<bool> {
    match action {
        Action::Stop | Action::Pinch | Action::Warm | Action::Laps { .. } | Action::Hold { .. } | Action::RollOn => {
            Some(true)
        }
        Action::Start | Action::Plug | Action::Fix { .. } | Action::Inspect => Some(false),
        _ => None,
    }
}

impl Proposal {
    /// The facts that have to be so for it to be done, whether its rule says so or not.
    pub(super) fn needs(&self) -> impl Iterator<Item = (&'static str, bool)> {
        let (running, fault) = match self {
            Self::Do(action) => (running_for(action), None),
            Self::FixFound => (Some(false), Some(true)),
            Self::Turn { .. } | Self::Drawn { .. } | Self::NextPass => (None, None),
        };
        running
            .map(|is| ("running", is))
            .into_iter()
            .chain(fault.map(|is| ("fault_found", is)))
    }
}

#[cfg(test)]
#[path = "rule_tests.rs"]
mod tests;
