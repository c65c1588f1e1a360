//! Calibration: the search that set the assumed constants against the symptom table. Run it again with
//!
//! ```text
//! cargo bench --bench calibrate                                    # how far each row is from its limits
//! cargo bench --bench calibrate -- --seconds 600 --seed 7          # search, print, change nothing
//! cargo bench --bench calibrate -- --seconds 600 --seed 7 --write  # and write the constants into models/
//! ```
//!
//! `--idle PHI` and `--full PHI` set the equivalence ratios that the reference setting shall meter before the search begins.
//!
//! A seeded (1 + 4) evolution strategy over the logarithms of the assumed constants: mutate some, retune the needles' gaps so that
//! the reference setting meters the wanted mixtures, measure the table, keep what is better. The step follows success. A trial is
//! dropped as soon as the rows measured so far cost more than the best table as a whole.

use std::path::Path;
use std::time::Instant;

use needlebench::bench::measures::{self, Waits};
use needlebench::bench::rig::Rig;
use needlebench::bench::symptoms::{Quantity, Table, moved};
use needlebench::config::{reference_setup, rewrite};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams, Origin, Setting};
use needlebench::engine::state::Load;
use needlebench::noise::{Channel, Noise};
use rayon::prelude::*;

/// A margin below this many of a row's units costs; so rows end inside their limits, not on them.
const WANTED_MARGIN: f64 = 0.15;
/// What a missed row costs besides its distance.
const MISS: f64 = 0.8;
/// Trials of one generation.
const TRIALS: usize = 4;

/// Constants outside the search: set by retuning, or bound by no row.
const FIXED: &[&str] = &[
    "high_gap_per_lift",
    "low_gap_per_lift",
    "throttle_exponent",
    "signal_reference_opening",
];

/// Where a belief is narrower than what a file may say: a free search would trade these away for a row.
const BELIEFS: &[(&str, f64, f64)] = &[
    ("evaporation_per_s", 0.06, 0.3),
    ("shear_exponent", 1.4, 2.2),
    ("shear_per_s", 4.0, 20.0),
    ("plug_light_off_k", 550.0, 720.0),
    ("firing_rise_k", 100.0, 350.0),
    ("lag_s", 0.1, 1.0),
    ("pressure_lag_s", 0.2, 3.0),
    ("crankcase_capacity_j_per_k", 60.0, 300.0),
    ("carry_flow_cm3_per_s", 0.5, 80.0),
];

#[derive(Clone, Copy)]
struct Trial {
    setup: Setup,
    /// Equivalence ratios that the reference setting shall meter, at idle and wide open.
    idle: f64,
    full: f64,
}

/// One constant under search.
#[derive(Clone, Copy)]
enum Free {
    Engine(&'static str, &'static str, f64, f64),
    Law(&'static str, &'static str, f64, f64),
    Idle,
    Full,
}

fn free() -> Vec<Free> {
    let bounds =
        |name: &str, low: f64, high: f64| BELIEFS.iter().find(|b| b.0 == name).map_or((low, high), |b| (b.1, b.2));
    let mut list = vec![Free::Idle, Free::Full];
    for (group, keys) in EngineParams::GROUPS {
        for key in keys
            .iter()
            .filter(|k| k.origin == Origin::assumed && !FIXED.contains(&k.name))
        {
            let (low, high) = bounds(key.name, key.low, key.high);
            list.push(Free::Engine(group, key.name, low, high));
        }
    }
    for (group, keys) in LawParams::GROUPS.iter().filter(|(group, _)| *group != "wear") {
        for key in keys
            .iter()
            .filter(|k| k.origin == Origin::assumed && !FIXED.contains(&k.name))
        {
            let (low, high) = bounds(key.name, key.low, key.high);
            list.push(Free::Law(group, key.name, low, high));
        }
    }
    list
}

impl Trial {
    fn mutate(&mut self, what: Free, factor: f64) {
        let (value, low, high) = match what {
            Free::Idle => (Some(&mut self.idle), 1.0, 1.6),
            Free::Full => (Some(&mut self.full), 1.1, 1.6),
            Free::Engine(group, key, low, high) => (self.setup.engine.get_mut(group, key), low, high),
            Free::Law(group, key, low, high) => (self.setup.laws.get_mut(group, key), low, high),
        };
        if let Some(value) = value {
            *value = (*value * factor).clamp(low, high);
        }
    }

