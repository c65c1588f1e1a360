//! What a small turn of one screw does to every symptom of a sign-off, at any setting: the same engine with the same chance, turned and
//! not turned, many times over. Chance that both share drops out of their difference; what is left of it makes the interval. The same
//! over other sets of constants that the engine may have gives the spread of not knowing them.

use rayon::prelude::*;

use super::symptom::Symptom;
use crate::bench::checks::{self, Facts, Limits, Symptoms};
use crate::bench::manoeuvre::table::Waits;
use crate::config::EngineModel;
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup};
use crate::stats::{Moments, quantile};
use crate::tuning::action::Screw;

/// How far a screw is turned.
pub const TURNS: f64 = 1.0 / 8.0;
/// Seeds of noise that an effect is measured with: an idle that skips fires is nearly chaotic.
pub const SEEDS: u64 = 16;
/// Confidence of the intervals.
pub const CONFIDENCE: f64 = 0.95;
/// Shares of the sets of constants that lie below and above a spread.
const SPREAD: [f64; 2] = [0.05, 0.95];

/// An engine with one set of constants, in today's air on today's fuel.
#[derive(Clone, Copy, Debug)]
pub struct Model<'a> {
    /// What it is derived from.
    pub setup: &'a Setup,
    /// What checks must know of it.
    pub facts: Facts,
}

/// A screw turned by so much from where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Which.
    pub screw: Screw,
    /// Turns: for a needle richer, for the idle stop faster.
    pub by: f64,
}

impl Turn {
    /// In and out on every screw.
    pub fn all() -> [Self; 6] {
        let [high, low, idle] = Screw::ALL;
        [
            (high, -TURNS),
            (high, TURNS),
            (low, -TURNS),
            (low, TURNS),
            (idle, -TURNS),
            (idle, TURNS),
        ]
        .map(|(screw, by)| Self { screw, by })
    }

    /// The setting after it; none where the screw has come to its end before.
    pub fn from(self, setting: Setting) -> Option<Setting> {
        let most = EngineModel::MOST_OPEN;
        let mut turned = setting;
        let (place, most) = match self.screw {
            Screw::High => (&mut turned.high_turns, most.high_turns),
            Screw::Low => (&mut turned.low_turns, most.low_turns),
            Screw::Idle => (&mut turned.idle_turns, most.idle_turns),
        };
        *place += self.by;
        (0.0..=most).contains(place).then_some(turned)
    }
}

/// What was found with one seed: at the setting, and after each turn that can be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// At the setting.
    pub at: Symptoms,
    /// After each of [`Turn::all`].
    pub turned: [Option<Symptoms>; 6],
}

/// Signs an engine off at a setting and after every turn, once with each seed, on as many cores as there are.
pub fn pairs(model: &Model, setting: Setting, seeds: &[u64]) -> Vec<Pair> {
    let engine = Engine::new(model.setup);
    let abreast = seeds.len().div_ceil(rayon::current_num_threads()).max(1);
    seeds
        .par_chunks(abreast)
        .flat_map_iter(|seeds| pairs_of(model, engine, setting, seeds))
        .collect()
}

fn pairs_of(model: &Model, engine: Engine, setting: Setting, seeds: &[u64]) -> Vec<Pair> {
    let mut lab = checks::lab(engine, model.setup, model.facts, &Waits::STANDARD);
    let turned = Turn::all().map(|turn| turn.from(setting));
    let cases: Vec<_> = seeds
        .iter()
        .flat_map(|seed| {
            let settings = std::iter::once(setting).chain(turned.into_iter().flatten());
            settings.map(|setting| (setting, *seed)).collect::<Vec<_>>()
        })
        .map(|(setting, seed)| (lab.add_warm(setting, seed), setting, seed))
        .collect();
    // Which limits is all the same: only what was noticed is looked at.
    let reports = checks::check_in(&mut lab, &cases, model.setup, model.facts, &Limits::STANDARD);
    let mut found = reports.into_iter().map(|report| report.symptoms);
    seeds
        .iter()
        .filter_map(|_| {
            Some(Pair {
                at: found.next()?,
                turned: turned.map(|turned| turned.and_then(|_| found.next())),
            })
        })
        .collect()
}

