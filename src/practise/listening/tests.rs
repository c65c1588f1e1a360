use super::*;
use crate::config::reference_setup;
use crate::sound::RATE_HZ;

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
        let chance = Noise::new(listener, 0, Channel::Choice);
        let mut stairs = Staircase::default();
        for question in 0..120 {
            let step = f64::from(stairs.step_clicks());
            stairs.answer(chance.between(question, 0.0, 1.0) < 1.0 - 0.5 * (-step / 4.0).exp());
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
fn a_question_is_fair_and_the_same_again() {
    let (model, setup) = reference_setup("offroad-3.5").unwrap();
    let mut first = 0;
    for seed in 0..40 {
        let room = Room::new(seed, []);
        let question = room.question(Some(Drill::HighWideOpen), &setup, model.reference, 8000);
        first += i32::from(question.truth() == Answer::First);
        if seed == 0 {
            let again = room.question(Some(Drill::HighWideOpen), &setup, model.reference, 8000);
            assert_eq!(question.asked(), again.asked());
            assert!(question.answered(question.truth()).right);
            let other = if question.truth() == Answer::First {
                Answer::Second
            } else {
                Answer::First
            };
            assert!(!question.answered(other).right);
            assert_ne!(question.asked().clips[0], question.asked().clips[1]);
        }
    }
    assert!((10..=30).contains(&first), "{first} of 40");
}

#[test]
fn every_drill_can_be_heard_at_its_widest_and_its_closest_on_every_engine() {
    for engine in crate::config::models::engine_names() {
        let (model, setup) = reference_setup(engine).unwrap();
        for drill in Drill::ALL {
            for right in [0, 40] {
                let room = Room::new(7, vec![told(drill, true); right]);
                let question = room.question(Some(drill), &setup, model.reference, 8000);
                for clip in question.asked().clips {
                    let loud = clip.samples.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
                    let seconds = clip.samples.len() as f64 / 8000.0;
                    assert!((0.9..10.0).contains(&seconds), "{engine} {drill:?}: {seconds} s");
                    assert!((0.01..=1.0).contains(&loud), "{engine} {drill:?}: peak {loud}");
                    assert!(clip.samples[0].abs() < 1e-3 && clip.samples.last().unwrap().abs() < 0.05);
                }
            }
        }
    }
    let _ = RATE_HZ;
}
