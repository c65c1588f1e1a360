//! The other engines: their own assumed constants moved in the reference engine's proportion (others.rs), then settled on mixtures and
//! an idle of their own by the same search, with the rows that bind every engine (the clean island, idle, free speed, burst and snap).

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{Quantity, Table, group};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

use crate::constants::Trial;
use crate::rows::{EDGES, NEEDED, around, compressed, jumps, one_check};
use crate::search::Problem;

/// Names of the other engines, as their files in `models/engines/`.
pub const OTHERS: [&str; 2] = ["onroad-2.1", "truggy-4.6"];

/// Noise seeds of the search.
const SEEDS: u64 = 3;

/// An engine whose assumed constants moved with the reference engine's.
pub struct Moved {
    /// As it is on the new laws.
    pub trial: Trial,
    /// Its reference setting.
    pub setting: Setting,
    /// Rated speed on the brake.
    pub rated_rpm: f64,
}

fn rows(setup: &Setup, setting: Setting, rated_rpm: f64) -> Vec<Quantity> {
    let waits = Waits::rated(rated_rpm);
    let best = best_snap_delay_s(setup, setting);
    let table = |seeds| Table::new(setup, setting, 1..=seeds, waits, best);
    let every = table(SEEDS);
    let mut quantities = every.rows([group("island")]);
    quantities.extend(around(&every, &NEEDED).into_iter().chain(around(&every, &EDGES)));
    let subjects = ["idle", "burst", "hang", "throttle", "brake"];
    quantities.extend(table(1).rows(subjects.map(group)));
    quantities.retain(Quantity::binds);
    quantities
}

/// The engine settled, and how its rows stand then. What its maker chose stays: needles, pitches and stops are its own.
pub fn settle(name: &str, moved: &Moved, rounds: usize) -> (Trial, Vec<Quantity>) {
    let Moved {
        trial: base,
        setting,
        rated_rpm,
    } = *moved;
    let at = |point: &[f64]| {
        let mut trial = base;
        (trial.idle, trial.full, trial.idle_rpm) = (point[0].exp(), point[1].exp(), point[2].exp());
        trial.setup.engine.drive.stand_drag_n_mm = point[3].exp();
        trial.retune(setting);
        trial
    };
    let drag = base.setup.engine.drive.stand_drag_n_mm;
    let start = [base.idle, base.full, base.idle_rpm, drag].map(f64::ln);
    let rows_at = |trial: &Trial| rows(&trial.setup, setting, rated_rpm);
    let margins = |point: &[f64]| -> Vec<f64> {
        let rows = rows_at(&at(point));
        rows.iter().map(|q| compressed(q.margin())).collect()
    };
    let measured = rows_at(&base);
    let weights: Vec<f64> = measured
        .iter()
        .map(|q| {
            if q.row == "island" || one_check(q.row) {
                3.0
            } else {
                0.3
            }
        })
        .collect();
    let problem = Problem {
        margins: &margins,
        weights: &weights,
        jumpy: &measured.iter().map(jumps).collect::<Vec<_>>(),
        wanted: 0.3,
        bounds: &start.map(|x| (x - 0.7, x + 0.7)),
        guesses: &start,
        pull: 0.01,
    };
    let found = problem.search(&start, rounds, |round, cost, _| {
        println!("  {name}, round {round}: cost {cost:.3}")
    });
    let trial = at(&found);
    (trial, rows_at(&trial))
}
