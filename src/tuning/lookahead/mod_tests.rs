use super::library::Extent;
use super::*;
use crate::engine::params::Setting;
use crate::tuning::batch::playing::{Practice, play};
use crate::tuning::episode::Episode;
use crate::tuning::human::Skill;
use crate::tuning::scenario::{Scenario, source};

#[test]
fn who_has_tuned_the_very_engines_finds_most_settings_in_a_few_turns_and_the_same_ones_again() {
    let scenario = Scenario::read(&source("lesson-3").unwrap()).unwrap();
    let extent = Extent {
        engines: 2,
        beliefs: 1200,
    };
    let library = Arc::new(Library::learnt(&scenario, extent).unwrap());
    let played = || {
        let fresh = (0..2).map(|number| Episode::reset_for(&scenario, library::SEED, number, Skill::Club).unwrap());
        let starts = |episode: Episode| {
            [[9.5, -3.5, 0.0], [13.0, 6.5, 4.0], [6.0, 8.0, -12.0]].map(|off: [f64; 3]| {
                let truth = episode.hidden.truth;
                episode.starting_at(Setting {
                    high_turns: truth.high_turns + off[0] / CLICKS,
                    low_turns: truth.low_turns + off[1] / CLICKS,
                    idle_turns: truth.idle_turns + off[2] / CLICKS,
                })
            })
        };
        let tuner = || LookAhead::new(library.clone(), scenario.limits);
        let mut practices: Vec<_> = fresh
            .flat_map(starts)
            .map(|episode| Practice::new(episode, tuner()))
            .collect();
        play(&mut practices);
        practices
            .iter()
            .map(|practice| (practice.end, practice.episode.score().turns, practice.episode.digest()))
            .collect::<Vec<_>>()
    };
    let first = played();
    assert_eq!(first, played());
    let clean = first.iter().filter(|(end, ..)| *end == Some(End::Clean)).count();
    assert!(clean >= 5 && first.iter().all(|(_, turns, _)| *turns <= 4), "{first:?}");
}

#[test]
fn what_is_heard_narrows_what_is_believed() {
    let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
    let extent = Extent {
        engines: 1,
        beliefs: 300,
    };
    let library = Arc::new(Library::learnt(&scenario, extent).unwrap());
    let shown = library.shown(0).nearest([12.0 / CLICKS, 0.0, 0.0]).clone();
    let mut belief = Belief::new(library.clone());
    let before = belief.mean([0.0; 3]);
    belief.take_in(shown, [0.0; 3], 1.0);
    let after = belief.mean([0.0; 3]);
    // Rich by half a turn: nearer to that than what was believed at the beginning.
    assert!(
        (after[0] - 12.0 / CLICKS).abs() < (before[0] - 12.0 / CLICKS).abs(),
        "{before:?} {after:?}"
    );
    let (turns, made, clean) = belief.best_turns([0.0; 3], NOT_CLEAN);
    assert!(
        turns[0] < 0.0 && made >= 1.0 && clean > belief.clean_share([0.0; 3]),
        "{turns:?} {clean}"
    );
}
