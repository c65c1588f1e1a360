//! The symptom table, row by row (S1-S28), from every built-in engine at its reference setting: numbers as the design states them,
//! over twenty seeds of the engine's noise that no search has used. Speeds go in proportion to the engine's rated speed, power to its
//! displacement. Origin of the rows: common practice of the trade unless a quantity's row says otherwise (S3 and S10 computed
//! equilibrium, S11-S12 viscous metering and the correction standards, S17, S26 and S27 Menon and Cadou; S19, the identity in S27 and
//! the exact firing period are tests of the laws).

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{GROUPS, Quantity, Table, group};
use needlebench::config::{models, reference_setup};

/// Seeds that neither the search nor any other test uses.
const SEEDS: std::ops::RangeInclusive<u64> = 101..=120;

/// The quantities of a group of rows from an engine, with the noise of every seed.
fn measured(engine: &str, rows: &str) -> Vec<Quantity> {
    let (engine, setup) = reference_setup(engine).unwrap();
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(
        &setup,
        engine.reference,
        SEEDS,
        waits,
        best_snap_delay_s(&setup, engine.reference),
    );
    let quantities = table.rows([group(rows)]);
    assert!(!quantities.is_empty());
    quantities
}

/// Numbers of the table that the model does not show yet at every seed: engine and row; DEVELOPERS.md says of each what is known. A row
/// that begins to hold at all seeds fails its test until it is taken off this list, so the list can't outlive its reasons.
const OPEN: &[(&str, &str)] = &[];

fn name(q: &Quantity) -> String {
    format!("{} {}", q.row, q.name)
}

/// Fails with the lines that the list lacks, each number at its worst seed, and with those that it has no more reason for.
fn hold(rows: &str) {
    let mut wrong = Vec::new();
    for engine in models::engine_names() {
        let measured = measured(engine, rows);
        for of_a_name in measured.chunk_by(|a, b| name(a) == name(b)) {
            let name = name(&of_a_name[0]);
            let failed = of_a_name.iter().filter(|q| !q.holds()).count();
            let open = OPEN.contains(&(engine, &name));
            if failed == 0 && open {
                wrong.push(format!(
                    "{engine}: {name} holds at every seed now: take it off the list"
                ));
            } else if failed > 0 && !open {
                let worst = of_a_name.iter().min_by(|a, b| a.margin().total_cmp(&b.margin()));
                let q = worst.unwrap();
                wrong.push(format!(
                    "({engine:?}, {name:?}), // {:.3} at seed {}, not in {:.3}..{:.3}; {failed} of {} seeds",
                    q.value,
                    q.seed,
                    q.low,
                    q.high,
                    of_a_name.len(),
                ));
            }
        }
    }
    let lines: String = wrong.iter().map(|line| format!("    {line}\n")).collect();
    assert!(
        wrong.is_empty(),
        "{} numbers are not as OPEN has it:\n{lines}",
        wrong.len()
    );
}

#[test]
fn idle_answers_both_needles_s1_s2_s18_s24_s28() {
    hold("idle");
}

#[test]
fn return_from_a_burst_s4_s5() {
    hold("burst");
}

#[test]
fn a_lean_low_end_hangs_s6() {
    hold("hang");
}

#[test]
fn snap_half_throttle_free_speed_and_pinch_s7_s8_s20_s22() {
    hold("throttle");
}

#[test]
fn full_throttle_on_the_brake_s3_s13_s14_s15_s17_s25_s27() {
    hold("brake");
}

#[test]
fn film_jet_and_tank_s9_s11_s21() {
    hold("mixture");
}

#[test]
fn fuel_and_weather_s10_s12() {
    hold("weather");
}

#[test]
fn compression_and_size_s26() {
    hold("size");
}

#[test]
fn race_duty_and_the_cold_engine_s13_s15_s16() {
    hold("heat");
}

#[test]
fn a_false_idle_is_exposed_s23() {
    hold("false idle");
}

#[test]
fn the_clean_island_is_as_wide_as_a_racer_expects() {
    hold("island");
}

#[test]
fn every_group_of_rows_is_held() {
    let held = [
        "idle",
        "burst",
        "hang",
        "throttle",
        "brake",
        "mixture",
        "weather",
        "size",
        "heat",
        "false idle",
        "island",
    ];
    let groups: Vec<&str> = GROUPS.iter().map(|group| group.name).collect();
    assert!(groups.iter().all(|name| held.contains(name)), "{groups:?}");
}

#[test]
fn every_number_has_its_own_name_and_what_is_open_has_one() {
    let (engine, setup) = reference_setup("offroad-3.5").unwrap();
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(&setup, engine.reference, [101], waits, f64::NAN);
    let mut names: Vec<String> = table.rows(&GROUPS).iter().map(name).collect();
    let count = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), count);
    for (engine, row) in OPEN {
        assert!(models::engine_names().contains(engine), "{engine}");
        assert!(names.iter().any(|name| name == row), "{row}");
    }
}

/// Which way an engine fails: one that never runs holds no number of the table.
#[test]
fn a_dead_engine_holds_no_row() {
    let (engine, mut setup) = reference_setup("offroad-3.5").unwrap();
    setup.laws.firing.best_burnt_share = 0.0;
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(&setup, engine.reference, [101], waits, f64::NAN);
    let held: Vec<String> = table
        .rows(&GROUPS)
        .iter()
        .filter(|q| q.binds() && q.holds())
        .map(name)
        .collect();
    assert!(held.is_empty(), "{held:#?}");
}
