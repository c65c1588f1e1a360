//! The desk of a page, driven as its server drives it.

use super::ask::{Ask, Heard};
use super::desk::Desk;
use crate::practise::recording::Practice;
use crate::practise::session::Level;
use crate::tuning::action::{Action, Part, Screw, Verdict};
use crate::tuning::episode::Ending;
use crate::tuning::scenario::source;

const RATE_HZ: u32 = 8_000;

fn desk(level: Level) -> Desk {
    let practice = Practice::begin(&source("lesson-1").unwrap(), level, 3, 0, None).unwrap();
    Desk::new(practice, None, RATE_HZ)
}

fn begun(level: Level) -> Desk {
    let mut desk = desk(level);
    desk.ask(Ask::Begin { n: 1 });
    finish(&mut desk);
    desk
}

/// Lets time pass in slices until nothing is under way; how long that was, ms.
fn finish(desk: &mut Desk) -> u32 {
    for ms in 0..60_000 {
        desk.pass(8);
        if desk.state().doing.is_none() {
            return 8 * ms;
        }
    }
    panic!("it never ends");
}

fn act(desk: &mut Desk, actions: &[Action]) {
    desk.ask(Ask::Do {
        actions: actions.to_vec(),
        n: 2,
    });
}

#[test]
fn nothing_passes_before_it_begins_nor_while_it_is_paused() {
    let mut desk = desk(Level::ByEar);
    desk.pass(1000);
    act(&mut desk, &[Action::Gun]);
    desk.ask(Ask::Throttle { position: 1.0, n: 2 });
    assert!(desk.state().clock_s == 0.0 && desk.state().throttle == 0.0 && desk.sound().1.is_empty());
    desk.ask(Ask::Throttle { position: 0.0, n: 3 });
    desk.ask(Ask::Begin { n: 4 });
    finish(&mut desk);
    assert!(desk.state().running);
    desk.ask(Ask::Throttle { position: 1.0, n: 5 });
    desk.pass(500);
    desk.ask(Ask::Pause { paused: true });
    let at = desk.state();
    assert_eq!(at.throttle, 0.0, "nobody holds it while it stands still");
    desk.sound();
    desk.pass(1000);
    assert_eq!(desk.state().clock_s, at.clock_s);
    assert!(desk.sound().1.is_empty());
}

#[test]
fn as_many_samples_come_as_time_passes_whatever_is_done() {
    let mut desk = desk(Level::ByEar);
    desk.ask(Ask::Begin { n: 1 });
    let (mut ms, mut samples) = (0, 0);
    let mut pass = |desk: &mut Desk, slices: u32| {
        for _ in 0..slices {
            desk.pass(8);
            ms += 8;
            samples += desk.sound().1.len();
        }
        let due = ms as usize * RATE_HZ as usize / 1000;
        assert!(samples.abs_diff(due) <= 64, "{samples} of {due}");
    };
    pass(&mut desk, 1000);
    act(&mut desk, &[Action::Laps { laps: 1 }]);
    pass(&mut desk, 1000);
    act(&mut desk, &[Action::Fix { part: Part::Line }]);
    pass(&mut desk, 500);
    act(
        &mut desk,
        &[Action::Start, Action::Hold { position: 1.0, ms: 500 }, Action::Gun],
    );
    pass(&mut desk, 1500);
    assert!(desk.state().running);
}

#[test]
fn what_the_throttle_is_held_for_is_refused_at_no_cost_while_the_engine_stands() {
    let mut desk = begun(Level::ByEar);
    act(&mut desk, &[Action::Stop]);
    desk.say();
    let before = desk.state().clock_s;
    act(
        &mut desk,
        &[Action::Hold { position: 1.0, ms: 500 }, Action::Wait { ms: 6000 }],
    );
    assert_eq!(desk.say(), ["the engine stands; start it first"]);
    assert!(desk.state().doing.is_none() && desk.state().clock_s == before);
    assert!(desk.bench().missing.iter().any(|asked| asked.starts_with("start it")));
}