/// The same by every other set of constants, with one seed.
pub fn over_sets(engine: &EngineModel, sets: &[Setup], setting: Setting, seed: u64) -> Vec<Vec<Pair>> {
    let of = |setup: &Setup| {
        let facts = Facts::of(engine, setup);
        pairs_of(&Model { setup, facts }, Engine::new(setup), setting, &[seed])
    };
    sets.par_iter().map(of).collect()
}

/// Where an effect could not be measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// The screw can't be turned so far.
    AtItsEnd,
    /// The engine dies before it could be seen, at the setting or after the turn.
    Dies,
}

/// What a turn does to a symptom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effect {
    /// The turn.
    pub turn: Turn,
    /// What it acts on.
    pub symptom: Symptom,
    /// Its mean at the setting.
    pub at: Option<f64>,
    /// Mean change over the seeds; none where fewer than two pairs show it.
    pub change: Option<f64>,
    /// Its interval, of chance.
    pub low: Option<f64>,
    /// See `low`.
    pub high: Option<f64>,
    /// Its spread over sets of constants; none without an ensemble of them.
    pub spread_low: Option<f64>,
    /// See `spread_low`.
    pub spread_high: Option<f64>,
    /// Pairs in which it was seen.
    pub pairs: usize,
    /// Why it is missing.
    pub missing: Option<Missing>,
}

impl Effect {
    /// Whether it is told from nothing: chance does not explain it.
    pub fn is_sure(&self) -> bool {
        let apart = self
            .low
            .zip(self.high)
            .is_some_and(|(low, high)| low > 0.0 || high < 0.0);
        // Where chance has no say, an interval has no width.
        apart && self.change != Some(0.0)
    }

    /// Whether the middle of the sets of constants agrees on which way it goes; none without sets, or where it is not sure by itself.
    pub fn sets_agree(&self) -> Option<bool> {
        let (change, low, high) = (self.change?, self.spread_low?, self.spread_high?);
        self.is_sure()
            .then_some(if change > 0.0 { low > 0.0 } else { high < 0.0 })
    }

    /// How many times the least noticeable change it is.
    pub fn size(&self) -> f64 {
        self.change.map_or(0.0, |change| change.abs() / self.symptom.noticed())
    }
}

/// The effects of all turns on all symptoms: `own` by seeds with the engine's own constants, `ensemble` with one seed or more for each
/// other set of them.
pub fn effects(own: &[Pair], ensemble: &[Vec<Pair>]) -> Vec<Effect> {
    let turns = Turn::all();
    let each = turns.iter().enumerate();
    each.flat_map(|(k, turn)| {
        Symptom::ALL
            .iter()
            .map(move |symptom| effect(own, ensemble, (k, *turn), *symptom))
    })
    .collect()
}

/// Changes that a turn makes, pair by pair.
fn changes(pairs: &[Pair], k: usize, symptom: Symptom) -> Vec<f64> {
    let change = |pair: &Pair| Some(symptom.of(pair.turned[k].as_ref()?)? - symptom.of(&pair.at)?);
    pairs.iter().filter_map(change).collect()
}

