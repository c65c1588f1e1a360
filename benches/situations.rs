//! What the situations promise: each is fair at 98 % of its seeds, starts in 0.3 s with par, and is not won by the best fixed list of
//! turns in more than a tenth of its practices, the lessons aside.
//!
//! `cargo bench --bench situations -- [SEEDS] [NAME|FILE…]`: all of them over 200 seeds unless said otherwise (half a minute each).
//! `cargo bench --bench situations -- faults`: what each part at fault does where nothing else is off, and whether any setting hides
//! it.

use std::time::Instant;

use needlebench::engine::params::Setting;
use needlebench::tuning::fixed_list::{best_list, mean_list, play};
use needlebench::tuning::hidden::Hidden;
use needlebench::tuning::par::par;
use needlebench::tuning::scenario::{Fault, FaultNumbers, LEAST_SHARE, SCENARIOS, Scenario, StartNumbers, source};
use rayon::prelude::*;

/// Practices whose start is timed, one at a time.
const TIMED: u64 = 5;

fn main() {
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with("--"))
        .collect();
    if arguments.iter().any(|word| word == "faults") {
        return faults();
    }
    let seeds = arguments.iter().find_map(|word| word.parse().ok()).unwrap_or(200);
    let mut names: Vec<&str> = arguments
        .iter()
        .map(String::as_str)
        .filter(|word| word.parse::<u64>().is_err())
        .collect();
    if names.is_empty() {
        names = SCENARIOS.iter().map(|file| file.name).collect();
    }
    println!("{seeds} seeds; a list of turns is high, low, idle");
    for name in names {
        let scenario = Scenario::read(&source(name).expect("a name or a file")).expect("reads");
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

/// What each part that may be at fault does at its least, where nothing else is off, and the best that any setting makes of it.
fn faults() {
    let mut done: Vec<Fault> = Vec::new();
    for file in SCENARIOS {
        let mut scenario = Scenario::read(&source(file.name).expect("built in")).expect("reads");
        scenario.start = StartNumbers::default();
        let worst = scenario.fault.worst();
        scenario.fault = FaultNumbers::default();
        for fault in worst {
            if done.contains(&fault) {
                continue;
            }
            done.push(fault);
            let sound = Hidden::draw(&scenario, 1, 0).expect("a practice");
            let least = Fault {
                size: LEAST_SHARE * fault.size,
                ..fault
            };
            let mut broken = sound.setup;
            *Fault::link(&mut broken.faults, least.part) = least.size;
            let at_truth = sound.judging.check(&broken, sound.truth);
            let settings = around(sound.truth);
            let blocks: Vec<&[Setting]> = settings.chunks(24).collect();
            let reports: Vec<_> = blocks
                .par_iter()
                .map(|block| sound.judging.check_all(&broken, block))
                .collect();
            let reports = reports.concat();
            let clean = reports.iter().filter(|report| report.clean).count();
            let best = reports
                .iter()
                .max_by(|a, b| a.margin().total_cmp(&b.margin()))
                .expect("some");
            let keys = |report: &needlebench::bench::checks::Report| {
                report
                    .failed()
                    .iter()
                    .map(|name| name.key())
                    .collect::<Vec<_>>()
                    .join(" ")
            };
            println!(
                "{:8} {:4.2}: at the true setting fails [{}]; {clean} of {} settings are clean; the best ({:+.2} {:+.2} {:+.2}) fails [{}]",
                fault.part.word(),
                least.size,
                keys(&at_truth),
                reports.len(),
                best.setting.high_turns - sound.truth.high_turns,
                best.setting.low_turns - sound.truth.low_turns,
                best.setting.idle_turns - sound.truth.idle_turns,
                keys(best),
            );
        }
    }
}

/// Settings around one, further on the rich side: that is where a fault would be hidden.
fn around(truth: Setting) -> Vec<Setting> {
    let mut all = Vec::new();
    for high in -1..=5 {
        for low in -2..=6 {
            for idle in -3..=3 {
                all.push(Setting {
                    high_turns: truth.high_turns + 0.2 * f64::from(high),
                    low_turns: truth.low_turns + 0.1 * f64::from(low),
                    idle_turns: truth.idle_turns + 0.25 * f64::from(idle),
                });
            }
        }
    }
    all
}
