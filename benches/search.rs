//! A search over the parameters of a strategy: each round draws others around the best so far, plays them and the best on the same hidden
//! engines of all ordinary situations, and takes one that costs less by more than the difference's standard error. All of it is drawn
//! from `--seed`; every round prints its line. What was found is judged against where it began, on engines that no round has seen.
//! `cargo bench --bench search -- --strategy coach --seed 7 --rounds 6 --candidates 12 --engines 4 --unseen 20 --write FILE.toml`
//! (engines are those of a round and of a situation). A file is written only if the interval of what was won is clear of zero.

use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use needlebench::chance::Chance;
use needlebench::config::ConfigError;
use needlebench::noise::Channel;
use needlebench::stats::Moments;
use needlebench::tuning::batch::playing::{End, Practice, play};
use needlebench::tuning::episode::Episode;
use needlebench::tuning::human::Skill;
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::file::Strategy;
use needlebench::tuning::strategy::strategy;
use rayon::prelude::*;

/// First seed of the engines that are searched on, and of those that judge; the studies' is 1001, and the library's of the look-ahead the
/// last of all.
const TRAINING_SEED: u64 = 500_000;
const UNSEEN_SEED: u64 = 900_000;
/// What goes wrong, in needle turns: as the standard study has it.
const NOT_CLEAN_TURNS: f64 = 20.0;
const LOST_TURNS: f64 = 50.0;
/// What takes long or wears, in needle turns: so little that it decides only among what tunes alike.
const FREE_MINUTES: f64 = 10.0;
const MINUTE_TURNS: f64 = 0.1;
const LEAN_SECOND_TURNS: f64 = 0.05;
/// Confidence of what is said in the end.
const CONFIDENCE: f64 = 0.95;
/// Of a round's new candidates so many are played on the earlier rounds' engines too, and so many come again in the next.
const PLAYED_ON_ALL: usize = 4;
const CARRIED: usize = 3;
/// Parameters that one candidate changes at most, and how far: the deviation as a share of the range.
const MOST_CHANGES: usize = 4;
const REACH: f64 = 0.2;
/// Draws of a candidate until its rules can be read: some values exclude each other.
const MOST_DRAWS: usize = 100;

struct Options {
    strategy: String,
    seed: u64,
    rounds: u64,
    candidates: usize,
    engines: u64,
    unseen: u64,
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
            "--write" => options.write = Some(value()),
            _ => {}
        }
    }
    options
}

/// What came of one practice.
#[derive(Clone, Copy)]
struct Outcome {
    turns: f64,
    clean: bool,
    lost: bool,
    lean_s: f64,
    minutes: f64,
}

impl Outcome {
    fn of(practice: &Practice<Follower>) -> Self {
        let score = practice.episode.score();
        Self {
            turns: f64::from(score.turns),
            clean: practice.end == Some(End::Clean),
            lost: practice.end == Some(End::Lost),
            lean_s: score.lean_s,
            minutes: score.minutes,
        }
    }

    fn cost(&self) -> f64 {
        let wrong = match self {
            _ if self.lost => LOST_TURNS,
            _ if self.clean => 0.0,
            _ => NOT_CLEAN_TURNS,
        };
        let long = MINUTE_TURNS * (self.minutes - FREE_MINUTES).max(0.0);
        self.turns + wrong + long + LEAN_SECOND_TURNS * self.lean_s
    }
}

/// A hidden engine, drawn once for everybody who meets it.
struct Engine<'a> {
    scenario: &'a Scenario,
    fresh: Episode,
}

/// The hidden engines of these seeds, as many of each situation; one that can't be drawn is left out.
fn drawn(scenarios: &[Scenario], from: u64, count: u64) -> Vec<Engine<'_>> {
    let seeds = (from..from + count).flat_map(|seed| scenarios.iter().map(move |scenario| (scenario, seed)));
    let seeds: Vec<(&Scenario, u64)> = seeds.collect();
    seeds
        .par_iter()
        .filter_map(|&(scenario, seed)| {
            let fresh = Episode::reset_for(scenario, seed, 0, Skill::Club).ok()?;
            Some(Engine { scenario, fresh })
        })
        .collect()
}

