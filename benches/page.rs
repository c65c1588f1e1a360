//! What the page's server promises: `cargo bench --bench page -- [--seconds 600] [--pages 8]` plays that many pages at full throttle, and
//! tells how late the latest block of sound was, how late a thread that does nothing but sleep woke on the same machine around then, and
//! what a page costs of one core.

#[path = "../tests/socket/served.rs"]
#[allow(dead_code)]
mod served;

use std::sync::Barrier;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use serde_json::json;
use tungstenite::Message;

use served::Served;

/// Samples per second that are asked for.
const RATE_HZ: u32 = 48_000;
/// Full throttle empties a tank in some three minutes.
const TANKFUL: Duration = Duration::from_secs(100);

/// What a page had of it.
struct Heard {
    /// When each block came, and how late it was, ms, give or take what they have in common.
    blocks: Vec<(Instant, f64)>,
    /// How long one sounds, as a rule, ms.
    block_ms: f64,
    /// Speed in the end.
    rpm: f64,
}

/// Plays one page for so long once all have begun, with fuel before the tank is dry.
fn play(served: &Served, seconds: u64, all: &Barrier) -> Heard {
    let (mut page, _) = served.welcomed_at(RATE_HZ);
    page.send(&json!({"ask": "prepare", "scenario": "lesson-1", "level": "assisted"}));
    page.until("card");
    page.send(&json!({"ask": "begin", "n": 1}));
    page.find("state", |state| state["running"] == true && state["doing"].is_null());
    // Drawing a practice and starting it is work of another kind, which a page does once.
    let page = page.read_meanwhile();
    all.wait();
    let mut page = page.back();
    page.send(&json!({"ask": "throttle", "position": 1.0, "n": 2}));
    let (mut blocks, mut played_s, mut rpm) = (Vec::new(), 0.0, 0.0);
    let begun = Instant::now();
    let (mut first, mut fuelled) = (None, Instant::now());
    while begun.elapsed() < Duration::from_secs(seconds) {
        if fuelled.elapsed() > TANKFUL {
            fuelled = Instant::now();
            page.send(&json!({"ask": "do", "n": 3, "actions": [{"do": "fuel"}]}));
            page.send(&json!({"ask": "throttle", "position": 1.0, "n": 4}));
        }
        match page.next() {
            Ok(Message::Binary(block)) => {
                let now = Instant::now();
                let since = now - *first.get_or_insert(now);
                blocks.push((now, 1e3 * (since.as_secs_f64() - played_s)));
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
    Heard {
        block_ms: 1e3 * played_s / blocks.len() as f64,
        blocks,
        rpm,
    }
}

/// Sleeps a millisecond at a time until told that it is over: when it woke, and how late, ms.
fn sleep(over: &AtomicBool) -> Vec<(Instant, f64)> {
    const SLICE: Duration = Duration::from_millis(1);
    let mut woken = Vec::new();
    while !over.load(Ordering::Relaxed) {
        let before = Instant::now();
        std::thread::sleep(SLICE);
        let now = Instant::now();
        woken.push((now, 1e3 * (now - before - SLICE).as_secs_f64()));
    }
    woken
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
    let begun = Instant::now();
    let before = spent_s();
    let all = Barrier::new(pages as usize);
    let over = AtomicBool::new(false);
    let (played, woken) = std::thread::scope(|scope| {
        let sleeper = scope.spawn(|| sleep(&over));
        let players: Vec<_> = (0..pages)
            .map(|_| scope.spawn(|| play(&served, seconds, &all)))
            .collect();
        let played: Vec<Heard> = players.into_iter().filter_map(|player| player.join().ok()).collect();
        over.store(true, Ordering::Relaxed);
        (played, sleeper.join().unwrap_or_default())
    });
    // The latest that the machine woke a thread around a moment, ms.
    let woke = |at: Instant| {
        let near = woken.iter().filter(|(woke, _)| {
            let apart = woke.max(&at).duration_since(*woke.min(&at));
            apart < Duration::from_millis(30)
        });
        near.map(|(_, late)| *late).fold(0.0, f64::max)
    };
    let share = (spent_s() - before) / begun.elapsed().as_secs_f64();
    for Heard {
        mut blocks,
        block_ms,
        rpm,
    } in played
    {
        blocks.sort_by(|one, other| one.1.total_cmp(&other.1));
        // The first block's place is as good as any, and may be an early one: what counts is how far after the middle one the others are.
        let lag = |share: f64| {
            blocks
                .get(((blocks.len() - 1) as f64 * share) as usize)
                .map_or(f64::NAN, |block| block.1)
        };
        let middle = lag(0.5);
        let at = |share: f64| lag(share) - middle;
        println!(
            "{rpm:.0} rpm, {} blocks: before the middle one by {:.1} ms, after it by {:.1} ms at 99.9 %, {:.1} ms at most",
            blocks.len(),
            -at(0.0),
            at(0.999),
            at(1.0),
        );
        for (when, late) in blocks.iter().rev().take_while(|block| block.1 - middle > block_ms) {
            println!(
                "  {:.1} ms after {:.2} s, more than a block of {block_ms:.0} ms; a sleeping thread woke {:.1} ms late then",
                late - middle,
                (*when - begun).as_secs_f64(),
                woke(*when),
            );
        }
    }
    let latest = woken.iter().map(|(_, late)| *late).fold(0.0, f64::max);
    println!("a thread that does nothing but sleep woke at most {latest:.1} ms late");
    println!("{pages} pages: {:.1} % of one core each", 100.0 * share / pages as f64);
}
