//! How long a tank lasts: laps driven on the track from a full tank until it runs dry, at the setting and at needles leaner and richer
//! beside it, with what that costs in temperature and wear, and with what is not known of the jug.
//!
//! The spread is of engines whose owner has tuned them by ear on whatever is in the jug: to the same mixture, not to the same opening.

use rayon::prelude::*;
use serde::Serialize;

use super::change::{Known, Place, Set, unknown};
use crate::bench::checks::{CheckName, Failed, Limits};
use crate::bench::manoeuvre::{Manoeuvre, Segment, table};
use crate::bench::player::{Now, Observer, Play, Stand, Unseen, play};
use crate::bench::rig;
use crate::config::EngineModel;
use crate::engine::params::Setting;
use crate::engine::state::{Load, Revolution, State};
use crate::engine::{Engine, Setup};
use crate::fluids::equilibrium::EquilibriumError;
use crate::tuning::judging::off;
use crate::tuning::usual::Usual;
use crate::units::celsius_from_kelvin;

/// Laps before the tank is filled: head and crankcase have settled.
const LAPS_BEFORE: usize = 6;
/// As long as a tank is followed, s.
const LONGEST_S: f64 = 3600.0;
/// As many segments as are played at most: a tank that outlasts them is reckoned by what it had lost.
const MOST_SEGMENTS: usize = 100_000;
/// Seeds of noise whose tanks are driven.
const SEEDS: u64 = 4;
/// A click of the high-speed needle, turns, and the clicks that are tried to either side.
const CLICK: f64 = 1.0 / 24.0;
const CLICKS: i32 = 6;

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// The engine, what it runs on, and the weather.
    pub place: &'a Place,
    /// Where the screws stand.
    pub setting: Setting,
    /// One round of what the driver does.
    pub duty: &'a Manoeuvre,
    /// What nobody knows; what is before a change in them isn't looked at.
    pub sets: &'a [Set],
    /// Seed of the engine's noise.
    pub seed: u64,
}

/// A tank driven empty.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tank {
    /// Minutes it lasted; none of an engine that died with fuel left.
    pub minutes: Option<f64>,
    /// Hottest head on the way, °C.
    pub head_temperature_c: f64,
    /// Wear as a practice counts it, percent of what loses an engine: for comparing one tank with another.
    pub wear_percent: f64,
}

/// A tank with the high-speed needle somewhere else.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leaner {
    /// High-speed needle from where it stands, turns; out is positive.
    pub high_turns_from_here: f64,
    /// The tank.
    #[serde(flatten)]
    pub tank: Tank,
    /// What fails there; nothing is clean.
    pub failed: Failed,
}

/// The answer.
#[derive(Clone, Debug, Serialize)]
pub struct Range {
    /// Seed of the engine's noise.
    pub seed: u64,
    /// Where the screws stand.
    pub setting: Setting,
    /// Minutes that a tank lasts; none where the engine doesn't run.
    pub minutes_per_tank: Option<f64>,
    /// The least that it may, by noise and what is not known.
    pub low: Option<f64>,
    /// The most.
    pub high: Option<f64>,
    /// Fuel of a round of the duty, ml.
    pub fuel_per_lap_ml: Option<f64>,
    /// Rounds of the duty on a tank.
    pub laps_per_tank: Option<f64>,
    /// Length of a round, s.
    pub lap_s: f64,
    /// Volume of the tank, ml.
    pub tank_ml: f64,
    /// The tank at the setting.
    pub tank: Tank,
    /// What the spread counts, and no more.
    pub spread_covers: Vec<&'static str>,
    /// The same with the high-speed needle leaner and richer, leanest first.
    pub needles: Vec<Leaner>,
}

impl Range {
    /// Whether the least that a tank may last reaches this many minutes; none where nothing is known.
    pub fn reaches(&self, minutes: f64) -> Option<bool> {
        self.low.filter(|_| self.idles()).map(|low| low >= minutes)
    }

    /// Whether it idles at the setting: nobody drives a tank on one that does not, so nothing can be read from what it would last.
    pub fn idles(&self) -> bool {
        let here = self.needles.iter().find(|needle| needle.high_turns_from_here == 0.0);
        here.is_none_or(|here| !here.failed.unmeasured.contains(&CheckName::IdleSpeed))
    }

