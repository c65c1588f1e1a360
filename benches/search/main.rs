//! A search over the parameters of a strategy: each round draws others around the best so far, plays them and the best on the same hidden
//! engines of all ordinary situations, and takes one that costs less by more than the difference's standard error. All of it is drawn
//! from `--seed`; every round prints its line. What was found is judged against where it began, on engines that no round has seen.
//! `cargo bench --bench search -- --strategy coach --seed 7 --rounds 6 --candidates 12 --engines 4 --unseen 20 --write FILE.toml`
//! (engines are those of a round and of a situation). With `--any-set` every other engine has constants drawn from the ensemble, instead of
//! the reference's. A file is written only if the interval of what was won is clear of zero.

mod candidate;
mod engines;

use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use needlebench::chance::Chance;
use needlebench::stats::Moments;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use needlebench::tuning::strategy::file::Strategy;
use needlebench::tuning::strategy::strategy;

use candidate::{Candidate, Dice, changes, drawn_near};
use engines::{Engine, Outcome, drawn, played};

/// First seed of the engines that are searched on, and of those that judge; the studies' is 1001, and the library's of the look-ahead the
/// last of all.
const TRAINING_SEED: u64 = 500_000;
const UNSEEN_SEED: u64 = 900_000;
/// Confidence of what is said in the end.
const CONFIDENCE: f64 = 0.95;
/// Of a round's new candidates so many are played on the earlier rounds' engines too, and so many come again in the next.
const PLAYED_ON_ALL: usize = 4;
const CARRIED: usize = 3;
struct Options {
    strategy: String,
    seed: u64,
    rounds: u64,
    candidates: usize,
    engines: u64,
    unseen: u64,
    any_set: bool,
    write: Option<String>,
}

fn options() -> Options {
    let mut options = Options {
        strategy: "coach".to_string(),
        seed: 7,
        rounds: 6,
        candidates: 12,
        engines: 4,
        unseen: 20,
        any_set: false,
        write: None,
    };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().unwrap_or_default();
        match argument.as_str() {
            "--strategy" => options.strategy = value(),
            "--seed" => options.seed = value().parse().unwrap_or(7),
            "--rounds" => options.rounds = value().parse().unwrap_or(6),
            "--candidates" => options.candidates = value().parse().unwrap_or(12),
            "--engines" => options.engines = value().parse().unwrap_or(4),
            "--unseen" => options.unseen = value().parse().unwrap_or(20),
            "--any-set" => options.any_set = true,
            "--write" => options.write = Some(value()),
            _ => {}
        }
    }
    options
}

/// Searches from a strategy's own values; a line a round.
fn searched(start: &Arc<Strategy>, scenarios: &[Scenario], options: &Options) -> Candidate {
    let origin: Vec<f64> = start.parameters.iter().map(|parameter| parameter.value).collect();
    let mut best = Candidate {
        values: origin.clone(),
        strategy: start.clone(),
        outcomes: Vec::new(),
    };
    let mut close: Vec<Candidate> = Vec::new();
    let mut engines: Vec<Engine<'_>> = Vec::new();
    for round in 0..options.rounds {
        let mut dice = Dice {
            chance: Chance::new(options.seed, round),
            rolled: 0,
        };
        let mut field: Vec<Candidate> = std::mem::take(&mut close);
        let known = field.len();
        for _ in 0..options.candidates {
            field.extend(drawn_near(start, &best, &field[..known], &mut dice));
        }
        let earlier = engines.len();
        let first_seed = TRAINING_SEED + round * options.engines;
        engines.extend(drawn(scenarios, first_seed, options.engines));
        let strategies: Vec<_> = std::iter::once(&best)
            .chain(&field)
            .map(|c| c.strategy.clone())
            .collect();
        let outcomes = played(&engines[earlier..], &strategies);
        for (candidate, new) in std::iter::once(&mut best).chain(&mut field).zip(outcomes) {
            candidate.outcomes.extend(new);
        }
        // Who does well on the new engines has to do so on the earlier ones, too.
        let mut new = field.split_off(known);
        new.retain(|candidate| candidate.over(&best).0 < 0.0);
        new.sort_by(|one, other| one.over(&best).0.total_cmp(&other.over(&best).0));
        new.truncate(PLAYED_ON_ALL);
        let strategies: Vec<_> = new.iter().map(|candidate| candidate.strategy.clone()).collect();
        for (candidate, before) in new.iter_mut().zip(played(&engines[..earlier], &strategies)) {
            candidate.outcomes.splice(0..0, before);
        }
        field.extend(new);
        field.sort_by(|one, other| one.over(&best).0.total_cmp(&other.over(&best).0));
        let said = match field.first().map(|first| first.over(&best)) {
            Some((more, error)) if more + error < 0.0 => {
                let before = std::mem::replace(&mut best, field.remove(0));
                field.push(before);
                format!("taken: {more:+.2} ± {error:.2}")
            }
            Some((more, error)) => format!("kept: the nearest costs {more:+.2} ± {error:.2}"),
            None => "kept: none does as well on the new engines".to_string(),
        };
        // Those that are not clearly worse come again, and the start always, so that a find that was luck is taken back.
        let is_start = |candidate: &Candidate| candidate.values == origin;
        field.retain(|candidate| {
            let (more, error) = candidate.over(&best);
            more - error < 0.0 || is_start(candidate)
        });
        field.sort_by(|one, other| one.over(&best).0.total_cmp(&other.over(&best).0));
        field.sort_by_key(|candidate| !is_start(candidate));
        field.truncate(CARRIED + usize::from(field.first().is_some_and(is_start)));
        close = field;
        println!(
            "round {}: seeds {first_seed} to {}, {} engines; {said}; the best costs {:.2}, wins {:.1} %: {}",
            round + 1,
            first_seed + options.engines - 1,
            engines.len(),
            best.mean(Outcome::cost),
            100.0 * best.mean(|outcome| f64::from(u8::from(outcome.clean))),
            changes(start, &best.values),
        );
    }
    best
}

