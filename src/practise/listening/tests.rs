use super::*;
use crate::config::reference_setup;

use crate::tuning::action::Screw;

fn told(drill: Drill, right: bool) -> Answered {
    Answered {
        drill,
        step_clicks: 12,
        right,
    }
}

#[test]
fn stairs_end_where_two_in_a_row_are_as_likely_as_not() {
    // A listener who tells a step of s clicks with probability 1 - 0.5·exp(-s/4): √½ is reached at s = 4·ln(0.5 / (1 - √½)) = 2.14 clicks.
    let wanted = 4.0 * (0.5 / (1.0 - 0.5_f64.sqrt())).ln();
    let mut sum = 0.0;
    const LISTENERS: u64 = 200;
    for listener in 0..LISTENERS {
        let chance = Chance::new(listener, 0);
        let mut stairs = Staircase::default();
        for question in 0..120 {
            let step = f64::from(stairs.step_clicks());
            stairs.answer(chance.uniform(Channel::Choice, question, 0.0, 1.0) < 1.0 - 0.5 * (-step / 4.0).exp());
        }
        sum += stairs.smallest().expect("it has turned").ln();
    }
    let found = (sum / LISTENERS as f64).exp();
    // Stairs of whole clicks overshoot a little to either side.
    assert!(
        (found / wanted - 1.0).abs() < 0.15,
        "{found} instead of {wanted} clicks"
    );
    assert_eq!(Staircase::default().smallest(), None);
}

#[test]
fn what_is_heard_worst_comes_up_most() {
    let good: Vec<Answered> = Drill::ALL
        .into_iter()
        .filter(|drill| *drill != Drill::LowIdle)
        .flat_map(|drill| vec![told(drill, true); 14])
        .collect();
    let mut counts = [0; Drill::ALL.len()];
    for seed in 0..300 {
        counts[Room::new(seed, good.clone()).next_drill() as usize] += 1;
    }
    let worst = counts[Drill::LowIdle as usize];
    assert!(worst > 150, "{counts:?}");
    assert!(counts.iter().filter(|count| **count == 0).count() < 3, "{counts:?}");
}

#[test]
fn a_question_is_fair_and_no_two_are_the_same_draw() {
    let (mut first, mut again) = (Room::new(5, []), Room::new(5, []));
    let mut counts = [0; 2];
    let mut last = None;
    for number in 0..200 {
        let drill = Drill::ALL[number % Drill::ALL.len()];
        let question = first.ask(Some(drill));
        assert_eq!(question, again.ask(Some(drill)), "one seed, one question");
        let [one, other] = drill.answers();
        let truth = question.truth();
        counts[usize::from(truth == other)] += 1;
        let wrong = if truth == one { other } else { one };
        assert!(question.answered(truth).right && !question.answered(wrong).right);
        assert_ne!(last.replace(question.seeds), Some(question.seeds));
    }
    // Within four standard deviations of even.
    assert!(counts.iter().all(|count| (72..=128).contains(count)), "{counts:?}");
}

#[test]
fn what_is_said_to_be_leaner_is_and_nothing_but_the_sound_tells_it() {
    let (model, setup) = reference_setup("offroad-3.5").unwrap();
    let mut lengths = std::collections::BTreeSet::new();
    let mut room = Room::new(1, []);
    let mut seen = Vec::new();
    while seen.len() < 2 {
        let question = room.ask(Some(Drill::HighWideOpen));
        if seen.contains(&question.truth()) {
            continue;
        }
        seen.push(question.truth());
        let clips = question.clips(&setup, model.reference, 8000);
        assert_eq!(clips, question.clips(&setup, model.reference, 8000));
        lengths.extend(clips.iter().map(|clip| clip.samples.len()));
        // Fewer turns open is leaner: the half step towards shut from where the pair was drawn.
        let leaner = usize::from(question.truth() == Answer::Second);
        let turns = question.drill.along(question.about - 6.0 * CLICK);
        let (setting, seed) = (off(model.reference, turns), question.seeds[leaner]);
        let alone = clip::clip(&setup, setting, question.drill.manoeuvre(), seed, 8000);
        assert!(alone == clips[leaner] && alone != clips[1 - leaner]);
        assert!(setting.high_turns < model.reference.high_turns + question.about);
    }
    assert_eq!(lengths.len(), 1, "{lengths:?}");
}

#[test]
fn every_drill_can_be_heard_at_its_widest_and_its_closest_on_every_engine() {
    for engine in crate::config::models::engine_names() {
        let (model, setup) = reference_setup(engine).unwrap();
        for drill in Drill::ALL {
            for right in [0, 40] {
                let mut room = Room::new(7, vec![told(drill, true); right]);
                let clips = room.ask(Some(drill)).clips(&setup, model.reference, 8000);
                assert_eq!(clips.len(), if drill.is_pair() { 2 } else { 1 });
                for clip in clips {
                    let loud = clip.samples.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
                    let seconds = clip.samples.len() as f64 / 8000.0;
                    assert!((0.9..10.0).contains(&seconds), "{engine} {drill:?}: {seconds} s");
                    assert!((0.01..=1.0).contains(&loud), "{engine} {drill:?}: peak {loud}");
                    assert!(clip.samples[0].abs() < 1e-3 && clip.samples.last().unwrap().abs() < 1e-3);
                }
            }
        }
    }
}

#[test]
fn a_sweep_turns_the_needle_that_it_names() {
    let (model, setup) = reference_setup("offroad-3.5").unwrap();
    let heard = |screw, clicks| sweep::step(&setup, model.reference, screw, clicks, sweep::At::Half, 1, 8000);
    let clean = heard(Screw::High, 0);
    assert_eq!(clean, heard(Screw::Low, 0));
    for screw in [Screw::High, Screw::Low] {
        for clicks in sweep::STEPS_CLICKS.into_iter().filter(|clicks| *clicks != 0) {
            assert_ne!(heard(screw, clicks), clean, "{screw:?} {clicks}");
        }
    }
    assert_ne!(heard(Screw::High, 12), heard(Screw::Low, 12));
    assert_eq!(heard(Screw::Idle, 12), clean);
}