    /// The leanest needle that is clean, between which and here every one is.
    pub fn leanest_clean(&self) -> Option<&Leaner> {
        let leaner = self.needles.iter().filter(|n| n.high_turns_from_here <= 1e-9).rev();
        leaner.take_while(|n| n.failed.is_empty()).last()
    }
}

/// What counts as dry, as a share of the tank: the pick-up draws air.
const DRY_SHARE: f64 = 1e-4;

/// Watches a tank run dry.
#[derive(Clone, Copy, Debug)]
struct Gauge {
    /// When the tank was full, s, and what had been worn by then.
    began: f64,
    worn_before: f64,
    /// Fuel of a full tank, and below which it is dry, kg.
    full: f64,
    dry_at: Option<f64>,
    /// The last that was seen of the running engine.
    time: f64,
    left: f64,
    hottest: f64,
    worn: f64,
}

impl Gauge {
    fn new(from: &Stand, full: f64) -> Self {
        Self {
            began: from.state.time,
            worn_before: from.state.damage.total(),
            full,
            dry_at: None,
            time: from.state.time,
            left: full,
            hottest: from.state.head_temperature,
            worn: from.state.damage.total(),
        }
    }

    /// A tank that is not dry at the end of the play is reckoned by what it had lost.
    fn tank(&self, end: &Stand) -> Tank {
        let seconds = match self.dry_at {
            Some(time) => Some(time - self.began),
            None if end.state.speed > 0.0 && self.left < self.full => {
                Some((self.time - self.began) * self.full / (self.full - self.left))
            }
            None => None,
        };
        Tank {
            minutes: seconds.map(|s| s / 60.0),
            head_temperature_c: celsius_from_kelvin(self.hottest),
            wear_percent: 100.0 * (self.worn - self.worn_before),
        }
    }
}

impl Observer for Gauge {
    #[inline(always)]
    fn see(&mut self, _: &Now, r: &Revolution, state: &State) {
        if self.dry_at.is_some() || r.speed <= 0.0 {
            return;
        }
        self.time = state.time;
        self.left = state.tank_fuel;
        self.hottest = self.hottest.max(state.head_temperature);
        self.worn = state.damage.total();
        if state.tank_fuel <= DRY_SHARE * self.full {
            self.dry_at = Some(state.time);
        }
    }
}

/// Rounds of the duty on the track from a full tank, as long as the engine runs.
fn tankful(duty: &Manoeuvre) -> Manoeuvre {
    let wanted = (LONGEST_S / duty.longest_s().max(1e-3)).ceil() as usize;
    let rounds = wanted.min(MOST_SEGMENTS / duty.segments().len().max(1)).max(1);
    let end = rounds * duty.segments().len() + 1;
    let full = Segment::hold(0.0, 0.0).load(Load::Track).refuelled();
    let driven = std::iter::repeat_n(duty.segments(), rounds).flatten();
    let driven = driven.map(|segment| segment.load(Load::Track).skip_slow(0.0, end));
    std::iter::once(full).chain(driven).collect()
}

/// Tanks of one engine at many settings, each with the noise of its seed, side by side.
fn driven(setup: &Setup, duty: &Manoeuvre, cases: &[(Setting, u64)]) -> Vec<Tank> {
    let engine = Engine::new(setup);
    let before = cases.iter().map(|(setting, seed)| Play {
        from: rig::warm(&engine, *setting, *seed),
        manoeuvre: table::laps(LAPS_BEFORE),
        watch: Unseen,
    });
    let warm = play(&engine, before);
    let manoeuvre = tankful(duty);
    let full = engine.tank_capacity();
    let plays = warm.iter().map(|warm| Play {
        from: warm.end,
        manoeuvre: manoeuvre.clone(),
        watch: Gauge::new(&warm.end, full),
    });
    let played = play(&engine, plays.collect::<Vec<_>>());
    played.iter().map(|played| played.watch.tank(&played.end)).collect()
}

/// The same on all cores.
fn driven_on_all(setup: &Setup, duty: &Manoeuvre, cases: &[(Setting, u64)]) -> Vec<Tank> {
    let each = cases.len().div_ceil(rayon::current_num_threads().max(1)).max(1);
    cases
        .par_chunks(each)
        .flat_map_iter(|cases| driven(setup, duty, cases))
        .collect()
}

