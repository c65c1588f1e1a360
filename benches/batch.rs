//! What practices in batch cost: a revolution of one after the other and abreast, in the same run, and the draw of a hidden engine.
//! `cargo bench --bench batch -- --seeds 4 --abreast 10 --only lesson-1 --alone` (or `--lanes`: only that).

use std::hint::black_box;
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::batch::playing::{End, Practice, Tuner, play};
use needlebench::tuning::episode::{Episode, Refusal};
use needlebench::tuning::scenario::{Scenario, source};
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::{Sight, act, coach};

/// The coach, after turns of somebody else's: so practices of one engine differ from the start.
#[derive(Clone, Debug)]
struct Astray {
    first: Vec<Action>,
    coach: Follower,
}

impl Astray {
    fn new(coach: Follower, index: usize) -> Self {
        let turns = |part: usize, of: usize| (part % of) as f64 / 24.0;
        let turn = |screw, turns| Action::Turn { screw, turns };
        let first = vec![
            turn(Screw::High, turns(index, 5)),
            turn(Screw::Low, turns(index, 3)),
            Action::Wait {
                ms: 100 * (index % 7) as u32,
            },
        ];
        Self { first, coach }
    }
}

impl Tuner for Astray {
    fn next(&mut self) -> Result<Action, End> {
        self.first.pop().map_or_else(|| Tuner::next(&mut self.coach), Ok)
    }
    fn did(&mut self, action: &Action, sight: &Sight) {
        Tuner::did(&mut self.coach, action, sight);
    }
    fn refused(&mut self, action: &Action, refusal: Refusal) {
        Tuner::refused(&mut self.coach, action, refusal);
    }
}

/// Plays a practice alone, action by action.
fn alone_to_its_end(practice: &mut Practice<Astray>) {
    let (episode, tuner) = (&mut practice.episode, &mut practice.tuner);
    let before = episode.revolutions();
    while let Ok(action) = tuner.next() {
        practice.actions += 1;
        match act(episode, &action) {
            Ok(sight) if sight.ended.is_some() => break,
            Ok(sight) => tuner.did(&action, &sight),
            Err(refusal) => tuner.refused(&action, refusal),
        }
    }
    practice.revolutions = episode.revolutions() - before;
}

/// Time of this thread on a core, where the system tells it: others on the machine don't count.
fn core_time() -> Duration {
    static BEGAN: OnceLock<Instant> = OnceLock::new();
    let told = std::fs::read_to_string("/proc/thread-self/schedstat");
    let ns = told.ok().and_then(|text| text.split(' ').next()?.parse().ok());
    ns.map_or_else(|| BEGAN.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}

struct Options {
    seeds: u64,
    abreast: usize,
    only: Option<String>,
    alone: bool,
    lanes: bool,
}

fn options() -> Options {
    let mut options = Options {
        seeds: 3,
        abreast: 10,
        only: None,
        alone: true,
        lanes: true,
    };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().unwrap_or_default();
        match argument.as_str() {
            "--seeds" => options.seeds = value().parse().unwrap_or(3),
            "--abreast" => options.abreast = value().parse().unwrap_or(10),
            "--only" => options.only = Some(value()),
            "--alone" => options.lanes = false,
            "--lanes" => options.alone = false,
            _ => {}
        }
    }
    options
}

/// What was played one way.
#[derive(Default)]
struct Cost {
    time: Duration,
    revolutions: u64,
    actions: u32,
    practices: usize,
}

impl Cost {
    fn add(&mut self, practices: &mut [Practice<Astray>], play: impl FnOnce(&mut [Practice<Astray>])) {
        let began = core_time();
        play(practices);
        self.time += core_time() - began;
        self.revolutions += practices.iter().map(|p| p.revolutions).sum::<u64>();
        self.actions += practices.iter().map(|p| p.actions).sum::<u32>();
        self.practices += practices.len();
    }
    fn ns(&self) -> f64 {
        self.time.as_secs_f64() * 1e9 / self.revolutions.max(1) as f64
    }
    fn tell(&self, how: &str) {
        let each = |total: f64| total / self.practices.max(1) as f64;
        println!(
            "  {how}: {:.1} ns a revolution, {:.1} ms a practice of {:.0} revolutions and {:.0} actions",
            self.ns(),
            each(1e3 * self.time.as_secs_f64()),
            each(self.revolutions as f64),
            each(f64::from(self.actions)),
        );
    }
}

fn main() {
    let options = options();
    // All on this thread, whose time is counted.
    if let Err(error) = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .use_current_thread()
        .build_global()
    {
        return println!("{error}");
    }
    let coach = match coach() {
        Ok(coach) => coach,
        Err(error) => return println!("{error}"),
    };
    for name in ["lesson-1", "club-day", "weekend"] {
        if options.only.as_ref().is_some_and(|only| only != name) {
            continue;
        }
        let scenario = match source(name).and_then(|s| Scenario::read(&s)) {
            Ok(scenario) => scenario,
            Err(error) => return println!("{error}"),
        };
        let (mut alone, mut abreast) = (Cost::default(), Cost::default());
        let (mut drawing, mut draws, mut checking) = (Duration::ZERO, 0, [Duration::ZERO; 2]);
        for seed in 1..=options.seeds {
            let began = core_time();
            let Ok(fresh) = Episode::reset(&scenario, seed, 0) else {
                continue;
            };
            drawing += core_time() - began;
            draws += 1;
            let hidden = &fresh.hidden;
            for (count, time) in [2, 2 * options.abreast].into_iter().zip(&mut checking) {
                let began = core_time();
                let settings = vec![hidden.start; count];
                black_box(hidden.judging.check_all(&hidden.setup, &settings));
                *time += (core_time() - began) * 2 / count as u32;
            }
            let practices: Vec<_> = (0..options.abreast)
                .map(|i| {
                    let follower = Follower::new(Arc::clone(&coach), scenario.limits, fresh.chance());
                    Practice::new(fresh.clone(), Astray::new(follower, i))
                })
                .collect();
            if options.alone {
                alone.add(&mut practices.clone(), |practices| {
                    practices.iter_mut().for_each(alone_to_its_end);
                });
            }
            if options.lanes {
                abreast.add(&mut practices.clone(), play);
            }
        }
        let ms = |time: Duration| 1e3 * time.as_secs_f64() / f64::from(draws);
        println!(
            "{name}: draw {:.0} ms, a sign-off's checks {:.1} ms alone, {:.1} ms together",
            ms(drawing),
            ms(checking[0]),
            ms(checking[1])
        );
        if options.alone {
            alone.tell("one after the other");
        }
        if options.lanes {
            abreast.tell("abreast");
        }
        if options.alone && options.lanes {
            println!("  {:.2} times as fast abreast", alone.ns() / abreast.ns());
        }
    }
}
