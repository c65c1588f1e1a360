//! The built-in scenarios can be won.

use needlebench::tuning::hidden::Hidden;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use rayon::prelude::*;

#[test]
fn every_built_in_scenario_has_a_clean_setting_whatever_the_seed() {
    let cases: Vec<(&str, u64)> = SCENARIOS
        .iter()
        .flat_map(|file| (1..=10).map(move |seed| (file.name, seed)))
        .collect();
    let dirty: Vec<(&str, u64, Vec<&str>)> = cases
        .into_par_iter()
        .map(|(name, seed)| {
            let scenario = Scenario::read(&source(name).unwrap()).unwrap();
            (name, seed, Hidden::draw(&scenario, seed, 0).unwrap().at_truth.failed())
        })
        .filter(|(_, _, failed)| !failed.is_empty())
        .collect();
    assert!(dirty.is_empty(), "{dirty:?}");
}