/// What comes of each strategy on each of these engines, those of one engine side by side.
fn played(engines: &[Engine<'_>], strategies: &[Arc<Strategy>]) -> Vec<Vec<Outcome>> {
    let by_engine: Vec<Vec<Outcome>> = engines
        .par_iter()
        .map(|Engine { scenario, fresh }| {
            let follower = |of: &Arc<Strategy>| Follower::new(of.clone(), scenario.limits, fresh.chance());
            let practice = |of| Practice::new(fresh.clone(), follower(of));
            let mut practices: Vec<_> = strategies.iter().map(practice).collect();
            play(&mut practices);
            practices.iter().map(Outcome::of).collect()
        })
        .collect();
    let of = |at: usize| by_engine.iter().map(|outcomes| outcomes[at]).collect();
    (0..strategies.len()).map(of).collect()
}

/// One set of parameters, and what it came to on the engines so far.
#[derive(Clone)]
struct Candidate {
    values: Vec<f64>,
    strategy: Arc<Strategy>,
    outcomes: Vec<Outcome>,
}

impl Candidate {
    /// What it costs more than another on the engines that both have played, counted from the last, and the standard error of that.
    fn over(&self, other: &Self) -> (f64, f64) {
        let pairs = self.outcomes.iter().rev().zip(other.outcomes.iter().rev());
        let more = Moments::of(pairs.map(|(one, other)| one.cost() - other.cost()));
        let error = more.variance.map_or(f64::INFINITY, |v| (v / more.count as f64).sqrt());
        (more.mean, error)
    }

    fn mean(&self, of: impl Fn(&Outcome) -> f64) -> f64 {
        Moments::of(self.outcomes.iter().map(of).collect::<Vec<f64>>().iter().copied()).mean
    }
}

/// The chance of one round, a number after the other.
struct Dice {
    chance: Chance,
    rolled: u64,
}

impl Dice {
    fn uniform(&mut self) -> f64 {
        self.rolled += 1;
        self.chance.uniform(Channel::Choice, self.rolled, 0.0, 1.0)
    }
    fn below(&mut self, count: usize) -> usize {
        ((self.uniform() * count as f64) as usize).min(count - 1)
    }
    fn normal(&mut self, deviation: f64) -> f64 {
        self.rolled += 1;
        self.chance.normal(Channel::Choice, self.rolled, deviation)
    }
}

fn with(start: &Strategy, values: &[f64]) -> Result<Strategy, ConfigError> {
    let names = start.parameters.iter().map(|parameter| parameter.name.as_str());
    let named: Vec<(&str, f64)> = names.zip(values.iter().copied()).collect();
    start.with(&named)
}

/// Other values near the best: of some that came close to it a half first, then a few parameters by some steps.
fn drawn_near(start: &Strategy, best: &Candidate, close: &[Candidate], dice: &mut Dice) -> Option<Candidate> {
    for _ in 0..MOST_DRAWS {
        let mut values = best.values.clone();
        if !close.is_empty() && dice.uniform() < 0.5 {
            let other = &close[dice.below(close.len())];
            for (value, its) in values.iter_mut().zip(&other.values) {
                if dice.uniform() < 0.5 {
                    *value = *its;
                }
            }
        }
        for _ in 0..=dice.below(MOST_CHANGES) {
            let at = dice.below(values.len());
            let parameter = &start.parameters[at];
            let steps = dice.normal(REACH * (parameter.high - parameter.low) / parameter.step);
            let steps = steps.signum() * steps.abs().round().max(1.0);
            let value = (values[at] + steps * parameter.step).clamp(parameter.low, parameter.high);
            // As somebody would write it.
            values[at] = (value * 1e6).round() / 1e6;
        }
        if values == best.values {
            continue;
        }
        if let Ok(strategy) = with(start, &values) {
            return Some(Candidate {
                values,
                strategy: Arc::new(strategy),
                outcomes: Vec::new(),
            });
        }
    }
    None
}

/// The parameters that are not as they were, as a file has them.
fn changes(start: &Strategy, values: &[f64]) -> String {
    let pairs = start.parameters.iter().zip(values);
    let changed: Vec<String> = pairs
        .filter(|(parameter, value)| parameter.value != **value)
        .map(|(parameter, value)| format!("{} = {value}", parameter.name))
        .collect();
    if changed.is_empty() {
        "as at the start".to_string()
    } else {
        changed.join(", ")
    }
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
         # --candidates {} --engines {} --unseen {}`: on seeds {TRAINING_SEED} to {}.\n\
         # On engines that it never saw it costs, against `{of}`,\n\
         # {said}.\n\n\
         name = \"{name}\"\n\
         summary = \"the rules of {of}, with the numbers that a search found to cost least\"\n",
        options.seed,
        options.rounds,
        options.candidates,
        options.engines,
        options.unseen,
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
    let scenarios: Vec<Scenario> = read.filter(ordinary).collect();
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
