//! Every built-in strategy plays its practices to their own end: signed off, or the engine lost.

use std::sync::Arc;

use needlebench::config::Source;
use needlebench::tuning::batch::playing::{Practice, play};
use needlebench::tuning::episode::Episode;
use needlebench::tuning::strategy::STRATEGIES;
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::file::Strategy;
use rayon::prelude::*;

use crate::player::scenario;

#[test]
fn every_built_in_strategy_comes_to_an_end_of_its_own() {
    let mut practices = Vec::new();
    let mut names = Vec::new();
    for name in ["lesson-1", "other-hands"] {
        let scenario = scenario(name);
        let fresh = Episode::reset(&scenario, 1, 0).unwrap();
        for file in STRATEGIES {
            let strategy = Strategy::read(&Source::new(file.path, file.text)).unwrap();
            let follower = Follower::new(Arc::new(strategy), scenario.limits, fresh.chance());
            practices.push(Practice::new(fresh.clone(), follower));
            names.push(format!("{} in {name}", file.name));
        }
    }
    practices.par_chunks_mut(1).for_each(play);
    let unended: Vec<String> = practices
        .iter()
        .zip(names)
        .filter(|(practice, _)| practice.end.is_none_or(|end| !end.terminated()))
        .map(|(practice, name)| format!("{name}: {:?}", practice.end))
        .collect();
    assert!(unended.is_empty(), "{unended:#?}");
}
