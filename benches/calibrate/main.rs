//! Calibration: the search that set the assumed constants against the symptom table. Run it again with
//!
//! ```text
//! cargo bench --bench calibrate                                    # how far each row is from its limits
//! cargo bench --bench calibrate -- --rounds 6 --seed 7          # search, print, change nothing
//! cargo bench --bench calibrate -- --rounds 6 --seed 7 --write  # and write the constants into models/
//! ```
//!
//! `--idle PHI` and `--full PHI` set the equivalence ratios that the reference setting shall meter before the search begins,
//! `--set KEY=VALUE` an assumed constant (with no rounds: what it does to the rows), `--toward-guesses 0.5` starts half-way between
//! the models and the guesses.
//!
//! The search (search.rs) is a damped Gauss-Newton step on what the rows still lack, over the logarithms of the assumed constants;
//! after every change the needles' gaps are set so that the reference setting meters the wanted mixtures. `--seed` is the first of
//! the engine's noise seeds that the rows are measured with. Where a row counts missed revolutions and none misses yet, a guide
//! beside it (the share of the charge left unburnt) tells the search which way to go.

mod engines;
mod search;

use std::path::Path;
use std::time::Instant;

use needlebench::bench::checks::{self, Facts, Limits};
use needlebench::bench::measures::{self, Waits};
use needlebench::bench::rig::Rig;
use needlebench::bench::symptoms::{Quantity, Table, moved};
use needlebench::config::{reference_setup, rewrite};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, Key, LawParams, Origin, Setting};
use needlebench::engine::state::Load;
use needlebench::lanes::Lanes;

/// A margin below this many of a row's units costs; so rows end inside their limits, not on them.
const WANTED_MARGIN: f64 = 0.3;
/// Noise seeds that every row is measured with.
const SEEDS: u64 = 3;
/// Pull of a constant towards its guess.
const PULL: f64 = 0.002;

/// Constants outside the search: set by retuning, or bound by no row.
const FIXED: &[&str] = &["high_gap_per_lift", "low_gap_per_lift", "signal_reference_opening"];

/// Where a belief is narrower than what a file may say: a free search would trade these away for a row.
const BELIEFS: &[(&str, f64, f64)] = &[
    ("throttle_exponent", 1.3, 2.2),
    ("evaporation_per_s", 0.06, 0.3),
    ("shear_exponent", 1.4, 2.2),
    ("shear_per_s", 4.0, 20.0),
    ("plug_light_off_k", 550.0, 720.0),
    ("firing_rise_k", 100.0, 350.0),
    ("lag_s", 0.1, 1.0),
    ("pressure_lag_s", 0.2, 3.0),
    ("crankcase_capacity_j_per_k", 60.0, 300.0),
];

/// Where one would guess a constant before any row: the orders of size in the sources named beside them in `models/`. A constant
/// that stands in no row's way ends here.
const GUESSES: &[(&str, f64)] = &[
    ("signal_share_idle", 0.0225),
    ("signal_share_open", 0.62),
    ("signal_onset_opening", 0.1),
    ("signal_span_opening", 0.8),
    ("pressure_wide_open_kpa", 6.5),
    ("pressure_lag_s", 0.5),
    ("port_cutoff_rev_per_s", 660.0),
    ("pipe_half_width_rev_per_s", 110.0),
    ("scavenging_gain", 1.0),
    ("vaporised_kg_per_kg", 0.15),
    ("vaporised_per_k", 0.0012),
    ("carry_through_rev_per_s", 250.0),
    ("evaporation_per_s", 0.08),
    ("shear_per_s", 8.0),
    ("shear_exponent", 1.5),
    ("trapping_noise", 0.03),
    ("release_noise", 0.05),
    ("best_burnt_share", 0.98),
    ("dilution_limit", 0.6),
    ("dilution_width", 0.015),
    ("limit_per_plug_k", 0.0004),
    ("limit_per_charge_k", 0.0008),
    ("reference_charge_temperature_k", 480.0),
    ("rich_span", 0.75),
    ("lean_span", 0.5),
    ("plug_light_off_k", 620.0),
    ("plug_light_off_width_k", 25.0),
    ("best_efficiency", 0.4),
    ("efficiency_half_speed_rev_per_s", 150.0),
    ("phase_per_equivalence_ratio_deg", 28.0),
    ("phase_reference_equivalence_ratio", 1.3),
    ("phase_per_speed_deg", 22.0),
    ("phase_low_speed_limit", 0.45),
    ("plug_quench_k_per_deg", 16.0),
    ("catalytic_rise_k", 320.0),
    ("catalytic_light_off_k", 600.0),
    ("firing_rise_k", 200.0),
    ("firing_rise_speed_k", 190.0),
    ("lag_s", 0.4),
    ("base_bar", 1.0),
    ("per_100_rev_per_s_bar", 0.15),
    ("per_100_rev_per_s_squared_bar", 0.03),
    ("pumping_bar", 0.3),
    ("cold_per_k", 0.008),
    ("evaporation_share", 0.25),
    ("head_share_detonation", 0.8),
    ("head_capacity_j_per_k", 320.0),
    ("dilution", 20.0),
    ("oil_burnt_share", 0.6),
    ("carry_flow_cm3_per_s", 300.0),
    ("wall_clear_s", 0.6),
];

