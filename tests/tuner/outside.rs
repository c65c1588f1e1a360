//! What any tuner of these engines knows (common practice), asked of the practice.

use needlebench::practise::session::Level;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::Refusal;
use needlebench::tuning::scenario::{Scenario, StartNumbers};

use crate::player::Player;

fn hot(player: &mut Player) {
    player.act(Action::Start);
    player.act(Action::Warm);
    player.act(Action::Laps { laps: 3 });
    player.act(Action::Fuel);
}

/// A first lesson with no screw off.
fn at_the_truth() -> Scenario {
    let mut scenario = crate::player::scenario("lesson-1");
    scenario.start = StartNumbers::default();
    scenario
}

/// Mean speed of the last second, rpm.
fn last_second(player: &Player) -> f64 {
    let rows = player.session.strip(1.0);
    rows.iter().map(|r| r.rpm).sum::<f64>() / rows.len() as f64
}

fn settled(player: &mut Player) -> f64 {
    player.full(3000);
    player.wait(15_000);
    last_second(player)
}

/// Leaning the low end for the fastest idle goes past the right mixture: the idle is fastest where it is lean (common practice).
#[test]
fn the_fastest_idle_is_lean() {
    for seed in 1..=3 {
        let mut player = Player::with(at_the_truth(), Level::Assisted, seed);
        player.turn(Screw::Low, 0.2);
        hot(&mut player);
        let (mut best, mut beyond) = (settled(&mut player), 0);
        while beyond < 6 {
            player.turn(Screw::Low, -1.0 / 24.0);
            player.act(Action::Laps { laps: 1 });
            player.act(Action::Fuel);
            let now = settled(&mut player);
            beyond = if now > best { 0 } else { beyond + 1 };
            best = best.max(now);
        }
        player.turn(Screw::Low, f64::from(beyond) / 24.0);
        player.hear_all_and_sign_off();
        let episode = player.session.episode();
        let off = episode.path().last().unwrap().low_turns - episode.hidden.truth.low_turns;
        assert!(
            off < -1.0 / 24.0,
            "seed {seed}: the fastest idle is {off:+.3} turns from the true setting"
        );
    }
}

/// The film on the crankcase walls takes seconds: a second after a turn of the low-speed needle the idle is still the old one, and
/// clearing out or waiting shows the new one.
#[test]
fn a_second_after_a_turn_the_idle_is_still_the_old_one() {
    let heard = |seconds: u32, clear_out: bool| {
        let mut player = Player::with(at_the_truth(), Level::Assisted, 1);
        hot(&mut player);
        let before = settled(&mut player);
        player.turn(Screw::Low, 0.375);
        if clear_out {
            player.full(3000);
        }
        player.wait(1000 * seconds);
        last_second(&player) / before - 1.0
    };
    let (soon, waited, cleared) = (heard(1, false), heard(20, false), heard(15, true));
    assert!(
        waited < -0.03 && cleared < -0.03,
        "waited {waited:+.3}, cleared {cleared:+.3}"
    );
    assert!(
        soon.abs() < 0.35 * waited.abs(),
        "after a second {soon:+.3}, waited {waited:+.3}"
    );
}

/// Too lean is an eighth of a turn lean; a setting that passes the checks is not, and a cold engine's dense air is not.
#[test]
fn too_lean_is_counted_where_it_is_lean() {
    let lean = |off: f64, cold: bool| {
        let mut scenario = at_the_truth();
        scenario.cold = cold;
        let mut player = Player::with(scenario, Level::ByEar, 1);
        player.turn(Screw::High, off);
        player.act(Action::Start);
        if cold {
            player.full(3000);
        } else {
            player.act(Action::Warm);
            player.act(Action::Laps { laps: 4 });
        }
        player.session.episode().score().lean_s
    };
    let (right, click, quarter) = (lean(0.0, false), lean(-1.0 / 24.0, false), lean(-0.25, false));
    assert!(right < 0.5 && click < 2.0, "right {right}, a click lean {click}");
    assert!(quarter > 5.0, "a quarter lean {quarter}");
    assert_eq!(lean(0.0, true), 0.0, "cold");
}

