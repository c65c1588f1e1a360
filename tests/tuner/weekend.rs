//! A weekend: one engine through several sign-offs, its screws where they were left, another fuel, weather, tank and wear each time.

use needlebench::practise::debrief::Debrief;
use needlebench::practise::session::Level;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::{Ask, Ending, Found, LIMIT_MS};
use needlebench::tuning::scenario::Scenario;

use crate::player::Player;

/// Turns every screw to the true setting, as only a test can.
fn set_right(player: &mut Player) {
    let episode = player.session.episode();
    let (hidden, start) = (episode.hidden.clone(), episode.hidden.start);
    let goals = [
        (Screw::High, hidden.truth.high_turns - start.high_turns),
        (Screw::Low, hidden.truth.low_turns - start.low_turns),
        (Screw::Idle, hidden.truth.idle_turns - start.idle_turns),
    ];
    for (screw, goal) in goals {
        let turns = goal - player.last.sight.marks.of(screw);
        player.turn(screw, turns);
    }
}

fn sign_off(player: &mut Player) -> Option<bool> {
    player.hear_all_and_sign_off();
    player.last.sight.found.iter().find_map(|found| match found {
        Found::SignedOff { clean } => Some(*clean),
        _ => None,
    })
}

#[test]
fn who_sets_it_right_each_time_wins_and_each_day_asks_for_another_setting() {
    let mut player = Player::new("weekend", Level::Assisted, 2);
    let stages = player.session.whole.stages.len();
    assert_eq!(player.session.episode().limit_ms(), LIMIT_MS * (1 + stages as u64));
    let mut truths = Vec::new();
    for stage in 0..stages {
        set_right(&mut player);
        let marks = player.last.sight.marks;
        truths.push(player.session.episode().hidden.truth);
        assert_eq!(sign_off(&mut player), Some(true), "stage {stage}");
        let sight = &player.last.sight;
        // Another day: it stands, nothing of it has been heard, and the screws are where they were.
        assert!(!sight.running && sight.missing.iter().eq(Ask::ALL) && sight.ended.is_none());
        assert_eq!(sight.marks, marks);
        let now: &Scenario = &player.session.scenario;
        let next = &player.session.whole.stages[stage];
        assert_eq!(
            (&now.summary, &now.fuel, now.weather),
            (&next.summary, &next.fuel, next.weather)
        );
        let tank = player.session.episode().tank_share();
        assert!((tank - next.numbers.tank_percent / 100.0).abs() < 1e-9, "{tank}");
        assert!(
            player.session.episode().left_at_fault().is_empty(),
            "seed 2 has no fault"
        );
    }
    set_right(&mut player);
    let worn = player.session.episode().hidden.drawn.sleeve_wear_share;
    player.hear_all_and_sign_off();
    let episode = player.session.episode();
    assert_eq!(episode.ending(), Some(Ending::Clean));
    assert!(episode.score().clean);
    let added: f64 = player
        .session
        .whole
        .stages
        .iter()
        .map(|stage| stage.numbers.sleeve_wear_share)
        .sum();
    let new = episode.signed_off()[0].hidden.drawn.sleeve_wear_share;
    assert!((worn - new - added).abs() < 1e-12, "{worn} {new}");
    // A setting that stays would not do: somewhere the truth moves by more than a click.
    truths.push(episode.hidden.truth);
    let moved = truths.windows(2).map(|two| {
        (two[1].low_turns - two[0].low_turns)
            .abs()
            .max((two[1].high_turns - two[0].high_turns).abs())
    });
    assert!(moved.fold(0.0, f64::max) > 1.0 / 24.0, "{truths:?}");
    let debrief = Debrief::begin(&player.session);
    assert_eq!(debrief.stages.len(), stages);
    assert!(
        debrief
            .stages
            .iter()
            .all(|stage| stage.clean && stage.failed.is_empty())
    );
    // Knowing the truth it took some turns on the first day, and par counts every day's.
    let days = episode.signed_off().len() as u32 + 1;
    let par = player.session.par();
    assert!(par.turns >= 1 && par.turns <= 2 * days, "{par:?}");
}

#[test]
fn one_day_signed_off_dirty_is_a_weekend_that_is_not_clean() {
    let mut player = Player::new("weekend", Level::Assisted, 2);
    // The first day as it came; then right.
    assert_eq!(sign_off(&mut player), Some(false));
    for _ in 1..player.session.whole.stages.len() {
        set_right(&mut player);
        assert_eq!(sign_off(&mut player), Some(true));
    }
    set_right(&mut player);
    player.hear_all_and_sign_off();
    assert_eq!(player.last.sight.ended, Some(Ending::NotClean));
    let debrief = Debrief::begin(&player.session);
    assert!(debrief.sign_off.unwrap().clean && !debrief.stages[0].clean && !debrief.stages[0].failed.is_empty());
}

#[test]
fn the_same_weekend_comes_out_the_same_and_ends_with_leaving_on_any_day() {
    let played = || {
        let mut player = Player::new("weekend", Level::ByEar, 2);
        sign_off(&mut player);
        player.turn(Screw::High, 0.125);
        player.act(Action::Start);
        player.session.digest()
    };
    assert_eq!(played(), played());
    let mut player = Player::new("weekend", Level::ByEar, 2);
    sign_off(&mut player);
    player.act(Action::Leave);
    assert_eq!(player.last.sight.ended, Some(Ending::Left));
}
