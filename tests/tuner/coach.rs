//! The coach, followed to the letter by somebody who knows nothing but its hints: every one can be followed, none breaks what a racer
//! holds to, and it comes to an end with the engine unharmed. How often it wins is studied by `cargo bench --bench coach`.

use needlebench::bench::instruments::{Note, PinchRise};
use needlebench::practise::session::Level;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::{Ending, Found};
use needlebench::tuning::scenario::SCENARIOS;
use rayon::prelude::*;

use crate::player::Player;

/// Hints of one sign-off after which they go in circles.
const MOST_HINTS: usize = 250;

/// A low end this far lean has to be given fuel before anything is done to its idle, turns: beyond what is clean.
const LEAN_TURNS: f64 = -0.25;

/// Follows every hint of a practice to its end; what was wrong with one, if anything.
fn follow(name: &str, level: Level, seed: u64) -> Result<Player, String> {
    let mut player = Player::new(name, level, seed);
    let mut pinched = None;
    for _ in 0..MOST_HINTS * (1 + player.session.whole.stages.len()) {
        if player.last.sight.ended.is_some() {
            return Ok(player);
        }
        let Some(hint) = player.last.hint.clone() else {
            return Err(format!("{name}, seed {seed}: no hint though it goes on"));
        };
        let before = player.last.sight.clone();
        let wrong = |what: &str| {
            Err(format!(
                "{name}, seed {seed}, {:.0} s: {what}: {hint:?}",
                before.clock_s
            ))
        };
        match hint.action {
            Action::Plug | Action::Fix { .. } if before.running => return wrong("hands in a running engine"),
            Action::Turn {
                screw: Screw::Idle,
                turns,
            } if turns < 0.0
                && (pinched == Some((PinchRise::Hardly, true))
                    || player.session.episode().off(Screw::Low) < LEAN_TURNS) =>
            {
                return wrong("the stop closed on a lean idle");
            }
            _ => {}
        }
        match player.session.act(&hint.action) {
            Ok(frame) => player.last = frame,
            Err(refusal) => return wrong(&format!("refused, {refusal:?}")),
        }
        for found in &player.last.sight.found {
            if let Found::Pinched { rise, .. } = found {
                pinched = Some((*rise, before.has(Note::IdleFast)));
            }
        }
        if matches!(hint.action, Action::Turn { .. }) {
            pinched = None;
        }
    }
    Err(format!("{name}, seed {seed}: in circles"))
}

/// Every built-in situation, faults and the weekend included.
#[test]
fn every_hint_can_be_followed_and_none_breaks_a_rule_of_the_craft() {
    let wrong: Vec<String> = SCENARIOS
        .par_iter()
        .filter_map(|file| match follow(file.name, Level::Guided, 1) {
            Ok(player) => {
                let score = player.session.episode().score();
                (!score.unharmed).then(|| format!("{}: harmed, {score:?}", file.name))
            }
            Err(wrong) => Some(wrong),
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn doing_just_what_the_hints_say_signs_off() {
    for seed in 1..=3 {
        let player = follow("lesson-1", Level::Guided, seed).unwrap();
        let ending = player.last.sight.ended;
        assert!(
            matches!(ending, Some(Ending::Clean | Ending::NotClean)),
            "seed {seed}: {ending:?}"
        );
    }
}

#[test]
fn a_fault_left_alone_is_not_cured_by_needles() {
    for part in ["air_leak_mm2", "plug_tired_share", "line_blocked_share"] {
        let mut scenario = crate::player::scenario("lesson-1");
        scenario.fault.chance_percent = 100.0;
        *scenario.fault.get_mut(part).unwrap() = 0.5;
        let mut player = Player::with(scenario, Level::Assisted, 1);
        player.coached_but(|action| matches!(action, Action::Fix { .. }));
        assert_ne!(player.last.sight.ended, Some(Ending::Clean), "{part}");
    }
}