/// Drives the tanks.
///
/// # Errors
/// A fuel whose heat can't be computed.
pub fn range(question: &Question) -> Result<Range, EquilibriumError> {
    let Question {
        place,
        setting,
        duty,
        sets,
        seed,
    } = *question;
    let engine: &EngineModel = &place.usual.engine;
    let known = place.known()?;
    let setup = known.setup;
    let here = Usual {
        engine,
        setup: &setup,
        setting,
        limits: Limits::STANDARD,
        seed,
    };
    let offs: Vec<f64> = (-CLICKS..=CLICKS).map(|k| f64::from(k) * CLICK).collect();
    let beside: Vec<Setting> = offs.iter().map(|turns| off(setting, [*turns, 0.0, 0.0])).collect();
    let seeds = (0..SEEDS).map(|k| (setting, seed.wrapping_add(k)));
    let cases: Vec<(Setting, u64)> = seeds.chain(beside.iter().map(|setting| (*setting, seed))).collect();
    let (mut tanks, reports) = rayon::join(
        || driven_on_all(&setup, duty, &cases),
        || here.judging_as_checked(&setup).check_all(&setup, &beside),
    );
    let needles = tanks.split_off(SEEDS as usize);
    let tank = tanks[0];
    let spread = tank.minutes.map(|minutes| {
        let noise = tanks.iter().filter_map(|tank| tank.minutes);
        let others = of_sets(&here, &known, duty, sets, minutes);
        let off = noise
            .map(|other| other - minutes)
            .fold([0.0_f64; 2], |[less, more], off| [less.min(off), more.max(off)]);
        // The owner's needle stands a click to either side of where it is thought to.
        let click = [1, -1].map(|k| {
            let beside = needles.get((CLICKS + k) as usize).and_then(|tank| tank.minutes);
            beside.map_or(0.0, |other| other - minutes)
        });
        let click = [click[0].min(click[1]).min(0.0), click[0].max(click[1]).max(0.0)];
        unknown::together([off, click].into_iter().chain(others))
    });
    let per_lap = tank.minutes.map(|minutes| duty.longest_s() / (60.0 * minutes));
    let tank_ml = setup.engine.tank.volume_ml;
    let mut spread_covers: Vec<&'static str> = sets.iter().map(|set| set.cause.covers()).collect();
    spread_covers.extend(["noise", "a click of the high-speed needle"]);
    spread_covers.sort_unstable();
    spread_covers.dedup();
    Ok(Range {
        seed,
        setting,
        minutes_per_tank: tank.minutes,
        low: tank.minutes.zip(spread).map(|(minutes, [less, _])| minutes + less),
        high: tank.minutes.zip(spread).map(|(minutes, [_, more])| minutes + more),
        fuel_per_lap_ml: per_lap.map(|share| share * tank_ml),
        laps_per_tank: per_lap.map(f64::recip),
        lap_s: duty.longest_s(),
        tank_ml,
        tank,
        spread_covers,
        needles: offs
            .into_iter()
            .zip(needles)
            .zip(reports)
            .map(|((high_turns_from_here, tank), report)| Leaner {
                high_turns_from_here,
                tank,
                failed: report.failing(),
            })
            .collect(),
    })
}

/// By how many minutes each cause makes a tank last less and more, the needles moved as far as its mixture asks for.
fn of_sets(here: &Usual, known: &Known, duty: &Manoeuvre, sets: &[Set], minutes: f64) -> Vec<[f64; 2]> {
    let usual = |known: &Known| {
        let day = Usual {
            setup: &known.usual,
            setting: here.engine.reference,
            ..*here
        };
        day.same_on(&known.setup)
    };
    let nominal = usual(known);
    let found: Vec<_> = sets
        .par_iter()
        .filter_map(|set| {
            let Known { setup, .. } = set.to?;
            let same = usual(&set.to?);
            let turns = [
                same.high_turns - nominal.high_turns,
                same.low_turns - nominal.low_turns,
                0.0,
            ];
            let tank = driven(&setup, duty, &[(off(here.setting, turns), here.seed)]).swap_remove(0);
            tank.minutes.map(|other| (set.cause, other - minutes))
        })
        .collect();
    let mut causes: Vec<(unknown::Cause, [f64; 2])> = Vec::new();
    for (cause, off) in found {
        match causes.iter_mut().find(|(known, _)| *known == cause) {
            Some((_, [less, more])) => (*less, *more) = (less.min(off), more.max(off)),
            None => causes.push((cause, [off.min(0.0), off.max(0.0)])),
        }
    }
    causes.into_iter().map(|(_, off)| off).collect()
}
