//! The coach on sights made up for it: what it proposes where a racer would know what to do, and that it never proposes what can't
//! be done.

use super::made_up::{Bench, CRISP, FULL, WAIT};
use super::*;
use crate::bench::instruments::{Note, PinchRise, PlugColour};
use crate::config::Source;
use crate::tuning::action::{Part, Screw};
use crate::tuning::episode::{Ask, Found, Refusal};
use crate::tuning::strategy::coach;
use crate::tuning::strategy::facts::{Value, facts};

#[test]
fn it_is_looked_over_first_and_started_then() {
    let mut bench = Bench::new();
    assert_eq!(bench.next(), Action::Inspect);
    bench.act(Action::Inspect, 60.0, &[Note::Silent], vec![]);
    assert_eq!(bench.next(), Action::Start);
}

#[test]
fn a_part_at_fault_is_put_right_before_anything_and_never_on_a_running_engine() {
    let mut bench = Bench::read(PlugColour::Moist).hot();
    let found = Found::Looked {
        part: Part::Line,
        at_fault: true,
    };
    bench.act(Action::Inspect, 60.0, &[Note::IdleEven], vec![found]);
    assert_eq!(bench.next(), Action::Stop);
    bench.act(Action::Stop, 0.0, &[Note::Silent], vec![]);
    assert_eq!(bench.next(), Action::Fix { part: Part::Line });
}

#[test]
fn the_plug_tells_the_high_end_after_a_chop_and_a_stop_comes_before_it() {
    let mut bench = Bench::new();
    bench.started_warm();
    assert_eq!(bench.next(), FULL);
    bench.act(FULL, 3.0, &[Note::FullClean], vec![]);
    assert_eq!(bench.next(), Action::Stop, "a chop");
    bench.act(Action::Stop, 0.0, &[Note::Silent], vec![]);
    assert_eq!(bench.next(), Action::Plug);
    let way = |colour| match Bench::read(colour).next() {
        Action::Turn {
            screw: Screw::High,
            turns,
        } => turns.signum(),
        other => panic!("{other:?}"),
    };
    assert_eq!(
        [PlugColour::Pale, PlugColour::Specks, PlugColour::Wet].map(way),
        [1.0, 1.0, -1.0]
    );
    assert_eq!(Bench::read(PlugColour::Moist).next(), Action::Start);
}

#[test]
fn a_turn_while_the_throttle_stands_open_makes_a_slow_opening_old() {
    let facts = facts();
    let opening = facts.iter().find(|fact| fact.name == "opening").unwrap();
    let stutters = [Note::OpeningStuttersLow, Note::FullClean];
    let mut bench = Bench::read(PlugColour::Moist).hot();
    bench.act(Action::RollOn, 7.0, &stutters, vec![]);
    assert_eq!(opening.of(&bench.follower.memory), Value::Word("stutters-low"));
    let low = Action::Turn {
        screw: Screw::Low,
        turns: -0.125,
    };
    // It stands open still, and what is heard of its opening is of before.
    bench.act(low, 0.0, &stutters, vec![]).act(FULL, 3.0, &stutters, vec![]);
    assert_eq!(opening.of(&bench.follower.memory), Value::Unknown);
    bench.act(WAIT, 12.0, &[Note::IdleEven], vec![]).act(
        Action::RollOn,
        7.0,
        &[Note::OpeningEven, Note::FullClean],
        vec![],
    );
    assert_eq!(opening.of(&bench.follower.memory), Value::Word("even"));
}

/// Leaned twice at the low end, after which it ran and was heard.
fn leaned_at_the_low_end() -> Bench {
    let mut bench = Bench::read(PlugColour::Moist)
        .hot()
        .listened(&[Note::IdleEven], CRISP, PinchRise::Little);
    for _ in 0..2 {
        bench.act(low(-0.125), 3.0, &[Note::IdleEven], vec![]);
    }
    bench
}

fn low(turns: f64) -> Action {
    Action::Turn {
        screw: Screw::Low,
        turns,
    }
}

#[test]
fn what_has_died_at_idle_since_it_was_leaned_gets_fuel_back_before_any_part_is_put_right() {
    let mut bench = leaned_at_the_low_end();
    bench.sight.running = false;
    bench.act(WAIT, 3.0, &[Note::Silent], vec![]);
    assert_eq!(bench.wants_low(), 1.0, "{:?}", bench.next());
}

