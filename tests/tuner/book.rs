//! By the book (common practice).

use needlebench::practise::session::Level;
use needlebench::tuning::episode::Ending;
use rayon::prelude::*;

use crate::player::Player;

#[test]
fn the_book_ends_clean() {
    let names = std::env::var("SC").unwrap_or("lesson-1 lesson-2 lesson-3 fuel-change lean-low-end false-idle cold-morning mountain-track summer-heat small-engine big-engine air-leak tired-plug clogged-line".into());
    let seeds = std::env::var("SEEDS").map_or(3, |s| s.parse::<u64>().unwrap());
    let cases: Vec<(String, u64)> = names
        .split(' ')
        .flat_map(|n| (1..=seeds).map(move |s| (n.to_string(), s)))
        .collect();
    let lines: Vec<(bool, String)> = cases.par_iter().map(|(name, seed)| {
        let mut player = Player::new(name, Level::Assisted, *seed);
        player.by_the_book();
        let e = player.session.episode();
        let s = e.score();
        let (p, t) = (e.path().last().unwrap(), e.hidden.truth);
        (e.ending() == Some(Ending::Clean), format!("{name:15} {seed} {:?} turns {} trims {} lean {:.1} s ({}) dmg {:.2} min {:.1} off h{:+.1} l{:+.1} i{:+.1} first {:?} truth-clean {} {:?}", e.ending(), s.turns, s.idle_trims, s.lean_s, s.lean_crossings, s.damage, s.minutes, 24.0*(p.high_turns-t.high_turns), 24.0*(p.low_turns-t.low_turns), 24.0*(p.idle_turns-t.idle_turns), s.first_turn_right, e.hidden.at_truth.clean, e.report().map(|r| r.failed())))
    }).collect();
    for (_, l) in &lines {
        println!("{l}");
    }
    println!("{} of {}", lines.iter().filter(|l| l.0).count(), lines.len());
}

#[test]
fn doing_just_what_the_hints_say_wins_the_first_lesson() {
    use needlebench::practise::words::{Line, read};
    for seed in 1..=3 {
        let mut player = Player::new("lesson-1", Level::Guided, seed);
        let mut steps = 0;
        while let Some(hint) = player.last.hint {
            match read(hint.attempt) {
                Ok(Line::Act(action)) => player.act(action),
                other => panic!("`{}` is no command: {other:?}", hint.attempt),
            };
            steps += 1;
            assert!(steps < 300, "the hints go in circles");
        }
        assert_eq!(player.last.ended, Some(Ending::Clean), "seed {seed}");
    }
}
