//! What any tuner of these engines knows (common practice), asked of the practice.

use needlebench::practise::session::Level;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::{Ending, Refusal};

use crate::player::Player;

fn hot(player: &mut Player) {
    player.act(Action::Start);
    player.act(Action::Warm);
    player.act(Action::Laps { laps: 3 });
    player.act(Action::Fuel);
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

/// Leaning the low end for the fastest idle goes past the right mixture: the idle is fastest where it is lean, and the sign-off says
/// so.
#[test]
fn the_fastest_idle_is_lean() {
    for seed in 1..=3 {
        let mut player = Player::new("lesson-2", Level::Assisted, seed);
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
        player.act(Action::SignOff);
        let episode = player.session.episode();
        let off = episode.path().last().unwrap().low_turns - episode.hidden.truth.low_turns;
        assert!(
            off < -1.0 / 24.0,
            "seed {seed}: the fastest idle is {off:+.3} turns from the true setting"
        );
        assert_eq!(episode.ending(), Some(Ending::NotClean), "seed {seed}");
    }
}

/// The film on the crankcase walls takes seconds: a second after a turn of the low-speed needle the idle is still the old one, and
/// clearing out or waiting shows the new one.
#[test]
fn a_second_after_a_turn_the_idle_is_still_the_old_one() {
    let heard = |seconds: u32, clear_out: bool| {
        let mut player = Player::new("lesson-1", Level::Assisted, 1);
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
        let mut scenario = crate::player::scenario("lesson-1");
        scenario.start.high_off_turns = off;
        scenario.start.spread_turns = 0.0;
        scenario.cold = cold;
        let mut player = Player::with(scenario, Level::ByEar, 1);
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

/// A screw's end is felt somewhere beyond shut, another place in every practice: no count of turns from it gives the opening.
#[test]
fn the_end_of_a_screw_is_felt_at_a_hidden_place() {
    let ends: Vec<f64> = (1..=6)
        .map(|seed| {
            let mut player = Player::new("lesson-1", Level::ByEar, seed);
            for _ in 0..300 {
                player.turn(Screw::High, -1.0 / 24.0);
            }
            let closed = player.last.sight.marks.high_turns;
            let refused = player.session.act(&Action::Turn {
                screw: Screw::High,
                turns: -1.0 / 24.0,
            });
            assert_eq!(refused.unwrap_err(), Refusal::AtEnd);
            // How far out from its end the true setting is: what a count from closed would have to know.
            let hidden = &player.session.episode().hidden;
            hidden.truth.high_turns - hidden.start.high_turns - closed
        })
        .collect();
    let (low, high) = ends
        .iter()
        .fold((f64::MAX, f64::MIN), |(a, b), e| (a.min(*e), b.max(*e)));
    assert!(high - low > 0.25, "{ends:?}");
}
