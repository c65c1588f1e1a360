//! Whether somebody new who follows the hints by hand comes through: `cargo bench --bench hinted -- [--scenario lesson-1] [--seeds 20]
//! [--show SEED]`. Prints of each practice how it ended, what it took, and how often a hint went again before it could be read.

#[path = "../tests/hinted/hand.rs"]
mod hand;

use hand::{Hand, Played};
use rayon::prelude::*;

/// A hint that goes within this was not read, s.
const READ_S: f64 = 1.0;

fn line(seed: u64, played: &Played) {
    let score = &played.score;
    let unread = played
        .hints
        .windows(2)
        .filter(|pair| pair[1].0 - pair[0].0 < READ_S)
        .count();
    println!(
        "seed {seed:2}: {:?}, {} turns, {} trims, {:.0} min, {:.1} s lean, wear {:.1} %, {} hints, {unread} unread, one line {} times",
        played.ending,
        score.turns,
        score.idle_trims,
        score.minutes,
        score.lean_s,
        100.0 * score.damage,
        played.hints.len(),
        played.said_again,
    );
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let after = |flag: &str| {
        let at = arguments.iter().position(|argument| argument == flag)?;
        arguments.get(at + 1).cloned()
    };
    let number = |flag: &str| after(flag).and_then(|given| given.parse::<u64>().ok());
    let scenario = after("--scenario").unwrap_or_else(|| "lesson-1".to_string());
    if let Some(seed) = number("--show") {
        let Some(hand) = Hand::at(&scenario, seed) else {
            return eprintln!("there is no practice `{scenario}` with seed {seed}");
        };
        let played = hand.play();
        for (clock_s, hint) in &played.hints {
            println!("{:3.0}:{:04.1}  {hint}", (clock_s / 60.0).floor(), clock_s % 60.0);
        }
        played.notebook.iter().for_each(|text| println!("  {text}"));
        return line(seed, &played);
    }
    let seeds: Vec<u64> = (1..=number("--seeds").unwrap_or(20)).collect();
    let play = |seed: &u64| Some((*seed, Hand::at(&scenario, *seed)?.play()));
    let all: Vec<(u64, Played)> = seeds.par_iter().filter_map(play).collect();
    if all.is_empty() {
        return eprintln!("there is no practice `{scenario}` with these seeds");
    }
    all.iter().for_each(|(seed, played)| line(*seed, played));
}
