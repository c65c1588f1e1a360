//! Calibration: the search that set the assumed constants against the symptom table. Run it again with
//!
//! ```text
//! cargo bench --bench calibrate -- rows offroad-3.5                # every number of the table at its worst seed, and its margin
//! cargo bench --bench calibrate -- rows offroad-3.5 --set KEY=VALUE # the same with a constant changed and the mixtures kept;
//!                                                                  # `--write` writes the engine's constants into its file
//! cargo bench --bench calibrate                                    # the same as the search sees it, with guides
//! cargo bench --bench calibrate -- --rounds 6 --seed 7          # search, print, change nothing
//! cargo bench --bench calibrate -- --rounds 6 --seed 7 --write  # and write the constants into models/
//! ```
//!
//! `ensemble` draws further sets of constants (ensemble.rs says how).
//!
//! `--idle PHI`, `--full PHI` and `--idle-rpm RPM` set the equivalence ratios that the reference setting shall meter and the speed at
//! which it shall idle before the search begins (`--idle-by 1.01` and `--full-by` in proportion), `--set KEY=VALUE` an assumed constant
//! (`KEY=x1.1` in proportion), `--toward-guesses 0.5` starts half-way between the models and the guesses.
//!
//! The search (search.rs) is a damped Gauss-Newton step on what the rows still lack, over the logarithms of the assumed constants;
//! after every change the needles' gaps are set so that the reference setting meters the wanted mixtures. `--seed` is the first of
//! the engine's noise seeds that the rows are measured with. Where a row counts missed revolutions and none misses yet, a guide
//! beside it (the share of the charge left unburnt) tells the search which way to go.

mod constants;
mod determined;
mod engines;
mod ensemble;
mod ground;
mod misses;
mod next;
mod others;
mod report;
mod rows;
mod search;
mod sets_file;

use std::path::{Path, PathBuf};
use std::time::Instant;

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{Table, off};
use needlebench::config::{reference_setup, rewrite};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams, Origin, Setting};

use constants::{Free, Place, Trial, free};
use rows::{compressed, jumps, measure, weight};

/// A margin below this many of a row's units costs; so rows end inside their limits, not on them.
const WANTED_MARGIN: f64 = 0.3;
/// Pull of a constant towards its guess.
const PULL: f64 = 0.002;

