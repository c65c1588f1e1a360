//! What somebody has seen who has tuned a dozen engines in this situation: for each how the round of tests comes out with the screws off
//! the true setting by so much, and where it is clean. Drawn and played once, in lanes.

use rayon::prelude::*;

use super::CLICKS;
use super::alike::Alike;
use super::axis::Axis;
use super::signs::{Round, Signs};
use crate::bench::checks::Limits;
use crate::engine::params::Setting;
use crate::tuning::action::Action;
use crate::tuning::batch::playing::{End, Practice, Tuner, play};
use crate::tuning::drawn::Drawn;
use crate::tuning::episode::{Episode, Refusal};
use crate::tuning::hidden::HiddenError;
use crate::tuning::human::Skill;
use crate::tuning::scenario::Scenario;
use crate::tuning::strategy::Sight;

/// Seed of its engines: no study's, whose seeds are at most 2^53.
pub(super) const SEED: u64 = u64::MAX;

/// How large a library is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// Engines.
    pub engines: u64,
    /// Beliefs at the beginning.
    pub beliefs: usize,
}

impl Extent {
    /// What studies use.
    pub const STANDARD: Self = Self {
        engines: 12,
        beliefs: 3000,
    };
}

/// Places at which the round is played, clicks off the true setting.
const HIGH: &[f64] = &[-16.0, -9.0, -5.0, -2.0, 1.0, 4.0, 8.0, 13.0, 20.0];
const LOW: &[f64] = &[-12.0, -7.0, -4.0, -2.0, 0.0, 2.0, 4.0, 7.0, 12.0];
const IDLE: &[f64] = &[-28.0, -12.0, 0.0, 12.0, 28.0];
/// Places at which it is asked whether the setting is clean: every click of the needles.
const CLEAN_HIGH: [i32; 2] = [-6, 6];
const CLEAN_LOW: [i32; 2] = [-4, 4];
/// And with the idle stop so many clicks off; in between in straight lines, and to nothing as far beyond the outermost.
const CLEAN_IDLE: [f64; 3] = [-9.0, 0.0, 9.0];
/// What a setting counts for how likely it is clean, beside the four that are a click of a needle off: no two engines are quite alike
/// (assumed).
const SAME: f64 = 0.5;

