//! How the rows stand, printed: each number at the seed where it stands worst, with its limits and its margin in units of its row.

use std::time::Instant;

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{GROUPS, Quantity, Table};
use needlebench::config::EngineModel;
use needlebench::engine::Setup;

/// Noise seeds of a look at the rows, as many as in the symptom tests; theirs (101 to 120) are for looking, not for searching.
const SEEDS: u64 = 20;

/// Prints the rows of an engine, as the symptom tests measure them, by constants of its own or others.
pub fn rows(engine: &EngineModel, setup: &Setup, first_seed: u64) {
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(
        setup,
        engine.reference,
        first_seed..first_seed + SEEDS,
        waits,
        best_snap_delay_s(setup, engine.reference),
    );
    let clock = Instant::now();
    let mut quantities = Vec::new();
    let mut times = Vec::new();
    for group in &GROUPS {
        let before = clock.elapsed();
        quantities.extend(table.rows([group]));
        times.push(format!(
            "{} {:.2}",
            group.name,
            (clock.elapsed() - before).as_secs_f64()
        ));
    }
    print(&quantities);
    println!(
        "{}: {:.1} s ({})",
        engine.name,
        clock.elapsed().as_secs_f64(),
        times.join(", ")
    );
}

/// Prints each quantity at the seed where it stands worst.
pub fn print(quantities: &[Quantity]) {
    println!(
        "{:10}{:70}{:>11}{:>11}{:>11}{:>9}{:>6}",
        "row", "quantity", "value", "at least", "at most", "margin", "seed"
    );
    for (index, q) in quantities.iter().enumerate() {
        let same = |other: &&Quantity| other.row == q.row && other.name == q.name;
        if quantities[..index].iter().any(|other| same(&other)) {
            continue;
        }
        let worst = quantities
            .iter()
            .filter(same)
            .min_by(|a, b| a.margin().total_cmp(&b.margin()));
        let q = worst.unwrap_or(q);
        let mark = if q.holds() { "" } else { "  missed" };
        println!(
            "{:10}{:70}{:>11.3}{:>11.3}{:>11.3}{:>9.2}{:>6}{mark}",
            q.row,
            q.name,
            q.value,
            q.low,
            q.high,
            q.margin(),
            q.seed,
        );
    }
}