#[test]
fn dead_three_times_with_no_part_left_to_blame_the_low_end_goes_back() {
    let mut bench = leaned_at_the_low_end();
    for part in [Part::Plug, Part::Line, Part::Leak] {
        bench.act(Action::Fix { part }, 60.0, &[Note::Silent], vec![]);
    }
    for death in 1..=3 {
        bench.act(Action::Start, 10.0, &[Note::IdleTooSoon], vec![]);
        bench.sight.running = false;
        bench.act(Action::Laps { laps: 2 }, 3.0, &[Note::Silent], vec![]);
        assert_eq!(bench.wants_low(), f64::from(death == 3), "{death}: {:?}", bench.next());
    }
}

/// As hot as it is judged: what was heard as it cooled is heard once more after laps, in short bursts that leave it no time to clear out.
#[test]
fn what_was_heard_cooling_is_heard_again_hot_in_short_bursts() {
    let idle = &[Note::IdleEven, Note::ReturnClean];
    let mut bench = Bench::read(PlugColour::Moist)
        .hot()
        .listened(idle, CRISP, PinchRise::Little);
    let even = &[Note::OpeningEven, Note::FullClean];
    bench
        .act(WAIT, 12.0, &[Note::IdleEven], vec![])
        .act(Action::RollOn, 7.0, even, vec![]);
    bench.sight.missing = [Ask::Snap].into_iter().collect();
    bench.act(WAIT, 12.0, idle, vec![]);
    let half = bench.next();
    assert_eq!(
        half,
        Action::Hold {
            position: 0.5,
            ms: 4000
        },
        "half throttle is judged, too"
    );
    bench
        .act(half, 4.0, &[Note::PartClean], vec![])
        .act(WAIT, 12.0, idle, vec![]);
    assert_eq!(bench.next(), Action::Laps { laps: 3 });
    bench
        .act(Action::Laps { laps: 3 }, 43.0, &[Note::IdleTooSoon], vec![])
        .act(WAIT, 12.0, &[Note::IdleEven], vec![]);
    let burst = bench.next();
    assert_eq!(
        burst,
        Action::Hold {
            position: 1.0,
            ms: 1500
        }
    );
    bench.act(burst, 1.5, CRISP, vec![]);
    assert!(matches!(bench.next(), Action::Wait { .. }), "{:?}", bench.next());
    let sinks = &[Note::IdleEven, Note::ReturnSinks];
    bench.act(WAIT, 12.0, sinks, vec![]);
    assert!(
        matches!(bench.next(), Action::Turn { screw: Screw::Low, turns } if turns < 0.0),
        "{:?}",
        bench.next()
    );
}

#[test]
fn one_that_dies_at_idle_gets_fuel_first_and_then_parts_the_cheapest_first() {
    let mut bench = Bench::read(PlugColour::Moist);
    let dies = |bench: &mut Bench| {
        bench.act(Action::Start, 10.0, &[Note::IdleTooSoon], vec![]);
        bench.sight.running = false;
        bench.follower.memory.did(&WAIT, &bench.sight.clone());
    };
    let mut done = Vec::new();
    for _ in 0..5 {
        dies(&mut bench);
        done.push(bench.next());
        let cured = match bench.next() {
            Action::Fix { part } => vec![Found::Fixed {
                part,
                was_at_fault: false,
            }],
            _ => vec![],
        };
        bench.act(bench.next(), 60.0, &[Note::Silent], cured);
    }
    let fuel = Action::Turn {
        screw: Screw::Low,
        turns: 1.0 / 6.0,
    };
    let fix = |part| Action::Fix { part };
    assert_eq!(done, [fuel, fuel, fix(Part::Plug), fix(Part::Line), fix(Part::Leak)]);
}

