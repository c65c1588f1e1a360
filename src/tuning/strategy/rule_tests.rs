//! Turns that are drawn and passes that are begun, on sights made up for them.

use std::sync::Arc;

use super::*;
use crate::bench::checks::Limits;
use crate::bench::instruments::Note;
use crate::chance::Chance;
use crate::config::Source;
use crate::tuning::episode::Refusal;
use crate::tuning::strategy::Sight;
use crate::tuning::strategy::advice::Follower;
use crate::tuning::strategy::file::Strategy;

fn sight() -> Sight {
    Sight {
        running: true,
        ..Sight::standing()
    }
}

fn follower(rules: &str, chance: Chance) -> Follower {
    let text = format!(
        "name = \"mine\"\nsummary = \"my own way\"\n{rules}[[rule]]\ndo = \"sign-off\"\nbecause = \"all-right\"\n"
    );
    let strategy = Strategy::read(&Source::new("mine.toml", &text)).unwrap_or_else(|error| panic!("{error}"));
    let mut follower = Follower::new(Arc::new(strategy), Limits::STANDARD, chance);
    follower.memory.listen(&sight());
    follower
}

fn rule(when: &str, act: &str) -> String {
    format!("[[rule]]\nwhen = {{ {when} }}\ndo = {act}\nbecause = \"asked-for\"\n")
}

/// Does what is proposed, the whole of it.
fn does(follower: &mut Follower, sight: &mut Sight) -> Action {
    let action = follower.next().unwrap().action;
    if let Action::Turn { screw, turns } = action {
        *match screw {
            Screw::High => &mut sight.marks.high_turns,
            Screw::Low => &mut sight.marks.low_turns,
            Screw::Idle => &mut sight.marks.idle_turns,
        } += turns;
    }
    sight.clock_s += 1.0;
    follower.memory.did(&action, sight);
    action
}

fn draws(chance: Chance, between: &str) -> Vec<(Screw, i32)> {
    let drawn = "{ turn = [\"high\", \"low\"], random_clicks = [-6, 6] }";
    let mut follower = follower(
        &(between.to_string() + &rule("needle_turns = { below = 40 }", drawn)),
        chance,
    );
    let mut sight = sight();
    let mut turns = Vec::new();
    loop {
        match does(&mut follower, &mut sight) {
            Action::Turn { screw, turns: by } => turns.push((screw, (24.0 * by).round() as i32)),
            Action::SignOff => return turns,
            _ => {}
        }
    }
}

#[test]
fn the_same_practice_draws_the_same_turns_whatever_else_is_done() {
    let drawn = draws(Chance::new(3, 1), "");
    assert_eq!(drawn.len(), 40);
    assert_eq!(drawn, draws(Chance::new(3, 1), ""));
    assert_ne!(drawn, draws(Chance::new(4, 1), ""));
    assert_ne!(drawn, draws(Chance::new(3, 2), ""));
    // Readings in between move nothing: what counts is how often chance has decided.
    assert_eq!(
        drawn,
        draws(
            Chance::new(3, 1),
            &rule(
                "head_c = \"unknown\", needle_turns = { from = 5, below = 6 }",
                "\"gun\"\nat_most = 2"
            )
        )
    );
    // Every size on both screws, and none of nothing.
    let all: std::collections::BTreeSet<i32> = (0..10)
        .flat_map(|n| draws(Chance::new(3, n), ""))
        .map(|(_, clicks)| clicks)
        .collect();
    assert_eq!(all, (-6..=6).filter(|clicks| *clicks != 0).collect());
    for screw in [Screw::High, Screw::Low] {
        assert!(drawn.iter().filter(|(drawn, _)| *drawn == screw).count() > 10);
    }
}

#[test]
fn what_was_drawn_stays_until_it_is_done_and_nothing_is_drawn_beyond_an_end() {
    let drawn = rule(
        "needle_turns = { below = 40 }",
        "{ turn = \"high\", random_clicks = [-3, 3] }",
    );
    let mut follower = follower(&drawn, Chance::new(3, 1));
    let mut sight = sight();
    for _ in 0..30 {
        let first = follower.next().unwrap().action;
        assert_eq!(follower.next().unwrap().action, first);
        follower.memory.refused(&first, Refusal::AtEnd);
        let other = follower.next().unwrap().action;
        assert_ne!(other, first, "refused");
        // Leaner does nothing any more.
        let out = matches!(other, Action::Turn { turns, .. } if turns > 0.0);
        if out {
            sight.marks.high_turns += 0.01;
        }
        sight.clock_s += 1.0;
        follower.memory.did(&other, &sight);
        if !out {
            for _ in 0..5 {
                assert!(matches!(follower.next().unwrap().action, Action::Turn { turns, .. } if turns > 0.0));
            }
        }
    }
}

#[test]
fn a_pass_is_begun_when_nothing_is_left_of_the_one_before_and_hears_anew() {
    let hold = "{ throttle_percent = 100, hold_s = 3 }";
    let rules = rule("full = \"unknown\"", hold)
        + &rule(
            "pass = { below = 1 }, full = \"dull\", pass_high_times = { below = 2 }",
            "{ turn = \"high\", leaner_clicks = 6 }",
        )
        + &rule(
            "pass = { from = 1, below = 2 }, pass_low_times = { below = 1 }",
            "{ turn = \"low\", leaner_clicks = 3 }",
        )
        + &rule("pass = { below = 3 }", "\"next-pass\"")
        + &rule("high_times = { from = 3 }", "\"gun\"");
    let mut follower = follower(&rules, Chance::new(1, 0));
    let mut sight = sight();
    let mut done = Vec::new();
    loop {
        let action = follower.next().unwrap().action;
        let full = matches!(action, Action::Hold { .. });
        sight.throttle = if full { 1.0 } else { 0.0 };
        sight.notes = if full {
            vec![Note::FullDull]
        } else {
            vec![Note::IdleTooSoon]
        };
        done.push(match does(&mut follower, &mut sight) {
            Action::Hold { .. } => "full",
            Action::Turn { screw: Screw::High, .. } => "high",
            Action::Turn { screw: Screw::Low, .. } => "low",
            Action::SignOff => break,
            other => panic!("{other:?}"),
        });
    }
    // Two turns of the high-speed needle in the first pass; the low-speed needle's leaves full throttle as it was heard.
    assert_eq!(
        done,
        ["full", "high", "full", "high", "full", "full", "low", "full", "full"]
    );
}
