//! Actions of a practice in parts: begun and taken further by any number of milliseconds, they show and leave the same as done at
//! once, and whoever watches sees every revolution.

use needlebench::bench::player::{Now, Unseen};
use needlebench::engine::state::{Revolution, State};
use needlebench::practise::session::{Frame, Level, Session};
use needlebench::tuning::action::{Action, Part, Screw};
use needlebench::tuning::episode::{Ending, Episode, Found, LIMIT_MS, Refusal};
use needlebench::tuning::scenario::{Scenario, source};

fn scenario(name: &str) -> Scenario {
    Scenario::read(&source(name).unwrap()).unwrap()
}

/// One of each action that takes time, and some that take none.
const ACTIONS: [Action; 22] = [
    Action::Start,
    Action::Warm,
    Action::Gun,
    Action::Turn {
        screw: Screw::High,
        turns: 0.125,
    },
    Action::Hold {
        position: 1.0,
        ms: 2500,
    },
    Action::Wait { ms: 7777 },
    Action::Pinch,
    Action::Laps { laps: 2 },
    Action::Throttle { position: 0.4 },
    Action::Wait { ms: 50 },
    Action::Fuel,
    Action::Inspect,
    Action::Plug,
    Action::Start,
    Action::Fix { part: Part::Filter },
    Action::Start,
    Action::Warm,
    Action::Hold {
        position: 1.0,
        ms: 3000,
    },
    Action::Wait { ms: 10_500 },
    Action::Hold {
        position: 1.0,
        ms: 1500,
    },
    Action::RollOn,
    Action::SignOff,
];

/// Plays the actions in parts of so many milliseconds; what each showed, and the digest after it.
fn in_parts(name: &str, part_ms: u32) -> Vec<(Option<Frame>, u64)> {
    let mut session = Session::start(scenario(name), Level::Guided, 5, 0).unwrap();
    ACTIONS
        .iter()
        .map(|action| {
            let frame = session.begin(action).ok().map(|()| {
                let mut parts = 0;
                loop {
                    assert!(session.busy());
                    if let Some(frame) = session.advance(part_ms, Unseen) {
                        break frame;
                    }
                    parts += 1;
                    assert_eq!(session.begin(&Action::Gun), Err(Refusal::Busy));
                    assert!(parts < 3_600_000 / part_ms, "{action:?} ends");
                }
            });
            (frame, session.digest())
        })
        .collect()
}

#[test]
fn actions_in_parts_are_actions_done_at_once() {
    for name in ["fuel-change", "after-crash"] {
        let mut session = Session::start(scenario(name), Level::Guided, 5, 0).unwrap();
        let at_once: Vec<_> = ACTIONS
            .iter()
            .map(|a| (session.act(a).ok(), session.digest()))
            .collect();
        assert!(at_once.iter().filter(|(frame, _)| frame.is_some()).count() > 19);
        for part_ms in [33, 1000, 60_000] {
            let parts = in_parts(name, part_ms);
            for ((a, b), action) in at_once.iter().zip(&parts).zip(ACTIONS) {
                assert_eq!(a.0, b.0, "{name} {action:?} in parts of {part_ms} ms");
                assert_eq!(a.1, b.1, "{name} {action:?} in parts of {part_ms} ms");
            }
        }
    }
}

#[test]
fn whoever_watches_sees_every_revolution() {
    let mut episode = Episode::reset(&scenario("fuel-change"), 2, 0).unwrap();
    let (mut before, mut seen) = (None::<State>, 0_u32);
    for action in ACTIONS {
        if episode.begin(&action).is_err() {
            continue;
        }
        loop {
            let watch = |now: &Now, r: &Revolution, s: &State| {
                if let Some(before) = before {
                    assert_eq!(s.revolution, before.revolution + 1.0);
                    assert_eq!(s.time, before.time + r.duration);
                }
                assert!((0.0..=1.0).contains(&now.throttle));
                (before, seen) = (Some(*s), seen + 1);
            };
            if episode.advance(40, watch).is_some() {
                break;
            }
        }
    }
    assert!(seen > 50_000, "{seen} revolutions");
}

#[test]
fn time_passes_on_its_own_between_actions() {
    let mut parts = Episode::reset(&scenario("fuel-change"), 2, 0).unwrap();
    let mut whole = parts.clone();
    for episode in [&mut parts, &mut whole] {
        episode.act(&Action::Start).unwrap();
        episode.act(&Action::Throttle { position: 0.3 }).unwrap();
        assert_eq!(episode.doing(), None);
    }
    for _ in 0..100 {
        assert_eq!(parts.advance(70, Unseen), None);
    }
    assert_eq!(whole.advance(7000, Unseen), None);
    assert_eq!(parts.digest(), whole.digest());
    assert_eq!(parts.clock_ms(), 17_000);
}

#[test]
fn an_action_ends_with_the_practice() {
    let mut episode = Episode::reset(&scenario("fuel-change"), 2, 0).unwrap();
    let long = Action::Wait { ms: 600_000 };
    for _ in 0..5 {
        episode.act(&long).unwrap();
    }
    episode.act(&Action::Wait { ms: 595_000 }).unwrap();
    // The gun's two seconds fit in what is left, laps do not.
    assert!(matches!(episode.act(&Action::Gun).unwrap()[..], [Found::Gun { .. }]));
    episode.begin(&Action::Start).unwrap();
    assert_eq!(episode.doing(), Some(Action::Start));
    assert_eq!(episode.advance(2000, Unseen), None);
    assert!(episode.advance(60_000, Unseen).is_some());
    assert_eq!(
        (episode.ending(), episode.clock_ms()),
        (Some(Ending::OutOfTime), LIMIT_MS)
    );
    assert_eq!(episode.begin(&Action::Gun), Err(Refusal::Over));
}
