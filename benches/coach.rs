//! The study of a strategy: over seeds of the ordinary situations, how often it wins, its turns over par, seconds too lean, wear and
//! minutes. `cargo bench --bench coach -- --seeds 200` takes some minutes; `--by-ear` takes the tachometer away, `--only NAME` plays
//! one situation, `--strategy FILE` another strategy, `--any-set` draws for each engine one set of constants of the ensemble instead of the
//! reference's, `--faults` plays situations with parts at fault, too, `--no-par` leaves par out, `--tell N` tells N practices line by line
//! (lost ones first).

use std::time::Instant;

use needlebench::practise::session::{Level, Session};
use needlebench::practise::words;
use needlebench::tuning::action::Screw;
use needlebench::tuning::episode::Ending;
use needlebench::tuning::par::par;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use needlebench::tuning::score::Score;
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::file::Strategy;
use needlebench::tuning::strategy::strategy;
use rayon::prelude::*;
use std::sync::Arc;

/// A start this far on the lean side is a lean one, turns.
const LEAN_START: f64 = -1.0 / 12.0;
const MOST_ACTIONS: usize = 400;

struct Options {
    seeds: u64,
    level: Level,
    only: Option<String>,
    strategy: String,
    tell: usize,
    faults: bool,
    par: bool,
    any_set: bool,
}

fn options() -> Options {
    let mut options = Options {
        seeds: 5,
        level: Level::Assisted,
        only: None,
        strategy: "coach".to_string(),
        tell: 0,
        faults: false,
        par: true,
        any_set: false,
    };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().unwrap_or_default();
        match argument.as_str() {
            "--seeds" => options.seeds = value().parse().unwrap_or(5),
            "--by-ear" => options.level = Level::ByEar,
            "--only" => options.only = Some(value()),
            "--strategy" => options.strategy = value(),
            "--tell" => options.tell = value().parse().unwrap_or(1),
            "--faults" => options.faults = true,
            "--any-set" => options.any_set = true,
            "--no-par" => options.par = false,
            _ => {}
        }
    }
    options
}

/// One practice, played.
struct Played {
    name: &'static str,
    seed: u64,
    ending: Option<Ending>,
    score: Score,
    par: u32,
    lean_start: bool,
    told: String,
    end: String,
}

impl Played {
    fn won(&self) -> bool {
        self.ending == Some(Ending::Clean)
    }
    fn over(&self) -> f64 {
        f64::from(self.score.turns) - f64::from(self.par)
    }
}

fn play(name: &'static str, seed: u64, strategy: &Arc<Strategy>, options: &Options) -> Option<Played> {
    let mut scenario = Scenario::read(&source(name).ok()?).ok()?;
    scenario.ensemble |= options.any_set;
    let limits = scenario.limits;
    let mut session = Session::start(scenario, options.level, seed, 0).ok()?;
    let (start, truth) = (session.episode().hidden.start, session.episode().hidden.truth);
    let off = |at: needlebench::engine::params::Setting| {
        let clicks = |a: f64, b: f64| 24.0 * (a - b);
        format!(
            "high {:+.1} low {:+.1} idle {:+.1} clicks off",
            clicks(at.high_turns, truth.high_turns),
            clicks(at.low_turns, truth.low_turns),
            clicks(at.idle_turns, truth.idle_turns)
        )
    };
    let par = if options.par {
        par(&session.episode().hidden).turns
    } else {
        0
    };
    let mut follower = Follower::new(strategy.clone(), limits, session.episode().chance());
    let mut told = format!("  starts {}, par {par}\n", off(start));
    for _ in 0..MOST_ACTIONS {
        let Some(advice) = follower.next() else {
            told += "  no rule can be followed\n";
            break;
        };
        match session.act(&advice.action) {
            Ok(frame) => {
                let sight = &frame.sight;
                let notes: Vec<&str> = sight.notes.iter().map(|note| words::note(*note)).collect();
                let found: Vec<String> = sight.found.iter().map(words::found).collect();
                let score = session.episode().score();
                told += &format!(
                    "  {:6.1}  {:14} {:5.0} rpm, lean {:.1} s, wear {:.1} %: {} {}\n",
                    sight.clock_s,
                    words::command(&advice.action),
                    session.episode().rpm(),
                    score.lean_s,
                    100.0 * score.damage,
                    notes.join("; "),
                    found.join("; "),
                );
                told += &format!("             ({})\n", words::why(&advice));
                if sight.ended.is_some() {
                    break;
                }
                follower.memory.did(&advice.action, sight);
            }
            Err(refusal) => {
                told += &format!("  refused: {}: {refusal:?}\n", words::command(&advice.action));
                follower.memory.refused(&advice.action, refusal);
            }
        }
    }
    let episode = session.episode();
    let last = episode.path().last().copied().unwrap_or(start);
    let failed = episode.report().map(|report| report.failed());
    Some(Played {
        name,
        seed,
        ending: episode.ending(),
        score: episode.score(),
        par,
        lean_start: [Screw::High, Screw::Low].iter().any(|screw| match screw {
            Screw::High => start.high_turns - truth.high_turns < LEAN_START,
            _ => start.low_turns - truth.low_turns < LEAN_START,
        }),
        told,
        end: format!("{}; fails {failed:?}", off(last)),
    })
}

