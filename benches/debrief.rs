//! What a debrief takes, piece by piece: `cargo bench --bench debrief`.

use std::time::Instant;

use needlebench::practise::debrief::Debrief;
use needlebench::practise::session::{Level, Session};
use needlebench::tuning::action::Action;
use needlebench::tuning::episode::ALL_HEARD;
use needlebench::tuning::scenario::{Scenario, source};

fn main() {
    for name in ["lesson-1", "lesson-3", "big-engine"] {
        for seed in [1, 2] {
            let began = Instant::now();
            let scenario = match source(name).and_then(|s| Scenario::read(&s)) {
                Ok(scenario) => scenario,
                Err(error) => return println!("{error}"),
            };
            let mut session = match Session::start(scenario, Level::ByEar, seed, 0) {
                Ok(session) => session,
                Err(error) => return println!("{error}"),
            };
            let started = began.elapsed();
            // What signing off asks for; laps warm whatever blips do not.
            let asked = [Action::Start, Action::Laps { laps: 2 }];
            for action in asked.iter().chain(&ALL_HEARD) {
                if let Err(refusal) = session.act(action) {
                    println!("{name} {seed}: {action:?}: {refusal:?}");
                }
            }
            let began = Instant::now();
            if let Err(refusal) = session.act(&Action::SignOff) {
                println!("{name} {seed}: {refusal:?}");
                continue;
            }
            let signing = began.elapsed();
            let mut debrief = Debrief::begin(&session);
            let (whole, mut pieces) = (Instant::now(), Vec::new());
            loop {
                let (piece, began) = (debrief.next(), Instant::now());
                let more = debrief.go_on(&session);
                match pieces.last_mut() {
                    Some((last, time)) if *last == piece => *time += began.elapsed(),
                    _ => pieces.push((piece, began.elapsed())),
                }
                if !more {
                    break;
                }
            }
            println!(
                "{name} {seed}: start {started:.0?}, sign-off {signing:.0?}, debrief {:.0?}: {pieces:.0?}",
                whole.elapsed()
            );
        }
    }
}