/// Places along the three screws, clicks off the true setting.
pub type Places = [&'static [f64]; 3];

/// How the round of tests comes out for one engine, at places along its screws.
#[derive(Clone, Debug)]
pub struct Played {
    /// The places of high, low and idle.
    axes: [Axis; 3],
    /// Signs by places, the last screw fastest.
    pub signs: Vec<Signs>,
}

/// One engine of it.
#[derive(Clone, Debug)]
pub struct Known {
    /// What it shows.
    pub played: Played,
    /// How likely an engine like it is clean, by clicks of high and low and places of the idle stop, the last fastest.
    clean: Vec<f64>,
}

/// The library of one situation.
#[derive(Clone, Debug)]
pub struct Library {
    engines: Vec<Known>,
    /// How alike they are.
    pub alike: Alike,
    /// Beliefs at the beginning: an engine, and how far its screws start from the true setting, turns.
    pub beliefs: Vec<(usize, [f64; 3])>,
}

impl Library {
    /// Draws its engines and plays them. Starts that a practice would not have are left out by the beliefs' own account: they show
    /// what no practice shows.
    ///
    /// # Errors
    /// A model that can't be used, or none of so many engines that makes a practice.
    pub fn learnt(scenario: &Scenario, extent: Extent) -> Result<Self, HiddenError> {
        let drawn: Vec<Result<Episode, HiddenError>> = (0..extent.engines)
            .into_par_iter()
            .map(|number| Episode::reset_for(scenario, SEED, number, Skill::Club))
            .collect();
        let mut fresh = Vec::new();
        let mut first = None;
        for episode in drawn {
            match episode {
                Ok(episode) => fresh.push(episode),
                Err(error) => first = first.or(Some(error)),
            }
        }
        if let (true, Some(error)) = (fresh.is_empty(), first) {
            return Err(error);
        }
        let engines: Vec<Known> = fresh
            .par_iter()
            .map(|episode| known(episode, scenario.limits))
            .collect();
        let count = engines.len();
        let starts = |engine: usize| Drawn::starts(scenario, SEED, engine as u64);
        let beliefs = (0..count)
            .flat_map(|engine| {
                starts(engine)
                    .take(extent.beliefs / count)
                    .map(move |off| (engine, off))
            })
            .collect();
        let signs: Vec<&[Signs]> = engines.iter().map(|engine| engine.played.signs.as_slice()).collect();
        Ok(Self {
            alike: Alike::counted(&signs),
            engines,
            beliefs,
        })
    }

    /// What an engine shows.
    pub fn shown(&self, engine: usize) -> &Played {
        &self.engines[engine].played
    }

    /// How likely an engine like this one is clean so many turns off its true setting; not beyond the outermost places that were tried.
    pub fn clean(&self, engine: usize, [high, low, idle]: [f64; 3]) -> f64 {
        let (Some(high), Some(low)) = (place(high * CLICKS, CLEAN_HIGH), place(low * CLICKS, CLEAN_LOW)) else {
            return 0.0;
        };
        let at = |third: f64| match third {
            third if (0.0..=2.0).contains(&third) => self.engines[engine].clean[index(high, low, third as usize)],
            _ => 0.0,
        };
        let apart = CLEAN_IDLE[1] - CLEAN_IDLE[0];
        let third = (idle * CLICKS - CLEAN_IDLE[0]) / apart;
        let share = third - third.floor();
        (1.0 - share) * at(third.floor()) + share * at(third.floor() + 1.0)
    }
}

/// The place of so many clicks; none beyond the outermost.
fn place(clicks: f64, [least, most]: [i32; 2]) -> Option<usize> {
    let click = clicks.round() as i32;
    (least..=most).contains(&click).then(|| (click - least) as usize)
}

/// Where a place stands in the list.
fn index(high: usize, low: usize, third: usize) -> usize {
    let wide = (CLEAN_LOW[1] - CLEAN_LOW[0] + 1) as usize;
    (high * wide + low) * CLEAN_IDLE.len() + third
}

/// How likely engines like one are clean that is clean at these places.
fn blurred(clean: &[bool]) -> Vec<f64> {
    let is = |high: i32, low: i32, third: usize| {
        let (high, low) = (place(f64::from(high), CLEAN_HIGH), place(f64::from(low), CLEAN_LOW));
        high.zip(low).is_some_and(|(high, low)| clean[index(high, low, third)])
    };
    let share = |high: i32, low: i32, third: usize| {
        let beside = [(high - 1, low), (high + 1, low), (high, low - 1), (high, low + 1)];
        let beside = beside.iter().filter(|(high, low)| is(*high, *low, third)).count() as f64 / 4.0;
        SAME * f64::from(u8::from(is(high, low, third))) + (1.0 - SAME) * beside
    };
    let clicks = |[least, most]: [i32; 2]| least..=most;
    clicks(CLEAN_HIGH)
        .flat_map(|high| clicks(CLEAN_LOW).map(move |low| (high, low)))
        .flat_map(|(high, low)| [0, 1, 2].map(|third| share(high, low, third)))
        .collect()
}

/// Does one round and no more.
#[derive(Clone, Debug)]
struct OneRound(Round);

impl Tuner for OneRound {
    fn next(&mut self) -> Result<Action, End> {
        self.0.next().ok_or(End::NothingProposed)
    }
    fn did(&mut self, action: &Action, sight: &Sight) {
        self.0.did(action, sight);
    }
    fn refused(&mut self, action: &Action, _: Refusal) {
        self.0.refused(action);
    }
}

/// So many clicks off an engine's true setting.
fn off(fresh: &Episode, clicks: [f64; 3]) -> Setting {
    let truth = fresh.hidden.truth;
    Setting {
        high_turns: truth.high_turns + clicks[0] / CLICKS,
        low_turns: truth.low_turns + clicks[1] / CLICKS,
        idle_turns: truth.idle_turns + clicks[2] / CLICKS,
    }
}

/// What the round of tests shows of practices as they start.
pub fn shown(fresh: Vec<Episode>, limits: Limits) -> Vec<Signs> {
    let round = || OneRound(Round::whole(limits));
    let mut practices: Vec<Practice<OneRound>> = fresh
        .into_iter()
        .map(|episode| Practice::new(episode, round()))
        .collect();
    play(&mut practices);
    practices.iter().map(|practice| practice.tuner.0.signs()).collect()
}

impl Played {
    /// Plays the round at all places, in lanes.
    pub fn at(fresh: &Episode, limits: Limits, places: Places) -> Self {
        let [highs, lows, idles] = places;
        let each = highs.iter().flat_map(|high| {
            lows.iter()
                .flat_map(move |low| idles.iter().map(move |idle| [*high, *low, *idle]))
        });
        Self {
            axes: places.map(Axis::of),
            signs: shown(each.map(|place| fresh.starting_at(off(fresh, place))).collect(), limits),
        }
    }

    /// What it shows at a place.
    pub fn at_place(&self, [high, low, idle]: [usize; 3]) -> &Signs {
        &self.signs[(high * self.axes[1].len() + low) * self.axes[2].len() + idle]
    }

    /// What it shows at the place that is nearest to so many turns off.
    pub fn nearest(&self, off: [f64; 3]) -> &Signs {
        self.at_place([0, 1, 2].map(|screw| self.axes[screw].nearest(off[screw])))
    }

    /// What it shows at the places around so many turns off, each with its share.
    pub fn around(&self, off: [f64; 3]) -> Vec<(&Signs, f64)> {
        let around = [0, 1, 2].map(|screw| self.axes[screw].around(off[screw]));
        let corners = (0..8_usize).map(|corner| {
            let side = [0, 1, 2].map(|screw| corner >> screw & 1);
            let shares = [0, 1, 2].map(|screw| [1.0 - around[screw].1, around[screw].1][side[screw]]);
            (
                self.at_place([0, 1, 2].map(|screw| around[screw].0[side[screw]])),
                shares.iter().product(),
            )
        });
        corners.filter(|(_, share)| *share > 0.0).collect()
    }
}

fn known(fresh: &Episode, limits: Limits) -> Known {
    let hidden = &fresh.hidden;
    let clicks = |[least, most]: [i32; 2]| least..=most;
    let needles = clicks(CLEAN_HIGH).flat_map(|high| clicks(CLEAN_LOW).map(move |low| [high, low].map(f64::from)));
    let settings: Vec<Setting> = needles
        .flat_map(|[high, low]| CLEAN_IDLE.map(|idle| off(fresh, [high, low, idle])))
        .collect();
    let reports = hidden.judging.check_all(&hidden.sound, &settings);
    let clean: Vec<bool> = reports.iter().map(|report| report.clean).collect();
    Known {
        played: Played::at(fresh, limits, [HIGH, LOW, IDLE]),
        clean: blurred(&clean),
    }
}
