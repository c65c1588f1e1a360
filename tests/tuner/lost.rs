//! How an engine is lost (common practice: leaned until it screams, or run hard while it is cold).

use needlebench::practise::session::Level;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::Ending;

use crate::player::Player;

#[test]
fn leaning_for_speed_alone_loses_an_engine() {
    let mut player = Player::new("lesson-1", Level::ByEar, 1);
    player.act(Action::Start);
    player.act(Action::Warm);
    for _ in 0..40 {
        player.turn(Screw::High, -0.125);
        player.full(60_000);
        player.act(Action::Fuel);
        if player.last.sight.ended.is_some() {
            break;
        }
        if !player.last.sight.running {
            player.act(Action::Start);
        }
    }
    let score = player.session.episode().score();
    assert_eq!(player.last.sight.ended, Some(Ending::Lost), "{score:?}");
    assert!(!score.unharmed && score.lean_s > 10.0, "{score:?}");
}

#[test]
fn full_throttle_held_on_a_cold_engine_wears_it() {
    let wear = |warm: bool| {
        let mut player = Player::new("lesson-1", Level::ByEar, 1);
        player.act(Action::Start);
        if warm {
            player.act(Action::Warm);
        } else {
            // Cold through: pulled down by ten minutes of standing.
            player.act(Action::Stop);
            player.wait(600_000);
            player.act(Action::Start);
        }
        let before = player.session.episode().score().damage;
        player.full(5_000);
        player.session.episode().score().damage - before
    };
    let (cold, warm) = (wear(false), wear(true));
    assert!(cold > 1.5 * warm, "cold {cold}, warm {warm}");
}
