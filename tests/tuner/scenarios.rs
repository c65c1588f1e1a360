//! The built-in scenarios can be won, and not by signing off at once.

use needlebench::practise::session::Level;
use needlebench::tuning::action::Action;
use needlebench::tuning::episode::Ending;
use needlebench::tuning::hidden::Hidden;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use rayon::prelude::*;

use crate::player::Player;

#[test]
fn every_built_in_scenario_has_a_clean_setting_whatever_the_seed() {
    let cases: Vec<(&str, u64)> = SCENARIOS
        .iter()
        .flat_map(|file| (1..=10).map(move |seed| (file.name, seed)))
        .collect();
    let dirty: Vec<String> = cases
        .into_par_iter()
        .filter_map(|(name, seed)| {
            let scenario = Scenario::read(&source(name).unwrap()).unwrap();
            Hidden::draw(&scenario, seed, 0).err().map(|error| error.to_string())
        })
        .collect();
    assert!(dirty.is_empty(), "{dirty:?}");
}

#[test]
fn no_built_in_scenario_starts_clean() {
    let cases: Vec<(&str, u64)> = SCENARIOS
        .iter()
        .flat_map(|file| (1..=5).map(move |seed| (file.name, seed)))
        .collect();
    let clean: Vec<(&str, u64)> = cases
        .into_par_iter()
        .filter(|(name, seed)| {
            let mut player = Player::new(name, Level::Assisted, *seed);
            player.act(Action::Start);
            player.act(Action::SignOff);
            assert!(player.last.sight.ended.is_some(), "{name}, seed {seed}: not signed off");
            player.last.sight.ended == Some(Ending::Clean)
        })
        .collect();
    assert!(clean.is_empty(), "{clean:?}");
}
