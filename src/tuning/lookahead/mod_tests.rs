use super::library::Extent;
use super::*;
use crate::tuning::batch::playing::{Practice, play};
use crate::tuning::episode::Episode;
use crate::tuning::human::Skill;
use crate::tuning::scenario::{Scenario, source};

#[test]
fn it_finds_most_settings_in_two_turns_or_so_and_the_same_ones_again() {
    let scenario = Scenario::read(&source("lesson-3").unwrap()).unwrap();
    let extent = Extent {
        engines: 3,
        beliefs: 900,
    };
    let library = Arc::new(Library::learnt(&scenario, extent).unwrap());
    let played = || {
        let practices = (1..=4).filter_map(|seed| Episode::reset_for(&scenario, seed, 0, Skill::Club).ok());
        let tuner = || LookAhead::new(library.clone(), scenario.limits);
        let mut practices: Vec<_> = practices.map(|episode| Practice::new(episode, tuner())).collect();
        play(&mut practices);
        practices
            .iter()
            .map(|practice| (practice.end, practice.episode.score().turns, practice.episode.digest()))
            .collect::<Vec<_>>()
    };
    let first = played();
    assert_eq!(first, played());
    let won = first.iter().filter(|(end, ..)| *end == Some(End::Clean)).count();
    let turns: u32 = first.iter().map(|(_, turns, _)| turns).sum();
    assert!(won >= 3, "{first:?}");
    assert!(turns <= 4 * 4, "{first:?}");
}

#[test]
fn what_is_heard_narrows_what_is_believed() {
    let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
    let extent = Extent {
        engines: 1,
        beliefs: 300,
    };
    let library = Arc::new(Library::learnt(&scenario, extent).unwrap());
    let place = library.nearest([6.0 / CLICKS, 0.0, 0.0]);
    let mut belief = Belief::new(library.clone());
    let before = belief.mean([0.0; 3]);
    belief.take_in(library.signs(0, place), [0.0; 3], 1.0);
    let after = belief.mean([0.0; 3]);
    // Rich by some clicks: nearer to that than what was believed at the beginning.
    assert!(
        (after[0] - 6.0 / CLICKS).abs() < (before[0] - 6.0 / CLICKS).abs(),
        "{before:?} {after:?}"
    );
    let (turns, made, clean) = belief.best_turns([0.0; 3], NOT_CLEAN);
    assert!(
        turns[0] < 0.0 && made >= 1.0 && clean > belief.clean_share([0.0; 3]),
        "{turns:?} {clean}"
    );
}