fn reference() -> (Setup, Setting) {
    let (engine, setup) = reference_setup("offroad-3.5").expect("built in");
    (setup, engine.reference)
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let value = |name: &str| {
        arguments
            .iter()
            .position(|a| a == name)
            .and_then(|i| arguments.get(i + 1)?.parse::<f64>().ok())
    };
    let list = free();
    // What was asked for besides: the mixtures and the idle that the reference setting shall have, and assumed constants.
    let asked = |mut start: Trial| {
        start.idle = value("--idle").unwrap_or(start.idle) * value("--idle-by").unwrap_or(1.0);
        start.full = value("--full").unwrap_or(start.full) * value("--full-by").unwrap_or(1.0);
        start.idle_rpm = value("--idle-rpm").unwrap_or(start.idle_rpm);
        for pair in arguments.windows(2).filter(|a| a[0] == "--set") {
            let (key, value) = pair[1].split_once('=').expect("--set KEY=VALUE");
            let named = |f: &&Free| matches!(f.place, Place::Engine(_, k) | Place::Law(_, k) if k == key);
            let free = list.iter().find(named).expect("an assumed constant");
            let slot = start.slot(free.place).expect("declared");
            let by = value
                .strip_prefix('x')
                .map(|by| *slot * by.parse::<f64>().expect("a number"));
            *slot = by.unwrap_or_else(|| value.parse().expect("a number"));
        }
        start
    };
    if let Some(at) = arguments.iter().position(|a| a == "rows") {
        let name = arguments.get(at + 1).map_or("offroad-3.5", String::as_str);
        let (engine, setup) = reference_setup(name).expect("an engine");
        let mut trial = asked(Trial::of(&setup, engine.reference));
        let changes = ["--idle", "--idle-by", "--full", "--full-by", "--idle-rpm", "--set"];
        if arguments.iter().any(|a| changes.contains(&a.as_str())) {
            trial.retune(engine.reference);
        }
        let (idle, full, rpm) = (trial.idle, trial.full, trial.idle_rpm);
        println!("meters {idle:.4} at idle, {full:.4} wide open, and idles at {rpm:.0} rpm");
        let first = value("--first-seed").unwrap_or(101.0) as u64;
        report::rows(&engine, &trial.setup, first);
        if arguments.iter().any(|a| a == "--write") {
            write(name, &trial);
        }
        return;
    }
    let rounds = value("--rounds").unwrap_or(0.0) as usize;
    let seed = value("--seed").unwrap_or(1.0) as u64;
    if arguments.iter().any(|a| a == "ensemble") {
        let sets = value("--sets").unwrap_or(32.0) as usize;
        let keep = arguments.iter().position(|a| a == "--keep");
        let keep = keep.and_then(|at| arguments.get(at + 1)).map(Path::new);
        ensemble::make(seed, sets, arguments.iter().any(|a| a == "--write"), keep);
        return;
    }
    let (setup, setting) = reference();
    let start = asked(Trial::of(&setup, setting));
    let point: Vec<f64> = list
        .iter()
        .map(|f| {
            let mut trial = start;
            trial.slot(f.place).map_or(1.0, |v| v.clamp(f.low, f.high)).ln()
        })
        .collect();
    let guesses: Vec<f64> = list.iter().zip(&point).map(|(f, x)| f.guess(x.exp()).ln()).collect();
    // `--toward-guesses 0.5` starts half-way between the models and the guesses.
    let toward = value("--toward-guesses").unwrap_or(0.0);
    let point: Vec<f64> = point.iter().zip(&guesses).map(|(x, g)| x + toward * (g - x)).collect();
    let bounds: Vec<(f64, f64)> = list.iter().map(|f| (f.low.ln(), f.high.ln())).collect();
    let measured = measure(&start.setup, setting, seed);
    let weights: Vec<f64> = measured.iter().map(weight).collect();
    let jumpy: Vec<bool> = measured.iter().map(jumps).collect();
    let margins = |point: &[f64]| -> Vec<f64> {
        let trial = start.at(&list, point, setting);
        measure(&trial.setup, setting, seed)
            .iter()
            .map(|q| compressed(q.margin()))
            .collect()
    };
    let problem = search::Problem {
        margins: &margins,
        weights: &weights,
        jumpy: &jumpy,
        wanted: WANTED_MARGIN,
        bounds: &bounds,
        guesses: &guesses,
        pull: PULL,
    };
    let clock = Instant::now();
    let write_now = arguments.iter().any(|a| a == "--write");
    let found = problem.search(&point, rounds, |round, cost, point| {
        println!("{:6.0} s, round {round}: cost {cost:.4}", clock.elapsed().as_secs_f64());
        if write_now && round > 0 {
            let trial = start.at(&list, point, setting);
            write("offroad-3.5", &trial);
            write_laws(&trial);
        }
    });
    let best = start.at(&list, &found, setting);
    let quantities = measure(&best.setup, setting, seed);
    report::print(&quantities);
    let table = Table::new(&best.setup, setting, [1], Waits::STANDARD, f64::NAN);
    let (idle, half) = (table.idle(off(0.0, 0.0))[0], table.half(off(0.0, 0.0))[0]);
    println!(
        "mixture: idle {:.3} (burnt gas {:.3}), half {:.3} (burnt gas {:.3}, {:.0} rpm), full {:.3}",
        idle.equivalence_ratio, idle.burnt_fraction, half.equivalence_ratio, half.burnt_fraction, half.rpm, best.full,
    );
    println!("best snap delay {:.4} s", best_snap_delay_s(&best.setup, setting));
    let as_shipped = Trial::of(&setup, setting);
    let others: Vec<(String, Trial)> = others::others()
        .iter()
        .map(|other| {
            let rounds = if write_now { 3 } else { 0 };
            let (trial, rows) = engines::settle(other.name(), &other.moved(&as_shipped, &best), rounds);
            println!("{}: rows missed:", other.name());
            for q in rows.iter().filter(|q| !q.holds()) {
                println!(
                    "{:10}{:60}{:>11.3}{:>11.3}{:>11.3}",
                    q.row, q.name, q.value, q.low, q.high
                );
            }
            (other.name().to_string(), trial)
        })
        .collect();
    if arguments.iter().any(|a| a == "--write") {
        write("offroad-3.5", &best);
        for (name, trial) in &others {
            write(name, trial);
        }
        write_laws(&best);
    }
}

/// Writes an engine's constants into `models/engines/`, keeping every comment.
fn write(name: &str, trial: &Trial) {
    let mut params = trial.setup.engine;
    let mut values: Vec<(&str, &str, f64)> = Vec::new();
    for (group, keys) in EngineParams::GROUPS {
        for key in *keys {
            values.extend(params.get_mut(group, key.name).map(|v| (*group, key.name, *v)));
        }
    }
    write_file(&format!("engines/{name}.toml"), &values);
}

/// Writes the laws' assumed constants into `models/laws.toml`, keeping every comment.
fn write_laws(trial: &Trial) {
    let mut params = trial.setup.laws;
    let mut values: Vec<(&str, &str, f64)> = Vec::new();
    for (group, keys) in LawParams::GROUPS {
        for key in keys.iter().filter(|k| k.origin == Origin::assumed) {
            values.extend(params.get_mut(group, key.name).map(|v| (*group, key.name, *v)));
        }
    }
    write_file("laws.toml", &values);
}

fn models_file(file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("models").join(file)
}

fn write_file(file: &str, values: &[(&str, &str, f64)]) {
    let text = std::fs::read_to_string(models_file(file)).expect("the models' folder is part of the project");
    write_text(
        file,
        &rewrite(&text, values).expect("every declared key stands in its file"),
    );
}

fn write_text(file: &str, text: &str) {
    std::fs::write(models_file(file), text).expect("the models' folder can be written to");
    println!("wrote models/{file}");
}
