//! The built-in situations can be won, not by signing off at once and not by a list of turns; and what they are called tells what
//! happened, never what is wrong.

use needlebench::engine::params::Setting;
use needlebench::practise::session::Level;
use needlebench::tuning::action::{Action, Part};
use needlebench::tuning::episode::Ending;
use needlebench::tuning::fixed_list;
use needlebench::tuning::hidden::Hidden;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use rayon::prelude::*;

use crate::player::{Player, scenario};

const SEEDS: u64 = 10;
/// They say which screw it is, not which way nor how far.
const LESSONS: [&str; 3] = ["lesson-1", "lesson-2", "lesson-3"];

/// What is drawn of each situation: ten practices, or why there is none.
fn drawn() -> Vec<(&'static str, Vec<Result<Hidden, String>>)> {
    let all: Vec<_> = SCENARIOS
        .par_iter()
        .flat_map(|file| (1..=SEEDS).into_par_iter().map(move |seed| (file.name, seed)))
        .map(|(name, seed)| Hidden::draw(&scenario(name), seed, 0).map_err(|error| error.to_string()))
        .collect();
    let by_name = all.chunks(SEEDS as usize);
    SCENARIOS
        .iter()
        .zip(by_name)
        .map(|(file, of)| (file.name, of.to_vec()))
        .collect()
}

/// The true setting is no edge: a click of either needle and a quarter turn of the idle stop to either side it is still clean.
#[test]
fn what_is_right_has_room_on_both_sides() {
    const CLICK: f64 = 1.0 / 24.0;
    for seed in 1..=4 {
        let practice = Hidden::draw(&scenario("lesson-1"), seed, 0).unwrap();
        let beside = |high: f64, low: f64, idle: f64| Setting {
            high_turns: practice.truth.high_turns + high,
            low_turns: practice.truth.low_turns + low,
            idle_turns: practice.truth.idle_turns + idle,
        };
        let settings = [-1.0, 1.0].map(|way| {
            [
                beside(way * CLICK, 0.0, 0.0),
                beside(0.0, way * CLICK, 0.0),
                beside(0.0, 0.0, way * 0.25),
            ]
        });
        for report in practice.judging.check_all(&practice.sound, settings.as_flattened()) {
            let failed = report.failed();
            assert!(report.clean, "seed {seed}, {:?}: {failed:?}", report.setting);
        }
    }
}

/// Whatever constants were drawn: where a click either way is too much, nobody could be asked to set a screw.
#[test]
fn an_engine_whose_constants_are_drawn_has_room_for_a_click_either_way() {
    const CLICK: f64 = 1.0 / 24.0;
    for seed in 1..=9 {
        let practice = Hidden::draw(&scenario("club-day"), seed, 0).unwrap();
        let beside = [(CLICK, 0.0), (-CLICK, 0.0), (0.0, CLICK), (0.0, -CLICK)].map(|(high, low)| Setting {
            high_turns: practice.truth.high_turns + high,
            low_turns: practice.truth.low_turns + low,
            ..practice.truth
        });
        for report in practice.judging.check_all(&practice.sound, &beside) {
            assert!(report.clean, "seed {seed}: {:?} {:?}", report.setting, report.failed());
        }
    }
}

/// Each has a clean setting and a start from which the engine starts and which is not clean; the same list of turns in each of them,
/// which undoes what they are off on average, wins hardly any. `cargo bench --bench situations` asks for the best list over 200 seeds.
#[test]
fn every_situation_is_fair_and_none_is_won_by_a_list_of_turns() {
    let (mut won, mut played) = (0, 0);
    for (name, practices) in drawn() {
        let unfair: Vec<&String> = practices.iter().filter_map(|p| p.as_ref().err()).collect();
        assert!(unfair.is_empty(), "{name}: {unfair:?}");
        let practices: Vec<Hidden> = practices.into_iter().flatten().collect();
        for hidden in &practices {
            assert!(hidden.at_truth.clean, "{name}");
            let at_start = hidden.judging.check(&hidden.setup, hidden.start);
            assert!(!at_start.clean || hidden.drawn.fault.is_some(), "{name} starts clean");
        }
        if LESSONS.contains(&name) {
            continue;
        }
        let list = fixed_list::play(&practices, fixed_list::mean_list(&practices));
        assert!(list.wins <= 3, "{name}: {list:?}");
        (won, played) = (won + list.wins, played + list.of);
    }
    assert!(won * 10 <= played, "{won} of {played}");
}