#[derive(Clone, Copy)]
struct Trial {
    setup: Setup,
    /// Equivalence ratios that the reference setting shall meter, at idle and wide open.
    idle: f64,
    full: f64,
}

/// One constant under search, and the range in which it is searched.
#[derive(Clone, Copy)]
struct Free {
    place: Place,
    low: f64,
    high: f64,
}

#[derive(Clone, Copy)]
enum Place {
    Engine(&'static str, &'static str),
    Law(&'static str, &'static str),
    Idle,
    Full,
}

impl Free {
    fn guess(&self, now: f64) -> f64 {
        match self.place {
            Place::Engine(_, key) | Place::Law(_, key) => GUESSES
                .iter()
                .find(|g| g.0 == key)
                .map_or(now, |g| g.1)
                .clamp(self.low, self.high),
            Place::Idle | Place::Full => now,
        }
    }
}

fn free() -> Vec<Free> {
    // A logarithm wants a value above 0.
    let bounded = |place, key: &Key| {
        let (low, high) = BELIEFS
            .iter()
            .find(|b| b.0 == key.name)
            .map_or((key.low, key.high), |b| (b.1, b.2));
        Free {
            place,
            low: low.max(high * 1e-4),
            high,
        }
    };
    let wanted = |key: &&Key| key.origin == Origin::assumed && !FIXED.contains(&key.name);
    let mut list = vec![
        Free {
            place: Place::Idle,
            low: 1.0,
            high: 1.6,
        },
        Free {
            place: Place::Full,
            low: 1.1,
            high: 1.6,
        },
    ];
    for (group, keys) in EngineParams::GROUPS {
        list.extend(
            keys.iter()
                .filter(wanted)
                .map(|key| bounded(Place::Engine(group, key.name), key)),
        );
    }
    for (group, keys) in LawParams::GROUPS.iter().filter(|(group, _)| *group != "wear") {
        list.extend(
            keys.iter()
                .filter(wanted)
                .map(|key| bounded(Place::Law(group, key.name), key)),
        );
    }
    list
}

impl Trial {
    fn slot(&mut self, place: Place) -> Option<&mut f64> {
        match place {
            Place::Idle => Some(&mut self.idle),
            Place::Full => Some(&mut self.full),
            Place::Engine(group, key) => self.setup.engine.get_mut(group, key),
            Place::Law(group, key) => self.setup.laws.get_mut(group, key),
        }
    }

