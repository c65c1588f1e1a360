//! The symptom table, row by row (S1-S23, S25), from the reference engine at its reference setting: numbers as the design states them,
//! over twenty seeds of the engine's noise. Origin of the rows: common practice of the trade unless a quantity's row says
//! otherwise (S3 and S10 computed equilibrium, S11-S12 viscous metering and the correction standards, S17 Menon and Cadou, S19 and
//! the exact firing period in `laws.rs`).

use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{GROUPS, Quantity, Table, group};
use needlebench::config::reference_setup;

const SEEDS: u64 = 20;

/// The quantities of a group of rows from the reference engine, with the noise of every seed.
fn measured(rows: &str) -> Vec<Quantity> {
    let (engine, setup) = reference_setup("offroad-3.5").unwrap();
    let (waits, seeds) = (Waits::STANDARD, 1..=SEEDS);
    let table = Table::new(&setup, engine.reference, seeds, waits, engine.snap_delay_best_s);
    let quantities = table.rows([group(rows)]);
    assert!(!quantities.is_empty());
    quantities
}

/// Numbers of the table that the model does not show yet at every seed; DEVELOPERS.md says of each what is known. A row that begins
/// to hold at all seeds fails its test until it is taken off this list, so the list can't outlive its reasons.
const OPEN: [&str; 1] = ["S12 a 20 K colder day on the low needle, turns"];

fn hold(rows: &str) {
    let measured = measured(rows);
    let mut failures: Vec<String> = measured
        .iter()
        .filter(|q| !q.holds())
        .map(|q| {
            format!(
                "{} {}: {:.3} not in {:.3}..{:.3} (seed {})",
                q.row, q.name, q.value, q.low, q.high, q.seed
            )
        })
        .collect();
    failures.sort();
    let unexpected: Vec<&String> = failures
        .iter()
        .filter(|f| !OPEN.iter().any(|o| f.starts_with(o)))
        .collect();
    assert!(
        unexpected.is_empty(),
        "{} of the row's numbers fail:\n{unexpected:#?}",
        unexpected.len()
    );
    for open in OPEN {
        let mine = measured.iter().any(|q| open == format!("{} {}", q.row, q.name));
        assert!(
            !mine || failures.iter().any(|f| f.starts_with(open)),
            "{open} holds at every seed now: take it off the list"
        );
    }
}

#[test]
fn idle_answers_both_needles_s1_s2_s18() {
    hold("idle");
}

#[test]
fn burst_snap_half_throttle_and_pinch_s4_to_s8_s20_s22() {
    hold("burst");
}

#[test]
fn full_throttle_on_the_brake_s3_s13_s14_s15_s17_s25() {
    hold("brake");
}

#[test]
fn fuel_weather_and_tank_move_the_mixture_s9_to_s12_s21() {
    hold("mixture");
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
    let held = ["idle", "burst", "brake", "mixture", "heat", "false idle", "island"];
    let groups: Vec<&str> = GROUPS.iter().map(|group| group.name).collect();
    assert!(groups.iter().all(|name| held.contains(name)), "{groups:?}");
}