fn effect(own: &[Pair], ensemble: &[Vec<Pair>], (k, turn): (usize, Turn), symptom: Symptom) -> Effect {
    let found = changes(own, k, symptom);
    let moments = Moments::of(found.iter().copied());
    let interval = moments.interval(CONFIDENCE);
    let at = Moments::of(own.iter().filter_map(|pair| symptom.of(&pair.at)).collect::<Vec<_>>());
    let mut means: Vec<f64> = ensemble
        .iter()
        .map(|pairs| Moments::of(changes(pairs, k, symptom)))
        .filter(|moments| moments.count > 0)
        .map(|moments| moments.mean)
        .collect();
    means.sort_by(f64::total_cmp);
    let [spread_low, spread_high] = SPREAD.map(|share| quantile(&means, share).filter(|_| means.len() > 1));
    Effect {
        turn,
        symptom,
        at: (at.count > 0).then_some(at.mean),
        change: interval.map(|_| moments.mean),
        low: interval.map(|interval| interval.low),
        high: interval.map(|interval| interval.high),
        spread_low,
        spread_high,
        pairs: moments.count,
        missing: match interval {
            Some(_) => None,
            None if own.iter().all(|pair| pair.turned[k].is_none()) => Some(Missing::AtItsEnd),
            None => Some(Missing::Dies),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pairs whose idle is given at the setting and, in its place, after the first turn; nothing else lives.
    fn idles(pairs: &[(Option<f64>, Option<f64>)]) -> Vec<Pair> {
        let seen = |idle_rpm| Symptoms {
            idle_rpm,
            ..Symptoms::default()
        };
        let pair = |(at, after): &(Option<f64>, Option<f64>)| {
            let mut turned = [const { None }; 6];
            turned[0] = Some(seen(*after));
            Pair { at: seen(*at), turned }
        };
        pairs.iter().map(pair).collect()
    }

    fn first(own: &[Pair], ensemble: &[Vec<Pair>]) -> Effect {
        let all = effects(own, ensemble);
        assert_eq!(all.len(), 6 * Symptom::ALL.len());
        all[0]
    }

    #[test]
    fn an_effect_is_the_mean_of_paired_differences_with_students_interval() {
        // Differences 1, 2, 3: mean 2, standard error 1/sqrt 3, t(0.975, 2) = 4.302653 (any table of Student's t).
        let own = idles(&[
            (Some(10.0), Some(11.0)),
            (Some(20.0), Some(22.0)),
            (Some(5.0), Some(8.0)),
        ]);
        let effect = first(&own, &[]);
        let wide = 4.302_653 / 3f64.sqrt();
        assert_eq!((effect.symptom, effect.pairs), (Symptom::IdleRpm, 3));
        assert!((effect.change.unwrap() - 2.0).abs() < 1e-12);
        assert!(
            (effect.low.unwrap() - (2.0 - wide)).abs() < 1e-5 && (effect.high.unwrap() - (2.0 + wide)).abs() < 1e-5
        );
        assert!(!effect.is_sure());
        // Common chance drops out: the same differences around wild idles.
        assert_eq!(
            (effect.spread_low, effect.spread_high, effect.missing),
            (None, None, None)
        );
        let sure = first(&idles(&[(Some(10.0), Some(12.0)), (Some(900.0), Some(902.1))]), &[]);
        assert!(sure.is_sure());
    }

    #[test]
    fn what_dies_and_what_cannot_be_turned_are_told_apart() {
        let effect = first(
            &idles(&[(Some(10.0), None), (None, Some(8.0)), (Some(3.0), Some(4.0))]),
            &[],
        );
        assert_eq!(
            (effect.change, effect.pairs, effect.missing),
            (None, 1, Some(Missing::Dies))
        );
        let all = effects(&idles(&[(Some(1.0), Some(1.0)), (Some(1.0), Some(1.0))]), &[]);
        assert_eq!(all[Symptom::ALL.len()].missing, Some(Missing::AtItsEnd));
        // A change of nothing, with certainty, is no effect.
        assert_eq!((all[0].change, all[0].is_sure()), (Some(0.0), false));
    }

    #[test]
    fn a_spread_needs_an_ensemble_and_covers_its_middle() {
        let own = idles(&[(Some(0.0), Some(1.0)), (Some(0.0), Some(1.5))]);
        let ensemble: Vec<Vec<Pair>> = (0..=20).map(|k| idles(&[(Some(0.0), Some(f64::from(k)))])).collect();
        let effect = first(&own, &ensemble);
        assert_eq!((effect.spread_low, effect.spread_high), (Some(1.0), Some(19.0)));
        assert_eq!(first(&own, &ensemble[..1]).spread_low, None);
        // Sets that would go the other way do not agree; without an effect there is nothing to agree on.
        assert!(!effect.is_sure() && effect.sets_agree().is_none());
        let sure = idles(&[(Some(0.0), Some(1.0)), (Some(0.0), Some(1.01))]);
        let other: Vec<Vec<Pair>> = (-2..=20).map(|k| idles(&[(Some(0.0), Some(f64::from(k)))])).collect();
        assert_eq!(first(&sure, &ensemble).sets_agree(), Some(true));
        assert_eq!(first(&sure, &other).sets_agree(), Some(false));
    }

    #[test]
    fn a_screw_stops_at_its_ends() {
        let shut = Setting {
            high_turns: 0.1,
            low_turns: 1.0,
            idle_turns: EngineModel::MOST_OPEN.idle_turns,
        };
        let can = Turn::all().map(|turn| turn.from(shut).is_some());
        assert_eq!(can, [false, true, true, true, true, false]);
    }
}
