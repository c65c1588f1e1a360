//! Practices in batch: abreast each is, to the bit, what it is alone, whoever tunes and whichever instructions the processor has.

use needlebench::chance::Chance;
use needlebench::lanes::Instructions;
use needlebench::tuning::action::{Action, Part, Screw};
use needlebench::tuning::batch::playing::{End, MOST_ACTIONS, Practice, Tuner, play, play_on};
use needlebench::tuning::episode::{ALL_HEARD, Ending, Episode, Refusal};
use needlebench::tuning::scenario::{Scenario, source};
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::{Sight, act, coach};

/// Who tunes here: first these actions, then the coach or nobody; and what of all came to be seen.
#[derive(Clone, Debug)]
struct Somebody {
    first: Vec<Action>,
    then: Option<Follower>,
    seen: Vec<(Sight, Action)>,
    refused: Vec<Refusal>,
}

impl Tuner for Somebody {
    fn next(&mut self) -> Result<Action, End> {
        if self.first.is_empty() {
            return self.then.as_mut().map_or(Err(End::NothingProposed), Tuner::next);
        }
        Ok(self.first.remove(0))
    }
    fn did(&mut self, action: &Action, sight: &Sight) {
        self.seen.push((sight.clone(), *action));
        if let Some(coach) = &mut self.then {
            Tuner::did(coach, action, sight);
        }
    }
    fn refused(&mut self, action: &Action, refusal: Refusal) {
        self.refused.push(refusal);
        if let Some(coach) = &mut self.then {
            Tuner::refused(coach, action, refusal);
        }
    }
}

fn scenario(name: &str) -> Scenario {
    Scenario::read(&source(name).unwrap()).unwrap()
}

fn turn(screw: Screw, turns: f64) -> Action {
    Action::Turn { screw, turns }
}

fn held(position: f64, ms: u32) -> Action {
    Action::Hold { position, ms }
}

/// The coach after these actions.
fn coached(scenario: &Scenario, first: &[Action]) -> Somebody {
    Somebody {
        first: first.to_vec(),
        then: Some(Follower::new(coach().unwrap(), scenario.limits, Chance::new(0, 0))),
        seen: Vec::new(),
        refused: Vec::new(),
    }
}

/// These actions, and then nothing.
fn stopped(first: &[Action]) -> Somebody {
    Somebody {
        first: first.to_vec(),
        then: None,
        seen: Vec::new(),
        refused: Vec::new(),
    }
}

/// Starts and does all that signing off asks for, then signs off.
fn signed_off() -> Vec<Action> {
    let laps = [Action::Start, Action::Laps { laps: 2 }];
    laps.into_iter().chain(ALL_HEARD).chain([Action::SignOff]).collect()
}

/// Leans for speed alone until the engine is lost.
fn leaner_and_leaner() -> Vec<Action> {
    let round = [
        turn(Screw::High, -0.125),
        held(1.0, 60_000),
        Action::Fuel,
        Action::Start,
    ];
    [Action::Start, Action::Warm]
        .into_iter()
        .chain(round.into_iter().cycle().take(160))
        .collect()
}

/// What a practice is, as far as anybody can tell.
#[derive(Debug, PartialEq)]
struct Is {
    digest: u64,
    end: Option<End>,
    actions: u32,
    revolutions: u64,
    seen: Vec<(Sight, Action)>,
    refused: Vec<Refusal>,
}

/// A practice alone: one action done after the other.
fn alone(practice: &Practice<Somebody>) -> Is {
    let (mut episode, mut tuner) = (practice.episode.clone(), practice.tuner.clone());
    let (before, mut actions) = (episode.revolutions(), 0);
    let end = loop {
        if actions == MOST_ACTIONS {
            break End::OutOfActions;
        }
        let action = match tuner.next() {
            Ok(action) => action,
            Err(end) => break end,
        };
        actions += 1;
        match act(&mut episode, &action) {
            Err(refusal) => tuner.refused(&action, refusal),
            Ok(sight) => match sight.ended {
                None => tuner.did(&action, &sight),
                Some(Ending::Clean) => break End::Clean,
                Some(Ending::NotClean) => break End::NotClean,
                Some(Ending::Lost) => break End::Lost,
                Some(Ending::OutOfTime) => break End::OutOfTime,
                Some(Ending::Left) => break End::NothingProposed,
            },
        }
    };
    Is {
        digest: episode.digest(),
        end: Some(end),
        actions,
        revolutions: episode.revolutions() - before,
        seen: tuner.seen,
        refused: tuner.refused,
    }
}

fn found(practices: Vec<Practice<Somebody>>) -> Vec<Is> {
    practices
        .into_iter()
        .map(|practice| Is {
            digest: practice.episode.digest(),
            end: practice.end,
            actions: practice.actions,
            revolutions: practice.revolutions,
            seen: practice.tuner.seen,
            refused: practice.tuner.refused,
        })
        .collect()
}

/// Plays them abreast in every instruction set, and holds each against itself alone.
fn hold_abreast_against_alone(practices: &[Practice<Somebody>]) -> Vec<Is> {
    let alone: Vec<Is> = practices.iter().map(alone).collect();
    for instructions in Instructions::all() {
        let mut abreast = practices.to_vec();
        play_on(instructions, &mut abreast);
        for (at, (abreast, alone)) in found(abreast).into_iter().zip(&alone).enumerate() {
            assert!(
                abreast == *alone,
                "{instructions:?}, practice {at}: {abreast:#?}\n{alone:#?}"
            );
        }
    }
    alone
}

