//! The other engines: the reference scaled by displacement and by rated speed, then settled on mixtures and an idle stop of their
//! own by the same search, with the rows that bind every engine (the clean island, idle, free speed, burst and snap).

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{Quantity, Table, group};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

use crate::constants::Trial;
use crate::rows::{compressed, island, jumps};
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

/// The engine with areas, flows, inertias, torques and conductances in proportion to displacement (and speed, where the laws'
/// ratios ask for it).
fn scaled(best: &Trial, size: &Size, setting: Setting) -> Trial {
    let mut trial = *best;
    let e = &mut trial.setup.engine;
    let volume = size.displacement_cm3 / e.geometry.displacement_cm3;
    let speed = size.rated_rpm / REFERENCE_RPM;
    for value in [
        &mut e.geometry.displacement_cm3,
        &mut e.geometry.pipe_volume_cm3,
        &mut e.carburettor.line_store_mg,
        &mut e.tank.volume_ml,
        &mut e.drive.flywheel_inertia_kg_mm2,
        &mut e.drive.clutch_torque_n_mm,
        &mut e.drive.stand_inertia_kg_mm2,
        &mut e.drive.car_mass_kg,
        &mut e.drive.rolling_drag_n,
        &mut e.drive.drag_area_cm2,
        &mut e.cooling.head_capacity_j_per_k,
        &mut e.cooling.crankcase_capacity_j_per_k,
    ] {
        *value *= volume;
    }
    for value in [
        &mut e.carburettor.throttle_flow_area_mm2,
        &mut e.tank.nominal_exhaust_flow_g_per_s,
        &mut e.cooling.head_still_air_w_per_k,
        &mut e.cooling.head_moving_air_w_per_k,
        &mut e.cooling.head_to_crankcase_w_per_k,
        &mut e.cooling.crankcase_to_air_w_per_k,
        // Wider needles for more fuel, so that lift and gap stay alike.
        &mut e.carburettor.high_perimeter_mm,
        &mut e.carburettor.low_perimeter_mm,
    ] {
        *value *= volume * speed;
    }
    for value in [
        &mut e.geometry.port_cutoff_rev_per_s,
        &mut e.geometry.pipe_tuned_rev_per_s,
        &mut e.geometry.pipe_half_width_rev_per_s,
    ] {
        *value *= speed;
    }
    // Declared at 500 rev/s: the same share of the torque at the engine's own speed.
    e.drive.stand_drag_n_mm *= volume / (speed * speed);
    trial.retune(setting);
    trial
}

fn rows(setup: &Setup, setting: Setting, rated_rpm: f64) -> Vec<Quantity> {
    let waits = Waits {
        brake_rpm: rated_rpm,
        ..Waits::STANDARD
    };
    let best = best_snap_delay_s(setup, setting);
    let table = |seeds| Table::new(setup, setting, 1..=seeds, waits, best);
    let every = table(SEEDS);
    let mut quantities = every.rows([group("island")]);
    island(&every, &mut quantities);
    quantities.extend(table(1).rows([group("idle"), group("burst"), group("brake")]));
    // Watts and minutes are a matter of size.
    quantities.retain(|q| !["power", "S15"].contains(&q.row));
    quantities
}

/// The engine of this size at a reference setting of its own, and how its rows stand there.
pub fn settle(best: &Trial, size: &Size, setting: Setting, rounds: usize) -> (Trial, Setting, Vec<Quantity>) {
    let base = scaled(best, size, setting);
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
        .map(|q| if ["island", "click"].contains(&q.row) { 3.0 } else { 0.3 })
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
