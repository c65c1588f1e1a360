//! By which paths a turn of a screw does what it does: the same manoeuvre once as it was, noted link by link, then turned, with every
//! set of paths held at what passed before, and what each path adds, averaged over all orders ([`shapley`]). Beside it the chain itself:
//! how far metering, film, mixture, burn, work, speed and heat move.

mod holding;
mod path;
pub mod shapley;

use rayon::prelude::*;

pub use path::Path;
use path::{PATHS, links_of};

use self::holding::{Holding, Noting, Past};
use super::effects::{CONFIDENCE, Turn};
use crate::bench::manoeuvre::table::{self, Waits};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment};
use crate::bench::measures::Mean;
use crate::bench::player::{Now, Observer, Pace, Player};
use crate::bench::rig;
use crate::engine::links::{Link, Links};
use crate::engine::params::Setting;
use crate::engine::state::{Revolution, State};
use crate::engine::{Engine, Run, Setup};
use crate::stats::{Interval, Moments};
use crate::units::{celsius_from_kelvin, mg_from_kilogram, rpm_from_rev_per_second};

/// What is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The settled idle's speed, rpm.
    Idle,
    /// How far the speed is above the settled idle from one to two seconds after a burst, rpm: hang and drop.
    AfterBurst,
}

impl Outcome {
    /// Its key in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::Idle => "idle_rpm",
            Self::AfterBurst => "excess_after_burst_rpm",
        }
    }

    /// What hands do.
    fn manoeuvre(self) -> Manoeuvre {
        let settle = table::settle(&Waits::STANDARD);
        match self {
            Self::Idle => settle,
            Self::AfterBurst => settle.then(&Manoeuvre::from([
                Segment::hold(1.0, Waits::STANDARD.burst_s),
                Segment::hold(0.0, AFTER_S[1]).mark(Mark::Return),
            ])),
        }
    }
}

/// When the speed after a burst is looked at, s after shutting.
const AFTER_S: [f64; 2] = [1.0, 2.0];

/// A station of the chain from the needle to the heat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Station {
    /// Mixture that the carburettor meters, equivalence ratio.
    Metering,
    /// Fuel on the crankcase's walls, mg.
    Film,
    /// Mixture in the cylinder, equivalence ratio.
    Mixture,
    /// Share of the charge that burns, percent.
    Firing,
    /// How early it burns, degrees.
    Phase,
    /// Work of the gas in a revolution, mJ.
    Work,
    /// Speed, rpm.
    Speed,
    /// The piston's crown, °C.
    Heat,
}

impl Station {
    /// All of them, from the needle to the heat.
    pub const ALL: [Self; 8] = [
        Self::Metering,
        Self::Film,
        Self::Mixture,
        Self::Firing,
        Self::Phase,
        Self::Work,
        Self::Speed,
        Self::Heat,
    ];
}

/// Means at every station.
#[derive(Clone, Copy, Debug, Default)]
struct Means([Mean; 8]);

impl Means {
    #[inline(always)]
    fn add(&mut self, r: &Revolution, state: &State) {
        let values = [
            r.metered_equivalence_ratio,
            mg_from_kilogram(state.film_fuel),
            r.equivalence_ratio,
            100.0 * r.burnt_share,
            r.phase_error_deg,
            1e3 * r.indicated_work,
            rpm_from_rev_per_second(r.speed),
            celsius_from_kelvin(state.crown_temperature),
        ];
        for (mean, value) in self.0.iter_mut().zip(values) {
            mean.add(value, r.duration);
        }
    }

    fn value(&self, station: Station) -> Option<f64> {
        self.0[station as usize].value()
    }
}

/// Watches the settled idle and what comes after a burst.
#[derive(Clone, Copy, Debug, Default)]
struct Eyes {
    settled: Means,
    /// The same as `measures::Idle` has it: speeds over tenths of a second.
    tenths: (f64, f64, f64, f64),
    after: Means,
    stalled: bool,
}

impl Observer for Eyes {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        match now.mark {
            Mark::Watch => {
                self.settled.add(r, state);
                let (turned, since, sum, count) = &mut self.tenths;
                *turned += 1.0;
                *since += r.duration;
                if *since >= 0.1 {
                    *sum += rpm_from_rev_per_second(*turned / *since);
                    *count += 1.0;
                    (*turned, *since) = (0.0, 0.0);
                }
            }
            Mark::Return if now.seconds >= AFTER_S[0] => self.after.add(r, state),
            _ => {}
        }
        self.stalled |= r.speed <= 0.0;
    }
}

impl Eyes {
    /// The outcome; none of an engine that died.
    fn outcome(&self, outcome: Outcome) -> Option<f64> {
        let (_, _, sum, count) = self.tenths;
        let settled = (count > 0.0 && !self.stalled).then(|| sum / count)?;
        match outcome {
            Outcome::Idle => Some(settled),
            Outcome::AfterBurst => Some(self.after.value(Station::Speed)? - self.settled.value(Station::Speed)?),
        }
    }

    /// Means at a station, where the outcome is looked at.
    fn station(&self, outcome: Outcome, station: Station) -> Option<f64> {
        match outcome {
            Outcome::Idle => self.settled.value(station),
            Outcome::AfterBurst => self.after.value(station),
        }
    }
}

/// A turn, and what of it is to be explained.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Action {
    /// The turn.
    pub turn: Turn,
    /// The outcome.
    pub outcome: Outcome,
}

