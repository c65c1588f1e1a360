//! What the sign-off measures can be heard, on a few settings around the borders of clean, and the plug tells the truth after a chop
//! and nothing else; `benches/heard.rs` asks the same of hundreds.

mod study;

use needlebench::bench::checks::CheckName;
use needlebench::bench::instruments::{Note, PlugColour, Unread};
use needlebench::tuning::action::Action;
use needlebench::tuning::episode::{Episode, Found};
use study::{Listener, fresh, near_a_border, practice_at, speaks, told, trial};

fn lesson(seed: u64) -> Episode {
    fresh("lesson-1", seed).unwrap()
}

#[test]
fn what_fails_near_the_borders_is_heard() {
    let practices = [lesson(1), lesson(2)];
    let trials: Vec<_> = (0..12)
        .map(|n| near_a_border(&practices[n as usize % 2], 1, n))
        .collect();
    let told = told(&trials);
    assert!(told.all_heard.of > 5, "{told:?}");
    assert!(told.all_heard.percent() >= 75.0, "{:?}", told.heard);
}

#[test]
fn every_check_has_a_word_and_every_word_a_check() {
    for check in CheckName::ALL {
        let spoken = study::WORDS.iter().any(|(_, checks)| checks.contains(check));
        assert!(spoken, "{check:?}");
    }
}

#[test]
fn far_off_ends_are_heard_as_what_they_are() {
    let lesson = lesson(1);
    let mut unheard = Vec::new();
    for (off, check) in [
        ([0.7, 0.0, 0.0], CheckName::FullPower),
        ([0.7, 0.0, 0.0], CheckName::RollOnMisfire),
        ([-0.4, 0.0, 0.0], CheckName::FullRichOfBestPower),
        ([0.0, 0.35, 0.0], CheckName::RollOnMisfire),
        ([0.0, 0.5, 0.0], CheckName::SnapPuff),
        ([0.0, 0.0, 1.5], CheckName::IdleSpeed),
        ([0.0, 0.0, 2.0], CheckName::IdleSpeed),
    ] {
        let trial = trial(&lesson, off);
        let failed = trial.report.check(check).is_some_and(|check| !check.pass);
        assert!(failed, "{:?} passes {check:?}", trial.off);
        if !speaks(&trial, check) {
            unheard.push((off, check));
        }
    }
    assert_eq!(unheard, []);
}

fn chopped(off: f64, after: &[Action]) -> (Option<PlugColour>, Option<Unread>) {
    let mut listener = Listener::new(practice_at(&lesson(1), [off, 0.0, 0.0]));
    listener.act(Action::Start);
    listener.act(Action::Laps { laps: 2 });
    for action in after {
        listener.act(*action);
    }
    listener.act(Action::Plug);
    let plug = listener.found.iter().rev().find_map(|found| match found {
        Found::Plug(plug) => Some((plug.colour, plug.unread)),
        _ => None,
    });
    plug.unwrap()
}

#[test]
fn a_plug_is_read_after_a_chop_alone() {
    let full = |ms| Action::Hold { position: 1.0, ms };
    assert_eq!(chopped(0.0, &[full(4000)]), (Some(PlugColour::Moist), None));
    assert_eq!(chopped(0.3, &[full(4000)]), (Some(PlugColour::Wet), None));
    assert!(matches!(
        chopped(-0.3, &[full(4000)]).0,
        Some(PlugColour::Pale | PlugColour::Specks)
    ));
    assert_eq!(chopped(0.0, &[full(800)]), (None, Some(Unread::NoFull)));
    let idled = chopped(0.0, &[full(4000), Action::Wait { ms: 4000 }]);
    assert_eq!(idled, (None, Some(Unread::NoChop)));
}

#[test]
fn the_plug_of_a_cold_engine_says_nothing() {
    let mut cold = Listener::new(fresh("cold-morning", 3).unwrap());
    cold.act(Action::Start);
    cold.act(Action::Hold {
        position: 1.0,
        ms: 4000,
    });
    cold.act(Action::Plug);
    let read = cold.found.iter().find_map(|found| match found {
        Found::Plug(plug) => Some((plug.colour, plug.unread)),
        _ => None,
    });
    assert_eq!(read, Some((None, Some(Unread::Cold))));
}

#[test]
fn a_cold_engine_is_said_to_be_cold_until_it_is_warm() {
    let mut cold = fresh("cold-morning", 3).unwrap();
    for _ in 0..8 {
        // A cold engine may want starting more than once.
        let _ = cold.act(&Action::Start);
    }
    assert!(cold.running());
    assert!(cold.notes().contains(&Note::Cold), "{:?}", cold.notes());
    let warmed = cold.act(&Action::Warm).unwrap();
    assert!(matches!(warmed[..], [Found::Warmed { .. }]), "{warmed:?}");
    let mut warm = lesson(1);
    warm.act(&Action::Start).unwrap();
    warm.act(&Action::Laps { laps: 2 }).unwrap();
    assert!(!warm.notes().contains(&Note::Cold));
    let read = warm.act(&Action::Plug).unwrap();
    assert!(
        read.iter().any(|found| matches!(found, Found::Cooled { .. })),
        "{read:?}"
    );
}

#[test]
fn what_a_pinch_has_just_done_is_no_symptom() {
    let mut engine = lesson(1);
    engine.act(&Action::Start).unwrap();
    engine.act(&Action::Laps { laps: 2 }).unwrap();
    engine.act(&Action::Wait { ms: 14_000 }).unwrap();
    engine.act(&Action::Pinch).unwrap();
    for _ in 0..20 {
        let notes = engine.notes();
        let symptoms = [Note::IdleWavers, Note::IdleFalls, Note::IdleRises, Note::IdleSlow];
        assert!(!notes.iter().any(|note| symptoms.contains(note)), "{notes:?}");
        engine.act(&Action::Wait { ms: 250 }).unwrap();
    }
}
