//! What the situations promise: each is fair at 98 % of its seeds, starts in 0.3 s with par, and is not won by the best fixed list of
//! turns in more than a tenth of its practices, the lessons aside.
//!
//! `cargo bench --bench situations -- [SEEDS] [NAME…]`: all of them over 200 seeds unless said otherwise (some minutes each).

use std::time::Instant;

use needlebench::tuning::fixed_list::{best_list, mean_list, play};
use needlebench::tuning::hidden::Hidden;
use needlebench::tuning::par::par;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use rayon::prelude::*;

/// Practices whose start is timed, one at a time.
const TIMED: u64 = 5;

fn main() {
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with("--"))
        .collect();
    let seeds = arguments.iter().find_map(|word| word.parse().ok()).unwrap_or(200);
    let wanted = |name: &str| {
        arguments.iter().all(|word| word.parse::<u64>().is_ok()) || arguments.iter().any(|word| word == name)
    };
    println!("{seeds} seeds; a list of turns is high, low, idle");
    for file in SCENARIOS.iter().filter(|file| wanted(file.name)) {
        let scenario = Scenario::read(&source(file.name).expect("built in")).expect("reads");
        let start_ms = start_ms(&scenario);
        let drawn: Vec<_> = (1..=seeds)
            .into_par_iter()
            .map(|seed| Hidden::draw(&scenario, seed, 0).map_err(|error| format!("seed {seed}: {error}")))
            .collect();
        let practices: Vec<Hidden> = drawn.iter().filter_map(|draw| draw.as_ref().ok().cloned()).collect();
        if practices.is_empty() {
            println!("{:15} no practice at all", scenario.name);
            continue;
        }
        let began = Instant::now();
        let mean = play(&practices, mean_list(&practices));
        let best = best_list(&practices);
        println!(
            "{:15} fair {:5.1} %, start {start_ms:3.0} ms; the best list {:+.2} {:+.2} {:+.2} wins {:4.1} %, the mean one {:4.1} % ({:.0} s)",
            scenario.name,
            100.0 * practices.len() as f64 / seeds as f64,
            best.turns[0],
            best.turns[1],
            best.turns[2],
            100.0 * best.share(),
            100.0 * mean.share(),
            began.elapsed().as_secs_f64(),
        );
        for unfair in drawn.iter().filter_map(|draw| draw.as_ref().err()).take(3) {
            println!("    {unfair}");
        }
    }
}

/// Median of the time that a practice takes to start, par included, ms.
fn start_ms(scenario: &Scenario) -> f64 {
    let mut times: Vec<f64> = (1..=TIMED)
        .map(|seed| {
            let began = Instant::now();
            if let Ok(hidden) = Hidden::draw(scenario, seed, 0) {
                std::hint::black_box(par(&hidden));
            }
            1e3 * began.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
