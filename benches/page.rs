//! What the page's server promises: `cargo bench --bench page -- [--seconds 600] [--pages 8]` plays that many pages at full throttle, and
//! tells how late the latest block of sound was and what a page costs of one core.

#[path = "../tests/socket/served.rs"]
#[allow(dead_code)]
mod served;

use std::time::{Duration, Instant};

use serde_json::json;
use tungstenite::Message;

use served::Served;

/// Samples per second that are asked for.
const RATE_HZ: u32 = 48_000;

/// Plays one page for so long; how late its blocks were, ms, and the speed it had in the end.
fn play(served: &Served, seconds: u64) -> (Vec<f64>, f64) {
    let (mut page, _) = served.welcomed_at(RATE_HZ);
    page.send(&json!({"ask": "prepare", "scenario": "lesson-1", "level": "assisted"}));
    page.until("card");
    page.send(&json!({"ask": "begin", "n": 1}));
    page.find("state", |state| state["running"] == true && state["doing"].is_null());
    page.send(&json!({"ask": "throttle", "position": 1.0, "n": 2}));
    let (mut late, mut played_s, mut rpm) = (Vec::new(), 0.0, 0.0);
    let begun = Instant::now();
    let mut first = None;
    while begun.elapsed() < Duration::from_secs(seconds) {
        match page.next() {
            Ok(Message::Binary(block)) => {
                let now = begun.elapsed().as_secs_f64();
                late.push(1e3 * (now - *first.get_or_insert(now) - played_s));
                played_s += (block.len() - 12) as f64 / 2.0 / f64::from(RATE_HZ);
            }
            Ok(Message::Text(line)) => {
                if let Ok(line) = serde_json::from_str::<serde_json::Value>(&line) {
                    rpm = line["tachometer_rpm"].as_f64().unwrap_or(rpm);
                }
            }
            Ok(_) => {}
            Err(closed) => {
                eprintln!("closed: {closed:?}");
                break;
            }
        }
    }
    (late, rpm)
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let number = |flag: &str, usual: u64| {
        let at = arguments.iter().position(|argument| argument == flag);
        at.and_then(|at| arguments.get(at + 1)?.parse().ok()).unwrap_or(usual)
    };
    let (seconds, pages) = (number("--seconds", 10), number("--pages", 1));
    let home = std::env::temp_dir();
    let served = Served::start(&["--no-record"], &home);
    let spent_s = || served.spent_s().unwrap_or(f64::NAN);
    let before = (spent_s(), Instant::now());
    let played: Vec<(Vec<f64>, f64)> = std::thread::scope(|scope| {
        let players: Vec<_> = (0..pages).map(|_| scope.spawn(|| play(&served, seconds))).collect();
        players.into_iter().filter_map(|player| player.join().ok()).collect()
    });
    let share = (spent_s() - before.0) / before.1.elapsed().as_secs_f64();
    for (late, rpm) in played {
        // The first block's place is as good as any: what counts is how far apart the earliest and the others are.
        let earliest = late.iter().copied().fold(f64::INFINITY, f64::min);
        let mut after: Vec<f64> = late.iter().map(|late| late - earliest).collect();
        after.sort_by(f64::total_cmp);
        let at = |share: f64| {
            after
                .get(((after.len() - 1) as f64 * share) as usize)
                .copied()
                .unwrap_or(f64::NAN)
        };
        println!(
            "{rpm:.0} rpm, {} blocks: after the earliest by {:.1} ms at the middle, {:.1} ms at 99.9 %, {:.1} ms at most",
            after.len(),
            at(0.5),
            at(0.999),
            at(1.0)
        );
    }
    println!("{pages} pages: {:.1} % of one core each", 100.0 * share / pages as f64);
}
