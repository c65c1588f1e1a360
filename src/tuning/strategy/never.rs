//! Rules that can never fire, for what they ask for excludes itself or an earlier rule takes all their cases; and rules that can never
//! stop, for once they hold nothing that is done changes that.
//!
//! Both are told from the file alone, so only what is certain is told: an engine may die, and an hour comes to its end.

use super::rule::{Proposal, Rule, Wanted};
use crate::config::{ConfigError, Table};
use crate::tuning::action::{Action, Screw};

/// What a fact has to be for another to be of some kind.
enum Is {
    /// Known at all.
    Known,
    /// Yes.
    Yes,
    /// At least one.
    Some,
}

/// A fact, and what it is.
type So = (&'static str, Is);

/// Facts that follow from others: where the first is so, the second is so too.
const FOLLOWS: [(So, So); 12] = [
    (("settled", Is::Yes), ("running", Is::Yes)),
    (("head_room_c", Is::Known), ("head_c", Is::Known)),
    (("head_read_s_ago", Is::Known), ("head_c", Is::Known)),
    (("head_c", Is::Known), ("head_room_c", Is::Known)),
    (("pinch_s", Is::Known), ("pinch", Is::Known)),
    (("pinch", Is::Known), ("pinch_s", Is::Known)),
    (("plug", Is::Known), ("plug_seen", Is::Yes)),
    (("plug_stops", Is::Some), ("plug_seen", Is::Yes)),
    (("pass_high_times", Is::Some), ("high_times", Is::Some)),
    (("pass_low_times", Is::Some), ("low_times", Is::Some)),
    (("high_times", Is::Some), ("needle_turns", Is::Some)),
    (("low_times", Is::Some), ("needle_turns", Is::Some)),
];

impl Is {
    /// Whether a fact that is as wanted is surely so.
    fn surely(&self, wanted: &Wanted) -> bool {
        match (self, wanted) {
            (Self::Known, Wanted::Words { unknown, .. }) => !unknown,
            (Self::Known, Wanted::Number { .. }) => true,
            (Self::Yes, Wanted::YesNo(is)) => *is,
            (Self::Some, Wanted::Number { from, .. }) => *from > 0.0,
            _ => false,
        }
    }

    /// Whether a fact that is as wanted can't be so.
    fn never(&self, wanted: &Wanted) -> bool {
        match (self, wanted) {
            (Self::Known, Wanted::Words { words, .. }) => words.is_empty(),
            (Self::Known, Wanted::Unknown) => true,
            (Self::Yes, Wanted::YesNo(is)) => !is,
            (Self::Some, Wanted::Number { below, .. }) => *below <= 1.0,
            _ => false,
        }
    }
}

/// Whether the last of these rules can ever fire after the ones before it, which stand in these tables.
///
/// # Errors
/// It can't.
pub(super) fn fires(rules: &[Rule], tables: &[Table<'_>]) -> Result<(), ConfigError> {
    let Some((rule, earlier)) = rules.split_last() else {
        return Ok(());
    };
    let at = earlier.len();
    let (why, remedy) = if let Some(by) = earlier.iter().position(|earlier| earlier.shadows(rule)) {
        let line = tables[by].place().line;
        let why = format!("rule {} (line {line}) holds whenever it does", by + 1);
        (why, "move it up, narrow the earlier one, or delete it")
    } else if let Some([one, other]) = contradiction(rule) {
        (
            format!("its {one} excludes its {other}"),
            "change one of the two, or delete it",
        )
    } else {
        return Ok(());
    };
    Err(ConfigError::Together {
        place: tables[at].place(),
        what: format!("rule {} can never fire: {why}", at + 1),
        remedy,
    })
}

/// Two things that a rule asks for, its deed among them, of which only one can be.
fn contradiction(rule: &Rule) -> Option<[String; 2]> {
    let needs = rule
        .proposal
        .needs()
        .map(|(fact, is)| (fact, Wanted::YesNo(is), "`do`".to_string()));
    let said = rule.when.iter();
    let said = said.map(|c| (c.fact.name, c.wanted.clone(), format!("`{}`", c.fact.name)));
    let asked: Vec<(&str, Wanted, String)> = said.chain(needs).collect();
    for (fact, wanted, name) in &asked {
        let others = asked.iter().filter(|(other, ..)| other != fact);
        // A deed asks for the same fact in another way.
        let same = asked.iter().find(|(other, is, _)| {
            other == fact && matches!((is, wanted), (Wanted::YesNo(one), Wanted::YesNo(other)) if one != other)
        });
        if let Some((.., other)) = same {
            return Some([name.clone(), other.clone()]);
        }
        for (other, is, other_name) in others {
            let excluded = FOLLOWS
                .iter()
                .any(|((one, so), (two, too))| one == fact && two == other && so.surely(wanted) && too.never(is));
            if excluded || more_than_all(fact, wanted, other, is) {
                return Some([name.clone(), other_name.clone()]);
            }
        }
    }
    None
}

/// Whether one needle is to have turned more often than both.
fn more_than_all(fact: &str, wanted: &Wanted, other: &str, is: &Wanted) -> bool {
    let part = ["high_times", "low_times"].contains(&fact) && other == "needle_turns"
        || fact == "pass_high_times" && other == "high_times"
        || fact == "pass_low_times" && other == "low_times";
    matches!((wanted, is), (Wanted::Number { from, .. }, Wanted::Number { below, .. }) if part && *from >= *below)
}

/// Whether a strategy can come to its end, and every rule of it.
///
/// # Errors
/// The first rule that can't stop once it holds, or nothing that ends a practice.
pub(super) fn stops(rules: &[Rule], tables: &[Table<'_>]) -> Result<(), ConfigError> {
    let wrong = |at: usize, why: &str, remedy: &'static str| {
        Err(ConfigError::Together {
            place: tables[at].place(),
            what: format!("rule {} can never stop: {why}", at + 1),
            remedy,
        })
    };
    for (at, rule) in rules.iter().enumerate() {
        if rule.proposal == Proposal::NextPass {
            let bounded = rule.when.iter().any(|condition| {
                condition.fact.name == "pass"
                    && matches!(condition.wanted, Wanted::Number { below, .. } if below.is_finite())
            });
            if !bounded {
                let why = "it begins pass after pass";
                return wrong(at, why, "say until when, with `pass = { below = 2 }` in its `when`");
            }
            continue;
        }
        let before = &rules[..at];
        let goes_on = rule.at_most.is_none() && !ends(rule) && !matches!(rule.proposal, Proposal::Turn { .. });
        let taken_over = before.iter().any(ends)
            || rules[..=at].iter().any(|done| {
                let needs = rule.proposal.needs().map(|(fact, _)| fact);
                let said = rule.when.iter().map(|condition| condition.fact.name);
                said.chain(needs).any(|fact| moves(&done.proposal, fact))
            });
        if goes_on && !taken_over {
            let why = "neither it nor a rule before it changes when it holds";
            return wrong(
                at,
                why,
                "give it `at_most`, a `when` that its deed ends, or a sign-off before it",
            );
        }
    }
    if !rules.iter().any(ends) {
        return wrong(rules.len() - 1, "no rule signs off", "end with `do = \"sign-off\"`");
    }
    Ok(())
}

/// Whether a rule ends the practice.
fn ends(rule: &Rule) -> bool {
    matches!(rule.proposal, Proposal::Do(Action::SignOff | Action::Leave))
}

/// Whether what a rule does may change a fact, as far as its doer means to: an engine that dies under it is nobody's deed. What isn't
/// named here may change with anything that is done.
fn moves(proposal: &Proposal, fact: &str) -> bool {
    let action = match proposal {
        Proposal::Do(action) => Some(action),
        _ => None,
    };
    let is = |wanted: &[Action]| {
        action.is_some_and(|is| {
            wanted
                .iter()
                .any(|one| std::mem::discriminant(one) == std::mem::discriminant(is))
        })
    };
    let turns = |of: &[Screw]| match proposal {
        Proposal::Turn { screw, .. } => of.contains(screw),
        Proposal::Drawn { screws, .. } => screws.iter().any(|screw| of.contains(screw)),
        _ => false,
    };
    let fixes = *proposal == Proposal::FixFound || matches!(action, Some(Action::Fix { .. }));
    let pass = *proposal == Proposal::NextPass;
    let hold = Action::Hold { position: 0.0, ms: 0 };
    let wait = Action::Wait { ms: 0 };
    match fact {
        "running" => is(&[Action::Start, Action::Stop, Action::Plug]),
        "looked_over" => is(&[Action::Inspect]),
        "fault_found" => fixes || is(&[Action::Inspect, Action::Plug]),
        "plug_seen" | "plug_stops" => fixes || is(&[Action::Plug]),
        "cures" => fixes,
        "drives" => fixes || is(&[Action::Laps { laps: 1 }]) || turns(&[Screw::High, Screw::Low]),
        "warmed" => fixes || is(&[Action::Warm, Action::Plug]),
        "high_last" | "high_turned_back" | "high_times" => turns(&[Screw::High]),
        "low_last" | "low_turned_back" | "low_times" => turns(&[Screw::Low]),
        "idle_last" | "idle_turned_back" | "idle_trims" | "gap" | "gap_mm" => turns(&[Screw::Idle]),
        "needle_turns" => turns(&[Screw::High, Screw::Low]),
        "pass" => fixes || pass,
        "pass_high_times" => fixes || pass || turns(&[Screw::High]),
        "pass_low_times" => fixes || pass || turns(&[Screw::Low]),
        "asks_roll_on" => fixes || is(&[Action::RollOn, hold]) || turns(&[Screw::High, Screw::Low]),
        "asks_full" => fixes || is(&[Action::RollOn, hold]) || turns(&[Screw::High, Screw::Low]),
        "asks_warm" => !is(&[Action::Inspect, Action::Gun]),
        "asks_idle" => fixes || is(&[Action::RollOn, hold, wait]) || turns(&Screw::ALL),
        // Waiting alone is no snap.
        "asks_snap" => fixes || is(&[hold]) || turns(&Screw::ALL),
        // No hand is as slow as that: a screw turns in no time.
        "head_c" | "head_room_c" | "minutes" | "head_read_s_ago" | "driven_s_ago" => !turns(&Screw::ALL) && !pass,
        _ => true,
    }
}

#[cfg(test)]
#[path = "never_tests.rs"]
mod tests;