#[test]
fn what_takes_minutes_is_over_in_seconds_and_silent_and_what_is_heard_is_loud() {
    let mut desk = begun(Level::ByEar);
    desk.sound();
    let loudest = |desk: &mut Desk| {
        desk.sound()
            .1
            .iter()
            .fold(0.0_f32, |most, sample| most.max(sample.abs()))
    };
    desk.pass(500);
    assert!(loudest(&mut desk) > 0.01);
    act(&mut desk, &[Action::Inspect]);
    desk.pass(50);
    desk.sound();
    desk.pass(500);
    assert!(desk.state().quick);
    assert_eq!(loudest(&mut desk), 0.0);
    let before = desk.state().clock_s;
    assert!(finish(&mut desk) < 4000);
    assert!(desk.state().clock_s - before > 30.0);
    desk.pass(100);
    desk.sound();
    desk.pass(500);
    assert!(loudest(&mut desk) > 0.01, "heard again");
}

#[test]
fn the_hand_waits_for_what_is_under_way_and_takes_over_then() {
    let mut desk = begun(Level::Guided);
    act(&mut desk, &[Action::Gun]);
    desk.pass(16);
    desk.ask(Ask::Throttle { position: 0.5, n: 7 });
    act(
        &mut desk,
        &[Action::Turn {
            screw: Screw::High,
            turns: 0.125,
        }],
    );
    assert_eq!((desk.state().throttle, desk.state().n), (0.0, 2));
    assert_eq!(desk.say().last().unwrap(), "one thing at a time: wait until it is done");
    finish(&mut desk);
    desk.pass(8);
    assert_eq!(desk.state().throttle, 0.5);
    assert_eq!(desk.bench().screws[0].mark, "as found");
    desk.ask(Ask::Throttle { position: 0.0, n: 8 });
    assert_eq!(desk.state().throttle, 0.0);
    // A routine is broken off by the hand after what is under way.
    act(
        &mut desk,
        &[Action::Hold { position: 1.0, ms: 200 }, Action::Wait { ms: 9000 }],
    );
    desk.pass(16);
    desk.ask(Ask::Throttle { position: 0.1, n: 9 });
    assert!(finish(&mut desk) < 1000);
}

#[test]
fn a_cold_judgement_is_refused_once_for_both_ends() {
    let mut desk = begun(Level::Guided);
    let judge = |end| Action::Judge {
        end,
        verdict: Verdict::Rich,
        sure_percent: 60,
    };
    act(&mut desk, &[judge(Screw::High), judge(Screw::Low)]);
    assert_eq!(
        desk.say().iter().filter(|text| text.starts_with("not judged")).count(),
        1
    );
}

#[test]
fn the_end_is_told_and_the_engine_can_be_heard_once_more_at_each_setting() {
    let mut desk = begun(Level::ByEar);
    desk.ask(Ask::Hear { setting: Heard::Clean });
    assert!(!desk.over() && desk.debrief().is_none());
    act(
        &mut desk,
        &[Action::Turn {
            screw: Screw::Low,
            turns: 0.25,
        }],
    );
    desk.leave();
    desk.sound();
    let debrief = desk.debrief().unwrap();
    assert!(debrief.ended == Some(Ending::Left) && !debrief.verdict.is_empty() && debrief.sections.len() >= 2);
    assert!(desk.still());
    let mut heard = Vec::new();
    for setting in [Heard::Found, Heard::Left, Heard::Clean] {
        desk.ask(Ask::Hear { setting });
        let (mut samples, mut opened) = (Vec::new(), false);
        while !desk.still() {
            desk.pass(8);
            opened |= desk.state().throttle == 1.0;
            samples.extend(desk.sound().1);
        }
        let seconds = samples.len() as f64 / f64::from(RATE_HZ);
        assert!(opened && (10.0..14.0).contains(&seconds), "{setting:?}: {seconds} s");
        assert!(samples.iter().any(|sample| sample.abs() > 0.05), "{setting:?}");
        heard.push(samples);
    }
    assert!(heard[0] != heard[1] && heard[1] != heard[2] && heard[0] != heard[2]);
    let at = desk.state().clock_s;
    act(&mut desk, &[Action::Start]);
    assert_eq!(desk.state().clock_s, at, "a practice that is over does nothing more");
}