    /// The trial at a point of the search.
    fn at(mut self, list: &[Free], point: &[f64], setting: Setting) -> Self {
        for (free, x) in list.iter().zip(point) {
            if let Some(slot) = self.slot(free.place) {
                *slot = x.exp();
            }
        }
        self.retune(setting);
        self
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
fn weight(q: &Quantity) -> f64 {
    // Out of reach together with the rows of S11: see DEVELOPERS.md.
    if q.name.contains("colder day") {
        return 0.02;
    }
    match q.row {
        "S8" | "island" => 2.0,
        "S4" | "S5" | "S6" | "S7" | "S9" => 1.5,
        "S11" | "S13" | "S15" | "S16" => 3.0,
        "guide" => 0.5,
        _ => 1.0,
    }
}

/// Whether a quantity counts: revolutions that missed, engines that died.
fn jumps(q: &Quantity) -> bool {
    ["misfire", "missed", "races or dies", "clean after"]
        .iter()
        .any(|word| q.name.contains(word))
}

/// A margin whose far ends are drawn in, so that they keep a slope without outweighing all else.
fn compressed(margin: f64) -> f64 {
    if margin < -1.0 {
        -1.0 - (-margin).ln()
    } else {
        margin.min(10.0)
    }
}

/// The table under every seed, and the guides.
fn measure(setup: &Setup, setting: Setting, first_seed: u64) -> Vec<Quantity> {
    let best_snap_delay_s = best_snap_delay(setup, setting);
    let mut quantities = Vec::new();
    for seed in first_seed..first_seed + SEEDS {
        let table = Table {
            setup,
            setting,
            seed,
            waits: Waits::STANDARD,
            best_snap_delay_s,
        };
        // Noise decides what fires, hardly what is metered or how hot it gets.
        if seed == first_seed {
            for rows in Table::GROUPS {
                rows(&table, &mut quantities);
            }
        } else {
            table.idle_rows(&mut quantities);
            table.burst_rows(&mut quantities);
            table.island_rows(&mut quantities);
        }
        island(&table, &mut quantities);
        guides(setup, setting, seed, &mut quantities);
    }
    quantities
}

/// The clean island check by check: of a smallest margin the search would see one check at a time, and walk into the next.
fn island(table: &Table, out: &mut Vec<Quantity>) {
    let facts = Facts {
        rated_rpm: table.waits.brake_rpm,
        best_snap_delay_s: table.best_snap_delay_s,
    };
    let click = 1.0 / 24.0;
    for (high, low) in [(0.0, 0.0), (click, 0.0), (-click, 0.0), (0.0, click), (0.0, -click)] {
        let setting = moved(table.setting, high, low);
        let report = checks::check(table.setup, facts, setting, table.seed, &Limits::STANDARD, &table.waits);
        out.extend(report.checks.iter().map(|check| Quantity {
            row: "click",
            name: check.name,
            value: check.margin().unwrap_or(-1.0),
            low: 0.0,
            high: f64::INFINITY,
            scale: 0.1,
        }));
    }
}

/// Smooth stand-ins for rows that count: what they want is stricter than the row, and no row.
fn guides(setup: &Setup, setting: Setting, seed: u64, out: &mut Vec<Quantity>) {
    let mut add = |name, value: f64, low, high, scale| {
        out.push(Quantity {
            row: "guide",
            name,
            value,
            low,
            high,
            scale,
        })
    };
    let click = 1.0 / 24.0;
    let settled = |high, low| measures::settled(setup, moved(setting, high, low), seed, &Waits::STANDARD).0;
    let snap = |high, low| measures::snap(settled(high, low), &Waits::STANDARD);
    // What burns at best is nothing that the needles can change.
    let best = setup.laws.firing.best_burnt_share;
    let log = f64::ln;
    let lost = |percent: f64| (100.0 - (100.0 - percent) / best).max(1e-9).ln();
    let inf = f64::INFINITY;
    for (name, high, low) in [
        ("snap, clean: unburnt, ln %", 0.0, 0.0),
        ("snap, high +1/24: unburnt, ln %", click, 0.0),
        ("snap, low +1/24: unburnt, ln %", 0.0, click),
        ("snap, low -1/24: unburnt, ln %", 0.0, -click),
    ] {
        let snap = snap(high, low);
        add(name, lost(snap.unburnt_percent), -inf, log(1.5), 1.0);
    }
    let half = |high, low| {
        let running = Rig::warm(setup, moved(setting, high, low), seed);
        measures::half_throttle(running).unburnt_percent
    };
    add("half, clean: unburnt, ln %", lost(half(0.0, 0.0)), -inf, log(1.0), 1.0);
    add(
        "half, high +1/2 low +1/4: unburnt, ln %",
        lost(half(0.5, 0.25)),
        log(6.0),
        log(50.0),
        1.0,
    );
    add(
        "half, high +1 low +1/2: unburnt, ln %",
        lost(half(1.0, 0.5)),
        log(12.0),
        log(80.0),
        1.0,
    );
    let rich = snap(0.0, 0.5);
    add("snap, low +1/2: lag, s", rich.delay_s.unwrap_or(4.0), 0.3, 1.5, 0.5);
    for (name, high, low) in [
        ("slow opening, clean: unburnt, ln %", 0.0, 0.0),
        ("slow opening, high +1/24: unburnt, ln %", click, 0.0),
        ("slow opening, low +1/24: unburnt, ln %", 0.0, click),
    ] {
        let opened = measures::roll_on(settled(high, low), 6.0);
        add(name, lost(opened.unburnt_percent), -inf, log(4.0), 1.0);
    }
    let rise = |low| measures::pinch(settled(0.0, low)).rise_percent;
    add("pinched, low -1/24: rise, %", rise(-click), 1.2, inf, 0.5);
    add("pinched, low -1/8: rise, %", rise(-0.125), -inf, 0.4, 0.5);
    let quarter = snap(0.0, 0.25);
    add(
        "snap, low +1/4: unburnt, ln %",
        lost(quarter.unburnt_percent),
        -inf,
        log(25.0),
        1.0,
    );
    // The cold engine: what it leaves unburnt as it opens, and how far below its warm idle it still is after 50 s.
    let warm_rpm = measures::settled(setup, setting, seed, &Waits::STANDARD).1.rpm;
    let mut cold = Rig::cold(setup, setting, seed);
    let mut deficit = 0.0;
    for k in 0..5 {
        cold.controls.glow_lead = Lanes([f64::from(u8::from(k == 0))]);
        cold.pass(0.25, 7.0);
        cold.controls.glow_lead = Lanes([0.0]);
        cold.pass(0.0, 3.0);
        if k == 0 {
            let mut opening = cold;
            let unburnt = measures::watch_steady(&mut opening, 0.6, 1.0).unburnt_percent;
            add("cold, opening: unburnt, ln %", lost(unburnt), log(8.0), inf, 1.0);
        }
        let mut look = cold;
        deficit = 100.0 * (1.0 - measures::watch_idle(&mut look, 2.0).rpm / warm_rpm.max(1.0));
    }
    add(
        "cold, after 50 s: idle below the warm one by, %",
        deficit,
        8.5,
        inf,
        4.0,
    );
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
    let rounds = value("--rounds").unwrap_or(0.0) as usize;
    let seed = value("--seed").unwrap_or(1.0) as u64;
    let (setup, setting) = reference();
    let mixture = |speed: f64, throttle: f64| {
        let mut rig = Rig::warm(&setup, setting, 1).with_load(Load::Brake(speed));
        rig.pass(throttle, 0.7);
        measures::watch_steady(&mut rig, throttle, 0.3).equivalence_ratio
    };
    let start = Trial {
        setup,
        idle: value("--idle").unwrap_or_else(|| mixture(170.0, 0.0)),
        full: value("--full").unwrap_or_else(|| mixture(500.0, 1.0)),
    };
    let list = free();
    // `--set key=value` starts the search elsewhere, or shows what a constant does.
    let mut start = start;
    for pair in arguments.windows(2).filter(|a| a[0] == "--set") {
        let (key, value) = pair[1].split_once('=').expect("--set key=value");
        let named = |f: &&Free| matches!(f.place, Place::Engine(_, k) | Place::Law(_, k) if k == key);
        let free = list.iter().find(named).expect("an assumed constant");
        *start.slot(free.place).expect("declared") = value.parse().expect("a number");
    }
    let start = start;
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
            write("offroad-3.5", &trial, setting, Waits::STANDARD.brake_rpm);
            write_laws(&trial);
        }
    });
    let best = start.at(&list, &found, setting);
    let quantities = measure(&best.setup, setting, seed);
    println!(
        "{:10}{:60}{:>11}{:>11}{:>11}{:>9}",
        "row", "quantity", "value", "at least", "at most", "margin"
    );
    // Each quantity at the seed where it stands worst.
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
            "{:10}{:60}{:>11.3}{:>11.3}{:>11.3}{:>9.2}{mark}",
            q.row,
            q.name,
            q.value,
            q.low,
            q.high,
            q.margin()
        );
    }
    let (idle_rig, idle) = measures::settled(&best.setup, setting, 1, &Waits::STANDARD);
    let half = measures::half_throttle(idle_rig);
    println!(
        "mixture: idle {:.3} (burnt gas {:.3}), half {:.3} (burnt gas {:.3}, {:.0} rpm), full {:.3}",
        idle.equivalence_ratio,
        {
            let mut rig = idle_rig;
            measures::watch_steady(&mut rig, 0.0, 1.0).burnt_fraction
        },
        half.equivalence_ratio,
        half.burnt_fraction,
        half.rpm,
        best.full,
    );
    println!("best snap delay {:.4} s", best_snap_delay(&best.setup, setting));
    let others: Vec<(&engines::Size, Trial, Setting)> = engines::SIZES
        .iter()
        .map(|size| {
            let (trial, setting, rows) = engines::settle(&best, size, setting, if write_now { 3 } else { 0 });
            println!("{}: rows missed after scaling:", size.name);
            for q in rows.iter().filter(|q| !q.holds()) {
                println!(
                    "{:10}{:60}{:>11.3}{:>11.3}{:>11.3}",
                    q.row, q.name, q.value, q.low, q.high
                );
            }
            (size, trial, setting)
        })
        .collect();
    if arguments.iter().any(|a| a == "--write") {
        write("offroad-3.5", &best, setting, Waits::STANDARD.brake_rpm);
        for (size, trial, setting) in &others {
            write(size.name, trial, *setting, size.rated_rpm);
        }
        write_laws(&best);
    }
}

/// Writes an engine's constants into `models/engines/`, keeping every comment.
fn write(name: &str, trial: &Trial, setting: Setting, rated_rpm: f64) {
    let mut params = trial.setup.engine;
    let mut values: Vec<(&str, &str, f64)> = vec![
        ("reference", "idle_turns", setting.idle_turns),
        ("reference", "rated_rpm", rated_rpm),
        ("reference", "snap_delay_best_s", best_snap_delay(&trial.setup, setting)),
    ];
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