#[test]
fn a_screw_at_its_end_is_not_turned_further() {
    let idle = [Note::IdleFast, Note::ReturnClean];
    let mut bench = Bench::read(PlugColour::Moist)
        .hot()
        .listened(&idle, CRISP, PinchRise::Little);
    let slower = bench.next();
    let Action::Turn {
        screw: Screw::Idle,
        turns,
    } = slower
    else {
        panic!("{slower:?}")
    };
    // It stops half way.
    bench.sight.marks.idle_turns -= 0.5 * turns;
    bench.act(slower, 0.0, &[], vec![]);
    let bench = bench.listened(&idle, CRISP, PinchRise::Little);
    assert!(
        !matches!(bench.next(), Action::Turn { screw: Screw::Idle, turns } if turns < 0.0),
        "{:?}",
        bench.next()
    );
}

/// A turn does not make the gun's reading old: the rule for a head too hot needs bounds of its own.
#[test]
fn a_head_too_hot_is_given_fuel_once_for_each_time_on_laps_and_not_without_end() {
    const BOUNDS: &str = ", drives = { from = 1 }, high_times = { below = 6 }";
    const MANY: u32 = 50;
    let coach = coach().unwrap();
    let bare = coach.source.text.replace(BOUNDS, "");
    assert_ne!(bare, coach.source.text);
    let unbounded = Arc::new(Strategy::read(&Source::new("unbounded.toml", &bare)).unwrap());
    let richer = |strategy: &Arc<Strategy>, drives: u32| {
        let mut bench = Bench::read(PlugColour::Moist);
        bench.follower.strategy = strategy.clone();
        bench.act(Action::Start, 10.0, &[Note::IdleTooSoon], vec![]);
        let mut times = 0;
        for _ in 0..drives {
            let hot = vec![Found::Gun { head_c: 140.0 }];
            bench.act(Action::Laps { laps: 2 }, 43.0, &[Note::IdleTooSoon], hot);
            while let Action::Turn {
                screw: Screw::High,
                turns,
            } = bench.next()
                && turns > 0.0
                && times < MANY
            {
                bench.act(bench.next(), 0.0, &[], vec![]);
                times += 1;
            }
        }
        times
    };
    assert_eq!(richer(&unbounded, 1), MANY);
    assert_eq!([1, 2, 20].map(|drives| richer(&coach, drives)), [1, 2, 6]);
}

#[test]
fn what_was_refused_is_not_proposed_again_before_something_else_was_done() {
    let mut bench = Bench::read(PlugColour::Wet);
    let refused = bench.next();
    bench.follower.memory.refused(&refused, Refusal::AtEnd);
    assert_ne!(bench.next(), refused);
    bench.act(Action::Wait { ms: 1000 }, 1.0, &[Note::Silent], vec![]);
    assert_eq!(bench.next(), refused);
}

#[test]
fn what_a_turn_makes_old_is_unknown_and_remembered_as_before() {
    let value = |bench: &Bench, name: &str| {
        let facts = facts();
        facts
            .iter()
            .find(|fact| fact.name == name)
            .unwrap()
            .of(&bench.follower.memory)
    };
    let idle = [Note::IdleEven, Note::ReturnHangs];
    let mut bench = Bench::read(PlugColour::Moist)
        .hot()
        .listened(&idle, CRISP, PinchRise::Clear);
    assert_eq!(value(&bench, "return"), Value::Word("hangs"));
    assert_eq!(value(&bench, "pinch"), Value::Word("clear"));
    assert_eq!(value(&bench, "plug"), Value::Word("moist"));
    let low = Action::Turn {
        screw: Screw::Low,
        turns: -0.125,
    };
    bench.act(low, 0.0, &idle, vec![]);
    for (now, before) in [("return", "hangs"), ("pinch", "clear"), ("snap", "crisp")] {
        assert_eq!(value(&bench, now), Value::Unknown, "{now}");
        assert_eq!(value(&bench, &format!("{now}_before")), Value::Word(before));
    }
    assert_eq!(value(&bench, "plug"), Value::Word("moist"), "the high end's");
    assert_eq!(value(&bench, "low_last"), Value::Word("leaner"));
    // What is heard before it is cleared out is still the old setting's.
    bench.act(WAIT, 12.0, &idle, vec![]);
    assert_eq!(value(&bench, "return"), Value::Unknown);
}

#[test]
fn names_of_facts_are_unlike_and_each_says_what_it_means() {
    let facts = facts();
    let mut names: Vec<&str> = facts.iter().map(|fact| fact.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), facts.len());
    assert!(facts.iter().all(|fact| fact.meaning.trim().ends_with('.')));
}