/// A value with its interval over the seeds.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Found {
    /// Its mean.
    pub mean: f64,
    /// Its interval, of chance; none of a single seed.
    pub interval: Option<Interval>,
}

impl Found {
    fn of(values: &[f64]) -> Self {
        let moments = Moments::of(values.iter().copied());
        Self {
            mean: moments.mean,
            interval: moments.interval(CONFIDENCE),
        }
    }

    /// Whether chance does not explain it.
    pub fn is_sure(&self) -> bool {
        self.interval
            .is_some_and(|interval| interval.low > 0.0 || interval.high < 0.0)
    }
}

/// What a path adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// The path; none for what is left with all of them held: mass of charge and fuel, friction.
    pub path: Option<Path>,
    /// What it adds to the outcome.
    pub change: Found,
    /// The same as a share of the whole; none where the whole can't be told from nothing.
    pub share: Option<f64>,
}

/// How a station of the chain moves.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Moved {
    /// Which.
    pub station: Station,
    /// Before the turn.
    pub before: f64,
    /// After it.
    pub after: f64,
}

/// Why a turn does what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Causes {
    /// The turn and the outcome.
    pub action: Action,
    /// The outcome before it, mean of the seeds.
    pub before: f64,
    /// What the turn changes of it.
    pub whole: Found,
    /// What is left of the change where the film gives what it gave before, a share of the whole: the trunk carries it all.
    pub past_film: Option<f64>,
    /// What each path adds; they sum to the whole.
    pub parts: Vec<Part>,
    /// The chain.
    pub chain: Vec<Moved>,
}

/// What one seed shows.
struct Seen {
    before: Eyes,
    /// The outcome with each set of paths let go.
    value: Vec<f64>,
    after: Eyes,
    film_held: f64,
}

/// Explains a turn from a setting by runs with each of the seeds; none where the screw can't be turned so far, or the engine dies in
/// one of the runs with every seed.
pub fn causes(setup: &Setup, setting: Setting, action: Action, seeds: &[u64]) -> Option<Causes> {
    let turned = action.turn.from(setting)?;
    let engine = Engine::new(setup);
    let seen: Vec<Seen> = seeds
        .par_iter()
        .filter_map(|seed| seen(&engine, [setting, turned], action.outcome, *seed))
        .collect();
    if seen.is_empty() {
        return None;
    }
    let all = (1 << PATHS) - 1;
    let of = |value: &dyn Fn(&Seen) -> f64| seen.iter().map(value).collect::<Vec<f64>>();
    let before = |seen: &Seen| seen.before.outcome(action.outcome).unwrap_or(f64::NAN);
    let whole = Found::of(&of(&|seen| seen.value[all] - before(seen)));
    let share = |part: f64| whole.is_sure().then(|| part / whole.mean);
    let part = |path: Option<Path>, values: Vec<f64>| {
        let change = Found::of(&values);
        Part {
            path,
            change,
            share: share(change.mean),
        }
    };
    let shapley: Vec<Vec<f64>> = seen.iter().map(|seen| shapley::shares(PATHS, &seen.value)).collect();
    let mut parts: Vec<Part> = Path::ALL
        .iter()
        .enumerate()
        .map(|(k, path)| part(Some(*path), shapley.iter().map(|shares| shares[k]).collect()))
        .collect();
    parts.push(part(None, of(&|seen| seen.value[0] - before(seen))));
    let mean = |eyes: &dyn Fn(&Seen) -> Eyes, station| {
        let values = seen
            .iter()
            .filter_map(|seen| eyes(seen).station(action.outcome, station));
        Moments::of(values.collect::<Vec<_>>()).mean
    };
    Some(Causes {
        action,
        before: Found::of(&of(&before)).mean,
        whole,
        past_film: share(Found::of(&of(&|seen| seen.film_held - before(seen))).mean),
        parts,
        chain: Station::ALL
            .iter()
            .map(|station| Moved {
                station: *station,
                before: mean(&|seen| seen.before, *station),
                after: mean(&|seen| seen.after, *station),
            })
            .collect(),
    })
}

/// What one seed shows; none where the engine dies in one of the runs.
fn seen(engine: &Engine, [before, after]: [Setting; 2], outcome: Outcome, seed: u64) -> Option<Seen> {
    let manoeuvre = outcome.manoeuvre();
    let player = || Player::new(engine, &manoeuvre, Pace::Own, Eyes::default());
    let stand = |setting| rig::warm(engine, setting, seed);
    let mut noted = [stand(before).with(Noting::new(player()))];
    engine.play(&mut noted);
    let [noted] = noted;
    let (before, past): (Eyes, Past) = noted.hands.parted();
    before.outcome(outcome)?;
    // Paths that are not let go are held; last of all, the film alone.
    let sets = (0..1 << PATHS).map(|free: usize| links_of(!free));
    let sets = sets.chain([Links::NONE.and(Link::FilmToCylinder)]);
    let mut runs: Vec<Run<Holding<Eyes>>> = sets
        .map(|links| stand(after).with(Holding::new(player(), links, &past)))
        .collect();
    engine.play(&mut runs);
    let eyes: Vec<Eyes> = runs.into_iter().map(|run| run.hands.watched()).collect();
    let mut value = eyes
        .iter()
        .map(|eyes| eyes.outcome(outcome))
        .collect::<Option<Vec<f64>>>()?;
    let film_held = value.pop()?;
    Some(Seen {
        before,
        value,
        after: eyes[(1 << PATHS) - 1],
        film_held,
    })
}