fn practices(scenario: &Scenario, seed: u64, tuners: impl IntoIterator<Item = Somebody>) -> Vec<Practice<Somebody>> {
    let fresh = Episode::reset(scenario, seed, 0).unwrap();
    tuners
        .into_iter()
        .map(|tuner| Practice::new(fresh.clone(), tuner))
        .collect()
}

#[test]
fn whoever_tunes_a_practice_abreast_is_the_same_alone() {
    let lesson = scenario("lesson-1");
    let tuners = [
        coached(&lesson, &[]),
        coached(&lesson, &[turn(Screw::High, 0.5), Action::Wait { ms: 1234 }]),
        coached(&lesson, &[turn(Screw::Low, -0.25), Action::Start, held(0.3, 777)]),
        stopped(&[]),
        stopped(&[
            Action::Start,
            Action::RollOn,
            Action::Pinch,
            Action::Plug,
            Action::Start,
        ]),
        stopped(&[
            Action::Start,
            Action::Stop,
            Action::Stop,
            Action::SignOff,
            held(7.0, 10),
        ]),
        stopped(&[Action::Start, Action::Leave]),
        stopped(&signed_off()),
        stopped(&leaner_and_leaner()),
        // Waits until the hour is over, and one whose hour is over in an action.
        stopped(&[Action::Wait { ms: 600_000 }; 7]),
        stopped(&[Action::Start, Action::Wait { ms: 3_599_000 }, Action::Start]),
        // Never stops.
        stopped(&vec![Action::Throttle { position: 0.5 }; 2000]),
    ];
    let found = hold_abreast_against_alone(&practices(&lesson, 3, tuners));
    let ends: Vec<End> = found.iter().filter_map(|is| is.end).collect();
    for end in [
        End::Clean,
        End::NotClean,
        End::Lost,
        End::OutOfTime,
        End::OutOfActions,
        End::NothingProposed,
    ] {
        assert!(ends.contains(&end), "{end:?} is not among {ends:?}");
    }
    // The coach's are whole practices, and a long one is among them.
    let coached = found[..3].iter().map(|is| is.revolutions).max();
    assert!(
        found[0].end == Some(End::Clean) && coached > Some(50_000),
        "{coached:?}, {:#?}",
        found[0]
    );
    assert_eq!(found[3].revolutions, 0);
    assert!(!found[5].refused.is_empty());
}

#[test]
fn a_part_put_right_is_another_engine_and_goes_on_as_it_does_alone() {
    let club = scenario("club-day");
    let with_fault = (1..40)
        .map(|seed| (seed, Episode::reset(&club, seed, 0).unwrap()))
        .find(|(_, fresh)| fresh.hidden.drawn.fault.is_some());
    let (seed, fresh) = with_fault.unwrap();
    let part = fresh.hidden.drawn.fault.unwrap().part;
    let fix = Action::Fix { part };
    let in_vain = Action::Fix {
        part: if part == Part::Brake { Part::Tank } else { Part::Brake },
    };
    let tuners = [
        coached(&club, &[]),
        coached(&club, &[Action::Start, held(0.4, 3000), fix]),
        coached(&club, &[fix, turn(Screw::High, 0.1)]),
        coached(&club, &[Action::Start, in_vain]),
        stopped(&signed_off()),
        stopped(&[vec![fix], signed_off()].concat()),
    ];
    let found = hold_abreast_against_alone(&practices(&club, seed, tuners));
    assert!(found.iter().all(|is| is.revolutions > 10_000));
}

#[test]
fn a_weekend_abreast_is_the_same_alone() {
    let weekend = scenario("weekend");
    let tuners = [
        coached(&weekend, &[]),
        stopped(&[signed_off(), signed_off()].concat()),
        stopped(&leaner_and_leaner()),
    ];
    let practices = practices(&weekend, 2, tuners);
    let found = hold_abreast_against_alone(&practices);
    let stages = |is: &Is| is.seen.iter().filter(|(_, action)| *action == Action::SignOff).count();
    assert!(found.iter().any(|is| stages(is) > 0), "nobody came to a second day");
}

#[test]
fn what_else_is_in_the_slice_changes_nothing() {
    let (lesson, small) = (scenario("lesson-1"), scenario("small-engine"));
    let many = |scenario: &Scenario, seed| {
        let tuners = (0..5).map(|i| {
            coached(
                scenario,
                &[
                    turn(Screw::High, f64::from(i) / 24.0),
                    Action::Wait { ms: 100 * i as u32 },
                ],
            )
        });
        practices(scenario, seed, tuners)
    };
    let mut mixed = Vec::new();
    for (a, b) in many(&lesson, 1).into_iter().zip(many(&small, 1)) {
        mixed.extend([a, b]);
    }
    let alone: Vec<Is> = mixed.iter().map(alone).collect();
    let mut abreast = mixed;
    play(&mut abreast);
    // What has ended is left as it is.
    let before: Vec<u64> = abreast.iter().map(|p| p.episode.digest()).collect();
    play(&mut abreast);
    assert_eq!(abreast.iter().map(|p| p.episode.digest()).collect::<Vec<_>>(), before);
    assert!(found(abreast) == alone);
}