/// The same list, played as somebody plays it who does all that signing off asks for and listens to nothing: it wins where the checks
/// say that it does.
#[test]
fn a_list_that_is_played_wins_where_the_checks_say_so() {
    let practices: Vec<Hidden> = (1..=4)
        .map(|seed| Hidden::draw(&scenario("lesson-1"), seed, 0).unwrap())
        .collect();
    let mut ended = Vec::new();
    for (k, practice) in practices.iter().enumerate() {
        // One list to each one's truth, and another far from it.
        for beyond in [0.0, 1.5] {
            let high = practice.truth.high_turns - practice.start.high_turns + beyond;
            let list = fixed_list::play(&practices[k..=k], [high, 0.0, 0.0]);
            let mut player = Player::new("lesson-1", Level::ByEar, k as u64 + 1);
            player.turn(needlebench::tuning::action::Screw::High, high);
            player.hear_all_and_sign_off();
            let won = player.last.sight.ended == Some(Ending::Clean);
            assert_eq!(won, list.wins == 1, "{list:?}");
            ended.push(won);
        }
    }
    assert!(ended.contains(&true) && ended.contains(&false), "{ended:?}");
}

/// Direction, size and which screws: each situation starts rich and lean, near and far; two seeds are two answers.
#[test]
fn what_is_off_is_another_thing_in_every_practice() {
    use needlebench::tuning::drawn::Drawn;
    for file in SCENARIOS {
        let scenario = scenario(file.name);
        let starts: Vec<[f64; 3]> = (1..=200)
            .map(|seed| Drawn::starts(&scenario, seed, 0).next().unwrap())
            .collect();
        let off = |screw: usize| starts.iter().map(move |start| start[screw]);
        for screw in 0..3 {
            let sides = [
                off(screw).filter(|o| *o > 0.0).count(),
                off(screw).filter(|o| *o < 0.0).count(),
            ];
            if sides == [0, 0] {
                assert!(LESSONS.contains(&file.name), "{}: a screw is never off", file.name);
                continue;
            }
            assert!(sides.iter().all(|count| *count >= 20), "{}: {sides:?}", file.name);
            let far = off(screw).fold(0.0_f64, |far, o| far.max(o.abs()));
            assert!(off(screw).any(|o| o != 0.0 && o.abs() < 0.5 * far), "{}", file.name);
        }
    }
}

/// One time in four on a club day, and any part.
#[test]
fn faults_are_among_them_where_the_situation_may_have_one() {
    use needlebench::tuning::drawn::Drawn;
    let faults = |name: &str| -> Vec<Option<Part>> {
        let scenario = scenario(name);
        (1..=400)
            .map(|seed| Drawn::draw(&scenario, seed, 0).fault.map(|fault| fault.part))
            .collect()
    };
    let club = faults("club-day");
    let broken = club.iter().flatten().count();
    assert!((80..=120).contains(&broken), "{broken} of 400");
    for part in Part::ALL {
        assert!(club.contains(&Some(part)), "{part:?}");
    }
    for name in ["after-crash", "long-day", "winter-shelf"] {
        let drawn = faults(name);
        assert!(drawn.contains(&None), "{name} need not have one");
        let kinds = Part::ALL.iter().filter(|part| drawn.contains(&Some(**part))).count();
        assert_eq!(kinds, 3, "{name}");
    }
}

/// Names and summaries say what happened. Which screw is off a lesson may say, which way and how far nobody.
#[test]
fn no_name_and_no_summary_tells_what_is_wrong() {
    let telling = [
        "rich", "lean", "too", "little", "far", "fast", "slow", "leak", "clog", "block", "tired", "worn", "plug",
        "foam", "drag", "filter", "seal", "line", "hang", "sag", "hot", "false",
    ];
    for file in SCENARIOS {
        let scenario = Scenario::read(&source(file.name).unwrap()).unwrap();
        let told = format!("{} {}", scenario.name, scenario.summary).to_lowercase();
        let words: Vec<&str> = told.split(|c: char| !c.is_alphanumeric()).collect();
        let found: Vec<&&str> = telling.iter().filter(|word| words.contains(word)).collect();
        assert!(found.is_empty(), "{told}: {found:?}");
        let names_a_screw = ["needle", "needles", "idle", "carburettor"]
            .iter()
            .any(|word| words.contains(word));
        assert!(!names_a_screw || LESSONS.contains(&file.name), "{told}");
    }
}

#[test]
fn nothing_is_signed_off_by_somebody_who_has_not_heard_it() {
    for file in SCENARIOS.iter().take(4) {
        let mut player = Player::new(file.name, Level::Assisted, 1);
        player.act(Action::SignOff);
        player.act(Action::Start);
        player.act(Action::SignOff);
        assert_eq!(player.last.sight.ended, None, "{}", file.name);
    }
}