fn mean<'a>(played: impl Iterator<Item = &'a Played>, of: impl Fn(&Played) -> f64) -> f64 {
    let (sum, count) = played.fold((0.0, 0.0), |(sum, count), p| (sum + of(p), count + 1.0));
    if count > 0.0 { sum / count } else { f64::NAN }
}

fn row(name: &str, played: &[&Played]) {
    let all = || played.iter().copied();
    println!(
        "{name:16} {:5} {:6.1} {:6.2} {:6.2} {:6.2} {:6.2} {:7.2} {:7.2} {:6.2} {:6.1} {:5}",
        played.len(),
        100.0 * mean(all(), |p| f64::from(u8::from(p.won()))),
        mean(all(), |p| f64::from(p.par)),
        mean(all(), |p| f64::from(p.score.turns)),
        mean(all(), Played::over),
        mean(all(), |p| f64::from(p.score.idle_trims)),
        mean(all().filter(|p| !p.lean_start), |p| p.score.lean_s),
        mean(all().filter(|p| p.lean_start), |p| p.score.lean_s),
        mean(all(), |p| 100.0 * p.score.damage),
        mean(all(), |p| p.score.minutes),
        all().filter(|p| !p.score.unharmed).count(),
    );
}

/// What is wanted of the coach on average over the ordinary situations, and whether it is reached.
fn verdicts(played: &[Played], level: Level) {
    let all = || played.iter();
    let won = 100.0 * mean(all(), |p| f64::from(u8::from(p.won())));
    let least = if level == Level::ByEar { 90.0 } else { 97.0 };
    println!("{} won {won:.1} %, wanted {least} or more", verdict(won >= least));
    let lean = |lean_start: bool| mean(all().filter(move |p| p.lean_start == lean_start), |p| p.score.lean_s);
    for (what, is, most) in [
        ("turns over par", mean(all(), Played::over), 1.5),
        ("s lean", lean(false), 2.0),
        ("s lean where the start is", lean(true), 5.0),
        ("% wear", mean(all(), |p| 100.0 * p.score.damage), 5.0),
        ("minutes", mean(all(), |p| p.score.minutes), 15.0),
    ] {
        println!("{} {is:.2} {what}, wanted {most} or less", verdict(is <= most));
    }
}

fn verdict(reached: bool) -> &'static str {
    if reached { "reached:" } else { "missed: " }
}

fn main() {
    let options = options();
    let followed = match strategy(&options.strategy) {
        Ok(strategy) => Arc::new(strategy),
        Err(error) => return eprintln!("{error}"),
    };
    let began = Instant::now();
    let ordinary = |name: &str| {
        let scenario = source(name).and_then(|source| Scenario::read(&source));
        scenario.is_ok_and(|s| s.stages.is_empty() && (options.faults || s.fault.chance_percent == 0.0))
    };
    let names: Vec<&'static str> = SCENARIOS
        .iter()
        .map(|file| file.name)
        .filter(|name| ordinary(name))
        .collect();
    let wanted = names
        .iter()
        .filter(|name| options.only.as_ref().is_none_or(|only| only == *name));
    let cases: Vec<(&'static str, u64)> = wanted
        .flat_map(|name| (1..=options.seeds).map(move |seed| (*name, seed)))
        .collect();
    let played: Vec<Played> = cases
        .par_iter()
        .filter_map(|(name, seed)| play(name, *seed, &followed, &options))
        .collect();
    let mut order: Vec<&Played> = played.iter().collect();
    order.sort_by_key(|p| (p.won(), -(p.over() as i64)));
    for p in order.iter().take(options.tell) {
        println!(
            "{} seed {}: {:?}, turns {} (par {}), lean {:.1} s; {}\n{}",
            p.name, p.seed, p.ending, p.score.turns, p.par, p.score.lean_s, p.end, p.told
        );
    }
    println!("situation        cases    won    par  turns   over  trims  lean_s (lean)  wear_%    min  lost");
    for name in &names {
        let of: Vec<&Played> = played.iter().filter(|p| p.name == *name).collect();
        if !of.is_empty() {
            row(name, &of);
        }
    }
    row("all", &played.iter().collect::<Vec<_>>());
    for p in order.iter().filter(|p| !p.won()).take(40) {
        println!(
            "not won: {} seed {}: {:?}, {} turns; {}",
            p.name, p.seed, p.ending, p.score.turns, p.end
        );
    }
    verdicts(&played, options.level);
    println!(
        "{} of {} practices could be drawn; {:.0} s",
        played.len(),
        cases.len(),
        began.elapsed().as_secs_f64()
    );
}