/// Plays both on engines that no round has seen; whether what was won is clear of zero, and what is said of it.
fn judged(start: &Arc<Strategy>, best: &Candidate, scenarios: &[Scenario], count: u64) -> (bool, String) {
    let engines = drawn(scenarios, UNSEEN_SEED, count);
    let outcomes = played(&engines, &[start.clone(), best.strategy.clone()]);
    println!(
        "unseen seeds {UNSEEN_SEED} to {}: {} engines",
        UNSEEN_SEED + count - 1,
        engines.len()
    );
    println!("          cost  turns   won_%  lost_%  lean_s    min");
    let both = outcomes.into_iter().map(|outcomes| Candidate {
        outcomes,
        ..best.clone()
    });
    let both: Vec<Candidate> = both.collect();
    for (name, of) in ["start", "best"].iter().zip(&both) {
        let share = |is: fn(&Outcome) -> bool| 100.0 * of.mean(|outcome| f64::from(u8::from(is(outcome))));
        println!(
            "{name:8} {:5.2}  {:5.2}  {:6.2}  {:6.2}  {:6.2}  {:5.2}",
            of.mean(Outcome::cost),
            of.mean(|outcome| outcome.turns),
            share(|outcome| outcome.clean),
            share(|outcome| outcome.lost),
            of.mean(|outcome| outcome.lean_s),
            of.mean(|outcome| outcome.minutes),
        );
    }
    let pairs = both[1].outcomes.iter().zip(&both[0].outcomes);
    let more = Moments::of(pairs.map(|(best, start)| best.cost() - start.cost()));
    let Some(within) = more.interval(CONFIDENCE) else {
        return (false, "too few engines to tell".to_string());
    };
    let said = format!(
        "{:+.2} needle turns (95 % {:+.2} to {:+.2}) on {} engines of seeds {UNSEEN_SEED} to {}",
        more.mean,
        within.low,
        within.high,
        more.count,
        UNSEEN_SEED + count - 1
    );
    println!("the best costs {said}");
    (within.high < 0.0, said)
}

/// A file with what was found, and how.
fn written(start: &Strategy, best: &Candidate, name: &str, options: &Options, said: &str) -> String {
    let of = &start.name;
    let head = format!(
        "# The rules of `{of}`, with numbers found by `cargo bench --bench search -- --strategy {of} --seed {} --rounds {}\n\
         # --candidates {} --engines {} --unseen {}{}`: on seeds {TRAINING_SEED} to {}.\n\
         # On engines that it never saw it costs, against `{of}`,\n\
         # {said}.\n\n\
         name = \"{name}\"\n\
         summary = \"the rules of {of}, with the numbers that a search found to cost least\"\n",
        options.seed,
        options.rounds,
        options.candidates,
        options.engines,
        options.unseen,
        if options.any_set { " --any-set" } else { "" },
        TRAINING_SEED + options.rounds * options.engines - 1,
    );
    // What it says of itself in its opening lines is not so of this one.
    let text = &best.strategy.source.text;
    let lines = text.lines().skip_while(|line| line.starts_with('#') || line.is_empty());
    let kept = lines.filter(|line| !line.starts_with("name = ") && !line.starts_with("summary = "));
    kept.fold(head, |text, line| text + line + "\n")
}

fn main() {
    let options = options();
    let start = match strategy(&options.strategy) {
        Ok(strategy) if !strategy.parameters.is_empty() => Arc::new(strategy),
        Ok(_) => return eprintln!("{} has no parameters", options.strategy),
        Err(error) => return eprintln!("{error}"),
    };
    let began = Instant::now();
    let read = SCENARIOS
        .iter()
        .filter_map(|file| Scenario::read(&source(file.name).ok()?).ok());
    let ordinary = |scenario: &Scenario| scenario.stages.is_empty() && scenario.fault.chance_percent == 0.0;
    let mut scenarios: Vec<Scenario> = read.filter(ordinary).collect();
    if options.any_set {
        let drawn = |scenario: &Scenario| Scenario {
            ensemble: true,
            ..scenario.clone()
        };
        scenarios.extend(scenarios.iter().map(drawn).collect::<Vec<_>>());
    }
    println!(
        "{}, seed {}: {} rounds of {} candidates on {} engines of each of {} situations",
        start.name,
        options.seed,
        options.rounds,
        options.candidates,
        options.engines,
        scenarios.len()
    );
    let best = searched(&start, &scenarios, &options);
    println!(
        "found after {:.0} s: {}",
        began.elapsed().as_secs_f64(),
        changes(&start, &best.values)
    );
    let (better, said) = judged(&start, &best, &scenarios, options.unseen);
    println!("{:.0} s", began.elapsed().as_secs_f64());
    let Some(file) = &options.write else { return };
    if !better {
        return println!("not written: what was won is not clear of zero");
    }
    let name = Path::new(file)
        .file_stem()
        .map_or(String::new(), |stem| stem.to_string_lossy().into_owned());
    match std::fs::write(file, written(&start, &best, &name, &options, &said)) {
        Ok(()) => println!("written: {file}"),
        Err(error) => eprintln!("{file}: {error}"),
    }
}
