//! What the coach makes of the low end, on sights made up for it: by how much it is turned for what is heard of idle, return, slow
//! opening, half throttle and pinch.

use super::made_up::{Bench, CRISP, WAIT};
use super::*;
use crate::bench::instruments::{Note, PinchRise, PlugColour};
use crate::tuning::action::Screw;
use crate::tuning::episode::Found;

#[test]
fn an_engine_that_does_not_start_with_its_idle_stop_opened_either_is_given_fuel() {
    let mut bench = Bench::new();
    bench.act(Action::Inspect, 60.0, &[Note::Silent], vec![]);
    bench.starts_in_vain();
    assert_eq!(bench.next(), Action::Plug);
    let plug = serde_json::json!({ "tired": false, "colour": null });
    let plug = Found::Plug(serde_json::from_value(plug).unwrap());
    bench.act(Action::Plug, 90.0, &[Note::Silent], vec![plug]);
    bench.starts_in_vain().starts_in_vain();
    let opened = bench.next();
    assert!(
        matches!(opened, Action::Turn { screw: Screw::Idle, turns } if turns > 0.0),
        "{opened:?}"
    );
    bench.act(opened, 0.0, &[Note::Silent], vec![]);
    assert_eq!(bench.next(), Action::Start);
    bench.starts_in_vain();
    assert_eq!(bench.wants_low(), 1.0, "{:?}", bench.next());
}

#[test]
fn a_fast_idle_that_hardly_rises_when_pinched_is_given_fuel_and_its_stop_left_alone() {
    for idle in [
        &[Note::IdleFast, Note::ReturnClean][..],
        &[Note::IdleFast, Note::ReturnHangs],
        &[Note::IdleEven, Note::ReturnHangs],
    ] {
        let next = Bench::read(PlugColour::Moist)
            .hot()
            .listened(idle, CRISP, PinchRise::Hardly)
            .next();
        assert!(
            matches!(next, Action::Turn { screw: Screw::Low, turns } if turns > 0.0),
            "{idle:?}: {next:?}"
        );
    }
    // Fast and not lean: there it is the stop.
    let idle = [Note::IdleFast, Note::ReturnClean];
    let next = Bench::read(PlugColour::Moist)
        .hot()
        .listened(&idle, CRISP, PinchRise::Little)
        .next();
    assert!(
        matches!(next, Action::Turn { screw: Screw::Idle, turns } if turns < 0.0),
        "{next:?}"
    );
}

#[test]
fn a_rich_low_end_is_leaned_by_less_each_time_it_has_turned_back() {
    let lean = |bench: &Bench| match bench.next() {
        Action::Turn {
            screw: Screw::Low,
            turns,
        } => turns,
        other => panic!("{other:?}"),
    };
    let idle = [Note::IdleEven, Note::IdleBurbles, Note::ReturnClean];
    let stutters = [Note::OpeningStuttersLow, Note::FullClean];
    let mut rich = Bench::read(PlugColour::Moist)
        .hot()
        .listened(&idle, CRISP, PinchRise::Clear);
    rich.act(Action::RollOn, 7.0, &stutters, vec![]);
    let first = lean(&rich);
    assert!(first < 0.0);
    let turn = |turns| Action::Turn {
        screw: Screw::Low,
        turns,
    };
    rich.act(WAIT, 1.0, &idle, vec![])
        .act(turn(first), 0.0, &[], vec![])
        .act(turn(-0.5 * first), 0.0, &[], vec![]);
    let mut back = rich.listened(&idle, CRISP, PinchRise::Clear);
    back.act(Action::RollOn, 7.0, &stutters, vec![]);
    let again = lean(&back);
    assert!(first < again && again < 0.0, "{first} {again}");
}

#[test]
fn one_that_hangs_is_given_fuel_if_it_idles_evenly_whatever_the_pinch_test_takes() {
    let next = |idle: &[Note]| {
        let bench = Bench::read(PlugColour::Moist).hot();
        bench.listened(idle, CRISP, PinchRise::Lot).next()
    };
    let even = next(&[Note::IdleEven, Note::ReturnHangs]);
    assert!(
        matches!(even, Action::Turn { screw: Screw::Low, turns } if turns > 0.0),
        "{even:?}"
    );
    let burbles = next(&[Note::IdleEven, Note::IdleBurbles, Note::ReturnHangs]);
    assert!(!matches!(burbles, Action::Turn { .. }), "{burbles:?}");
}

/// The sign-off counts beats that miss at half throttle; wide open it may be clean all the same.
#[test]
fn beats_that_miss_at_half_throttle_alone_are_the_low_ends_fuel() {
    for (heard, way) in [(Note::PartRough, -1.0), (Note::PartClean, 0.0)] {
        let idle = &[Note::IdleEven, Note::ReturnClean];
        let mut bench = Bench::read(PlugColour::Moist)
            .hot()
            .listened(idle, CRISP, PinchRise::Little);
        bench
            .act(WAIT, 12.0, &[Note::IdleEven], vec![])
            .act(Action::RollOn, 7.0, &[Note::OpeningEven, Note::FullClean], vec![])
            .act(WAIT, 12.0, idle, vec![]);
        let half = bench.next();
        bench.act(half, 4.0, &[heard], vec![]);
        assert_eq!(bench.wants_low(), way, "{heard:?}: {:?}", bench.next());
    }
}

/// Opened slowly it stutters at the same place: the slower it idles, the richer it is.
#[test]
fn a_slow_idle_that_stutters_is_leaned_by_more_than_a_fast_one() {
    let by = |rpm: f64| {
        let mut bench = Bench::read(PlugColour::Moist).hot();
        bench.sight.tachometer_rpm = Some(rpm);
        let idle = &[Note::IdleEven, Note::IdleBurbles, Note::ReturnClean];
        bench
            .act(WAIT, 12.0, idle, vec![])
            .act(
                Action::RollOn,
                7.0,
                &[Note::OpeningStuttersLow, Note::FullClean],
                vec![],
            )
            .act(WAIT, 12.0, idle, vec![]);
        match bench.next() {
            Action::Turn {
                screw: Screw::Low,
                turns,
            } => turns,
            other => panic!("{rpm}: {other:?}"),
        }
    };
    let limits = Limits::STANDARD;
    let at = |share: f64| limits.idle_low_rpm + share * (limits.idle_high_rpm - limits.idle_low_rpm);
    let turns = [0.2, 0.6, 0.9].map(|share| by(at(share)));
    assert!(turns.is_sorted_by(|a, b| a < b) && turns[2] < 0.0, "{turns:?}");
}

#[test]
fn a_pinch_that_is_just_heard_is_given_a_click_and_one_that_is_heard_well_none() {
    let idle = &[Note::IdleEven, Note::ReturnClean];
    for (rise, turned) in [(PinchRise::Barely, 1.0 / 24.0), (PinchRise::Little, 0.0)] {
        let bench = Bench::read(PlugColour::Moist).hot().listened(idle, CRISP, rise);
        let turns = match bench.next() {
            Action::Turn {
                screw: Screw::Low,
                turns,
            } => turns,
            _ => 0.0,
        };
        assert!((turns - turned).abs() < 1e-12, "{rise:?}: {turns}");
    }
}