    /// Sets both needles' gaps so that the reference setting meters the wanted mixtures; the brake carries an engine that would die.
    fn retune(&mut self, setting: Setting) {
        for _ in 0..7 {
            let at = |setup: &Setup, speed: f64, throttle: f64| {
                let mut rig = Rig::warm(setup, setting, 1).with_load(Load::Brake(speed));
                rig.pass(throttle, 0.7);
                measures::watch_steady(&mut rig, throttle, 0.3).equivalence_ratio
            };
            let full = at(&self.setup, 500.0, 1.0);
            let gap = &mut self.setup.engine.carburettor.high_gap_per_lift;
            *gap = (*gap * (self.full / full).powf(0.6)).clamp(0.005, 0.2);
            let idle = at(&self.setup, 170.0, 0.0);
            let gap = &mut self.setup.engine.carburettor.low_gap_per_lift;
            *gap = (*gap * (self.idle / idle).powf(0.4)).clamp(0.005, 0.2);
        }
    }
}

/// Shortest snap of the settings a tuner would call right.
fn best_snap_delay(setup: &Setup, setting: Setting) -> f64 {
    [-1.0 / 24.0, 0.0, 1.0 / 24.0, 1.0 / 12.0]
        .iter()
        .filter_map(|low| {
            let (rig, _) = measures::settled(setup, moved(setting, 0.0, *low), 1, &Waits::STANDARD);
            measures::snap(rig, &Waits::STANDARD).delay_s
        })
        .fold(4.0, f64::min)
}

/// The rows that come hardest weigh more.
fn weight(row: &str) -> f64 {
    match row {
        "S8" => 3.0,
        "S4" | "S5" | "S6" | "S9" | "S16" | "island" => 1.5,
        _ => 1.0,
    }
}

fn cost(quantities: &[Quantity]) -> f64 {
    quantities
        .iter()
        .map(|q| {
            weight(q.row)
                * match q.margin() {
                    margin if margin >= WANTED_MARGIN => 0.0,
                    margin => (WANTED_MARGIN - margin).min(8.0) + if margin < 0.0 { MISS } else { 0.0 },
                }
        })
        .sum()
}

/// The table's cost, given up once beyond `bound`, and the quantities measured.
fn measure(setup: &Setup, setting: Setting, seed: u64, bound: f64) -> (f64, Vec<Quantity>) {
    let best_snap_delay_s = best_snap_delay(setup, setting);
    let table = Table {
        setup,
        setting,
        seed,
        waits: Waits::STANDARD,
        best_snap_delay_s,
    };
    let mut quantities = Vec::new();
    for rows in Table::GROUPS {
        rows(&table, &mut quantities);
        let so_far = cost(&quantities);
        if so_far > bound {
            return (so_far, quantities);
        }
    }
    (cost(&quantities), quantities)
}

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
    let seconds = value("--seconds").unwrap_or(0.0);
    let seed = value("--seed").unwrap_or(1.0) as u64;
    let (setup, setting) = reference();
    let mixture = |speed: f64, throttle: f64| {
        let mut rig = Rig::warm(&setup, setting, 1).with_load(Load::Brake(speed));
        rig.pass(throttle, 0.7);
        measures::watch_steady(&mut rig, throttle, 0.3).equivalence_ratio
    };
    let mut best = Trial {
        setup,
        idle: value("--idle").unwrap_or_else(|| mixture(170.0, 0.0)),
        full: value("--full").unwrap_or_else(|| mixture(500.0, 1.0)),
    };
    best.retune(setting);
    let mut least = measure(&best.setup, setting, 1, f64::INFINITY).0;
    println!("start: cost {least:.3}");
    let noise = Noise::new(seed, 0, Channel::Choice);
    let list = free();
    let start = Instant::now();
    let (mut index, mut step) = (0_u64, 0.15_f64);
    while start.elapsed().as_secs_f64() < seconds {
        let trials: Vec<Trial> = (0..TRIALS)
            .map(|_| {
                let mut trial = best;
                // Half of the trials nudge many constants, half move two or three further.
                let many = noise.uniform(index) < 0.5;
                let (chance, size) = if many {
                    (0.25, 0.4)
                } else {
                    (2.2 / list.len() as f64, 1.6)
                };
                for (j, what) in list.iter().enumerate() {
                    let address = index + 1 + 2 * j as u64;
                    if noise.uniform(address) < chance {
                        trial.mutate(*what, (step * size * noise.bell(address + 1)).exp());
                    }
                }
                index += 1 + 2 * list.len() as u64;
                trial
            })
            .collect();
        let tried: Vec<(Trial, f64)> = trials
            .into_par_iter()
            .map(|mut trial| {
                trial.retune(setting);
                (trial, measure(&trial.setup, setting, 1, least).0)
            })
            .collect();
        match tried.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)) {
            Some((trial, cost)) if cost < least => {
                (best, least) = (trial, cost);
                step = (step * 1.15).min(0.4);
                println!("{:6.0} s: cost {least:.3}", start.elapsed().as_secs_f64());
            }
            _ => step = (step * 0.985).max(0.03),
        }
    }
    let (_, quantities) = measure(&best.setup, setting, 1, f64::INFINITY);
    println!(
        "{:10}{:60}{:>11}{:>11}{:>11}{:>9}",
        "row", "quantity", "value", "at least", "at most", "margin"
    );
    for q in &quantities {
        let mark = if q.holds() { "" } else { "  missed" };
        println!(
            "{:10}{:60}{:>11.3}{:>11.3}{:>11.3}{:>9.2}{mark}",
            q.row,
            q.name,
            q.value,
            q.low,
            q.high,
            q.margin()
        );
    }
    println!(
        "cost {least:.3}; best snap delay {:.4} s",
        best_snap_delay(&best.setup, setting)
    );
    let others: Vec<(&str, Trial)> = SIZES
        .iter()
        .map(|(name, size)| (*name, scaled(&best, *size, setting)))
        .collect();
    for (name, trial) in &others {
        island(name, trial, setting);
    }
    if arguments.iter().any(|a| a == "--write") {
        write("offroad-3.5", &best, setting);
        for (name, trial) in &others {
            write(name, trial, setting);
        }
        write_laws(&best);
    }
}

