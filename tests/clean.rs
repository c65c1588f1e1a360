//! The sign-off of every built-in engine: clean at its reference setting and a click (1/24 turn) around it, not clean where a racer
//! would not sign (common practice), and the same verdict whatever the engine's noise.

use needlebench::bench::checks::{self, CheckName, Facts, Limits, Report};
use needlebench::bench::measures::Waits;
use needlebench::bench::symptoms::moved;
use needlebench::config::{models, reference_setup};
use rayon::prelude::*;

fn report(engine: &str, high: f64, low: f64, seed: u64) -> Report {
    let (engine, setup) = reference_setup(engine).unwrap();
    let facts = Facts::of(&engine);
    checks::check(
        &setup,
        facts,
        moved(engine.reference, high, low),
        seed,
        &Limits::STANDARD,
        &Waits::STANDARD,
    )
}

const CLICK: f64 = 1.0 / 24.0;

#[test]
fn every_engine_is_clean_at_its_reference_setting_and_a_click_around_it() {
    for engine in models::engine_names() {
        for (high, low) in [(0.0, 0.0), (CLICK, 0.0), (-CLICK, 0.0), (0.0, CLICK), (0.0, -CLICK)] {
            let report = report(engine, high, low, 1);
            assert!(
                report.clean,
                "{engine} at high {high:+.3} low {low:+.3}: {:?}",
                report.failed()
            );
        }
    }
}

#[test]
fn no_engine_is_clean_half_a_turn_rich_or_an_eighth_lean() {
    for engine in models::engine_names() {
        for (high, low) in [(0.5, 0.0), (-0.125, 0.0), (0.0, 0.25), (0.0, -0.125)] {
            let report = report(engine, high, low, 1);
            assert!(!report.clean, "{engine} at high {high:+.3} low {low:+.3} passes");
        }
    }
}

#[test]
fn twenty_seeds_agree_on_the_reference_setting() {
    for engine in models::engine_names() {
        let dirty: Vec<(u64, Vec<CheckName>)> = (1..=20_u64)
            .into_par_iter()
            .map(|seed| (seed, report(engine, 0.0, 0.0, seed).failed()))
            .filter(|(_, failed)| !failed.is_empty())
            .collect();
        assert!(dirty.is_empty(), "{engine}: {dirty:?}");
    }
}

#[test]
fn a_dead_engine_is_null_not_a_number() {
    let report = report("offroad-3.5", 0.0, -1.5, 1);
    assert!(report.symptoms.stalled && !report.clean);
    assert_eq!(report.symptoms.idle_rpm, None);
}