/// Both marks at which a screw ends, its least and its most, felt by turning clicks with the engine standing.
fn ends(scenario: Scenario, screw: Screw, seed: u64) -> [f64; 2] {
    [-1.0, 1.0].map(|way| {
        let mut player = Player::with(scenario.clone(), Level::ByEar, seed);
        for _ in 0..200 {
            player.turn(screw, way / 24.0);
        }
        let refused = player.session.act(&Action::Turn {
            screw,
            turns: way / 24.0,
        });
        assert_eq!(refused.unwrap_err(), Refusal::AtEnd);
        player.last.sight.marks.of(screw)
    })
}

/// Where a screw's ends are felt has nothing to do with its opening: the same practice with its screws put elsewhere, on another
/// engine, or with both needles half a turn richer, has them at the same marks, to the bit.
#[test]
fn the_ends_of_a_screw_tell_nothing_of_its_opening() {
    for screw in Screw::ALL {
        for seed in 1..=3 {
            let there = ends(crate::player::scenario("lesson-1"), screw, seed);
            let mut moved = crate::player::scenario("lesson-1");
            moved.start = crate::player::scenario("rebuild").start;
            for other in [moved, crate::player::scenario("big-engine")] {
                assert_eq!(ends(other, screw, seed), there, "{screw:?}, seed {seed}");
            }
            // Far enough for any setting to be reached, and the outer end as much as the inner.
            assert!(there[0] <= -5.0 && there[1] >= 5.0, "{there:?}");
        }
    }
}

/// Another place in every practice, so that no list of turns counted from an end leads to the true setting.
#[test]
fn both_ends_of_a_screw_lie_elsewhere_in_every_practice() {
    let to_truth: Vec<[f64; 2]> = (1..=6)
        .map(|seed| {
            let ends = ends(crate::player::scenario("lesson-1"), Screw::High, seed);
            let player = Player::new("lesson-1", Level::ByEar, seed);
            let hidden = &player.session.episode().hidden;
            ends.map(|end| hidden.truth.high_turns - hidden.start.high_turns - end)
        })
        .collect();
    for end in [0, 1] {
        let distances = to_truth.iter().map(|ends| ends[end]);
        let (low, high) = distances.fold((f64::MAX, f64::MIN), |(a, b), d| (a.min(d), b.max(d)));
        assert!(high - low > 0.25, "{to_truth:?}");
    }
}

/// A mark is the sum of the turns alone: not even its last digits tell where the screw began.
#[test]
fn marks_are_the_sum_of_the_turns_to_the_bit() {
    for seed in 1..=3 {
        let mut player = Player::new("lesson-1", Level::ByEar, seed);
        let mut sum = 0.0;
        for turns in [0.1, -0.7, 1.0 / 24.0, 0.3, 1.0 / 3.0] {
            player.turn(Screw::High, turns);
            sum += turns;
            assert_eq!(player.last.sight.marks.high_turns.to_bits(), f64::to_bits(sum));
        }
    }
}

/// Adjustments that the score counts for what `between` does between the clicks of sixteen.
fn adjustments(before: &[Action], between: &[Action]) -> u32 {
    let mut player = Player::new("lesson-1", Level::Assisted, 1);
    before.iter().for_each(|action| _ = player.act(*action));
    for _ in 0..16 {
        player.turn(Screw::High, -1.0 / 24.0);
        between.iter().for_each(|action| _ = player.act(*action));
    }
    player.session.episode().score().turns
}

#[test]
fn a_reading_starts_the_next_adjustment() {
    for reading in [Action::Gun, Action::Inspect, Action::Plug] {
        assert_eq!(adjustments(&[], &[reading]), 16, "{reading:?}");
    }
    let running = [Action::Start, Action::Warm];
    assert_eq!(adjustments(&running, &[Action::Pinch]), 16);
}

#[test]
fn a_sweep_with_the_engine_running_is_one_adjustment_every_two_seconds() {
    let full = [Action::Start, Action::Warm, Action::Throttle { position: 1.0 }];
    let clicks = |ms| adjustments(&full, &[Action::Wait { ms }]);
    assert_eq!(clicks(400), 4, "five clicks each, the last of one");
    assert_eq!(clicks(100), 1, "a turn of one and a half seconds");
    assert_eq!(clicks(2000), 16);
    assert_eq!(clicks(1999), 8, "two each");
    // Nobody hears anything of an engine that stands.
    assert_eq!(adjustments(&[], &[Action::Wait { ms: 30_000 }]), 1);
}