/// Engines of other sizes as the reference scaled by displacement: areas, flows, inertias, torques, heat capacities and
/// conductances in proportion, so that the laws' ratios stay; then the needles' gaps are set for the same mixtures.
const SIZES: &[(&str, f64)] = &[("onroad-2.1", 2.1), ("truggy-4.6", 4.6)];

fn scaled(best: &Trial, displacement_cm3: f64, setting: Setting) -> Trial {
    let mut trial = *best;
    let e = &mut trial.setup.engine;
    let k = displacement_cm3 / e.geometry.displacement_cm3;
    for value in [
        &mut e.geometry.displacement_cm3,
        &mut e.geometry.pipe_volume_cm3,
        &mut e.carburettor.throttle_flow_area_mm2,
        &mut e.carburettor.line_store_mg,
        &mut e.tank.volume_ml,
        &mut e.tank.nominal_exhaust_flow_g_per_s,
        &mut e.drive.flywheel_inertia_kg_mm2,
        &mut e.drive.clutch_torque_n_mm,
        &mut e.drive.stand_inertia_kg_mm2,
        &mut e.drive.stand_drag_n_mm,
        &mut e.drive.car_mass_kg,
        &mut e.drive.rolling_drag_n,
        &mut e.drive.drag_area_cm2,
        &mut e.cooling.head_capacity_j_per_k,
        &mut e.cooling.head_still_air_w_per_k,
        &mut e.cooling.head_moving_air_w_per_k,
        &mut e.cooling.head_to_crankcase_w_per_k,
        &mut e.cooling.crankcase_capacity_j_per_k,
        &mut e.cooling.crankcase_to_air_w_per_k,
    ] {
        *value *= k;
    }
    // Wider needles for a larger engine, so that lift and gap stay alike.
    e.carburettor.high_perimeter_mm *= k;
    e.carburettor.low_perimeter_mm *= k;
    trial.retune(setting);
    trial
}

/// Prints the clean island of an engine: margins of the checks at the offsets that must pass and must not.
fn island(name: &str, trial: &Trial, setting: Setting) {
    let best_snap_delay_s = best_snap_delay(&trial.setup, setting);
    let table = Table {
        setup: &trial.setup,
        setting,
        seed: 1,
        waits: Waits::STANDARD,
        best_snap_delay_s,
    };
    let mut quantities = Vec::new();
    table.island_rows(&mut quantities);
    for q in &quantities {
        println!(
            "{name:12}{:40}{:>9.3} {}",
            q.name,
            q.value,
            if q.holds() { "" } else { "missed" }
        );
    }
}

/// Writes an engine's constants into `models/engines/`, keeping every comment.
fn write(name: &str, trial: &Trial, setting: Setting) {
    let mut params = trial.setup.engine;
    let mut values: Vec<(&str, &str, f64)> =
        vec![("reference", "snap_delay_best_s", best_snap_delay(&trial.setup, setting))];
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

fn write_file(file: &str, values: &[(&str, &str, f64)]) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("models").join(file);
    let text = std::fs::read_to_string(&path).expect("the models' folder is part of the project");
    let text = rewrite(&text, values).expect("every declared key stands in its file");
    std::fs::write(&path, text).expect("the models' folder can be written to");
    println!("wrote models/{file}");
}
