//! The other engines: the reference scaled by displacement and by rated speed, then settled on mixtures and an idle stop of their
//! own by the same search, with the rows that bind every engine (the clean island, idle, free speed, burst and snap).

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{Quantity, Table, group, scaled};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

use crate::constants::Trial;
use crate::rows::{EDGES, NEEDED, around, compressed, jumps, one_check};
use crate::search::Problem;

/// One size.
pub struct Size {
    /// Its file in `models/engines/`.
    pub name: &'static str,
    displacement_cm3: f64,
    /// Rated speed on the brake.
    pub rated_rpm: f64,
}

/// The other engines.
pub const SIZES: [Size; 2] = [
    Size {
        name: "onroad-2.1",
        displacement_cm3: 2.1,
        rated_rpm: 32_000.0,
    },
    Size {
        name: "truggy-4.6",
        displacement_cm3: 4.6,
        rated_rpm: 28_500.0,
    },
];

/// Rated speed of the reference, rpm.
const REFERENCE_RPM: f64 = 30_000.0;
/// Noise seeds of the search.
const SEEDS: u64 = 3;

/// The engine in proportion to displacement and rated speed.
fn at_size(best: &Trial, size: &Size, setting: Setting) -> Trial {
    let mut trial = *best;
    let e = &mut trial.setup.engine;
    *e = scaled(
        e,
        size.displacement_cm3 / e.geometry.displacement_cm3,
        size.rated_rpm / REFERENCE_RPM,
    );
    trial.retune(setting);
    trial
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

/// The engine of this size at a reference setting of its own, and how its rows stand there.
pub fn settle(best: &Trial, size: &Size, setting: Setting, rounds: usize) -> (Trial, Setting, Vec<Quantity>) {
    let base = at_size(best, size, setting);
    let at = |point: &[f64]| {
        let mut trial = base;
        (trial.idle, trial.full) = (point[0].exp(), point[1].exp());
        let setting = Setting {
            idle_turns: point[2].exp(),
            ..setting
        };
        trial.setup.engine.drive.stand_drag_n_mm = point[3].exp();
        trial.retune(setting);
        (trial, setting)
    };
    let start = [
        base.idle.ln(),
        base.full.ln(),
        setting.idle_turns.ln(),
        base.setup.engine.drive.stand_drag_n_mm.ln(),
    ];
    let margins = |point: &[f64]| -> Vec<f64> {
        let (trial, setting) = at(point);
        let rows = rows(&trial.setup, setting, size.rated_rpm);
        rows.iter().map(|q| compressed(q.margin())).collect()
    };
    let measured = rows(&base.setup, setting, size.rated_rpm);
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
        println!("  {}, round {round}: cost {cost:.3}", size.name)
    });
    let (trial, setting) = at(&found);
    let rows = rows(&trial.setup, setting, size.rated_rpm);
    (trial, setting, rows)
}
