//! What an answer is by every set of the ensemble: its median and range, for the sign-off check by check and for a run over time.
//!
//! A set is an engine of its own, and engines share lanes only with themselves: so sets are spread over the cores, and each takes its
//! manoeuvres side by side in lanes.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;

use crate::bench::checks::{self, Check, CheckName, Facts, Limits, Report, Unit};
use crate::bench::manoeuvre::table::Waits;
use crate::bench::rig::Rig;
use crate::bench::series::{COLUMNS, Row};
use crate::config::EngineModel;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::stats::quantile;

/// A value over the sets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// Half of the sets have less.
    pub median: f64,
    /// The least of any set.
    pub low: f64,
    /// The most.
    pub high: f64,
    /// Sets that have one: an engine that died has none.
    pub sets: usize,
}

impl Spread {
    /// Of what each set gives; none where none gives any.
    pub fn of(values: impl IntoIterator<Item = Option<f64>>) -> Option<Self> {
        let mut sorted: Vec<f64> = values.into_iter().flatten().filter(|value| value.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        let at = |share| quantile(&sorted, share);
        Some(Self {
            median: at(0.5)?,
            low: at(0.0)?,
            high: at(1.0)?,
            sets: sorted.len(),
        })
    }
}

/// A check over the sets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CheckSpread {
    /// Name.
    pub name: CheckName,
    /// Its value over the sets.
    pub value: Option<Spread>,
    /// Unit of that.
    pub unit: Unit,
    /// Sets in which it passes.
    pub passing: usize,
    /// Whether the verdict hangs on the set: some pass and some do not, or all say another thing than the reference.
    pub turns: bool,
    /// How far the reference's value is inside its nearer limit (negative: outside), over how far the sets reach from the reference towards
    /// it: below 1 a set may pass the limit. None where there is no value, or no set reaches that way.
    pub margin_in_spreads: Option<f64>,
}

/// The sign-off over the sets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sureness {
    /// Sets of constants that were asked.
    pub sets: usize,
    /// Those by which all is clean.
    pub clean: usize,
    /// The checks, in the order of the report.
    pub checks: Vec<CheckSpread>,
    /// What else was measured, by its key in the report's symptoms; none where no set has a value.
    pub symptoms: BTreeMap<String, Option<Spread>>,
}

/// How a sign-off is begun and judged, whatever the constants.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The engine, for its rated speed and reference setting.
    pub engine: &'a EngineModel,
    /// The screws.
    pub setting: Setting,
    /// Whether it starts cold.
    pub cold: bool,
    /// Seed of the noise.
    pub seed: u64,
    /// Limits.
    pub limits: &'a Limits,
}

impl Asked<'_> {
    /// The sign-off by one set.
    fn report(&self, setup: &Setup) -> Report {
        let start = if self.cold {
            Rig::cold(setup, self.setting, self.seed)
        } else {
            Rig::warm(setup, self.setting, self.seed)
        };
        let facts = Facts::of(self.engine, setup);
        checks::check_from(
            start,
            setup,
            facts,
            self.setting,
            self.seed,
            self.limits,
            &Waits::STANDARD,
        )
    }
}

/// The sign-offs by every set.
pub fn reports(asked: &Asked, sets: &[Setup]) -> Vec<Report> {
    sets.par_iter().map(|setup| asked.report(setup)).collect()
}

/// How far a value lies inside its nearer limit, over how far the sets reach from it towards that limit.
fn margin_in_spreads(check: &Check, spread: Spread) -> Option<f64> {
    let value = check.value?;
    let below = check.low.map(|low| (value - low, value - spread.low));
    let above = check.high.map(|high| (high - value, spread.high - value));
    let nearer = match (below, above) {
        (Some(below), Some(above)) if above.0 < below.0 => above,
        (Some(below), _) => below,
        (None, above) => above?,
    };
    let (margin, reach) = nearer;
    (reach > 0.0).then_some(margin / reach)
}

/// All numbers of a report's symptoms by their keys.
fn numbers(report: &Report) -> BTreeMap<String, Option<f64>> {
    let Ok(serde_json::Value::Object(all)) = serde_json::to_value(&report.symptoms) else {
        return BTreeMap::new();
    };
    let numbers = all.into_iter().filter(|(_, value)| !value.is_boolean());
    numbers.map(|(key, value)| (key, value.as_f64())).collect()
}

impl Sureness {
    /// What the sets say of what the reference said.
    pub fn of(reference: &Report, sets: &[Report]) -> Self {
        let checks = reference.checks.iter().map(|check| {
            let of_sets = || sets.iter().filter_map(|report| report.check(check.name));
            let value = Spread::of(of_sets().map(|check| check.value));
            let passing = of_sets().filter(|check| check.pass).count();
            CheckSpread {
                name: check.name,
                unit: check.unit,
                turns: passing != if check.pass { sets.len() } else { 0 },
                margin_in_spreads: value.and_then(|spread| margin_in_spreads(check, spread)),
                value,
                passing,
            }
        });
        let all: Vec<BTreeMap<String, Option<f64>>> = sets.iter().map(numbers).collect();
        let symptoms = numbers(reference).into_keys().map(|key| {
            let spread = Spread::of(all.iter().map(|numbers| numbers.get(&key).copied().flatten()));
            (key, spread)
        });
        Self {
            sets: sets.len(),
            clean: sets.iter().filter(|report| report.clean).count(),
            checks: checks.collect(),
            symptoms: symptoms.collect(),
        }
    }
}

/// A run over time by every set: the least, the middle and the most of each column, row by row, as long as any set runs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Sets of constants that were run.
    pub sets: usize,
    /// The least of each column.
    pub low: Vec<Row>,
    /// Half of the sets have less.
    pub median: Vec<Row>,
    /// The most.
    pub high: Vec<Row>,
}

impl Band {
    /// Of a run by each set.
    pub fn of(runs: &[Vec<Row>]) -> Self {
        let mut band = Self {
            sets: runs.len(),
            low: Vec::new(),
            median: Vec::new(),
            high: Vec::new(),
        };
        for at in 0..runs.iter().map(Vec::len).max().unwrap_or(0) {
            let rows: Vec<_> = runs.iter().filter_map(|run| run.get(at)).map(Row::values).collect();
            let [mut low, mut median, mut high] = [[None; COLUMNS.len()]; 3];
            for column in 0..COLUMNS.len() {
                let spread = Spread::of(rows.iter().map(|row| row[column]));
                low[column] = spread.map(|spread| spread.low);
                median[column] = spread.map(|spread| spread.median);
                high[column] = spread.map(|spread| spread.high);
            }
            band.low.push(Row::of(low));
            band.median.push(Row::of(median));
            band.high.push(Row::of(high));
        }
        band
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::reference_setup;

    #[test]
    fn a_spread_is_the_median_and_the_range_of_what_there_is() {
        let of = |values: &[Option<f64>]| Spread::of(values.iter().copied());
        let spread = of(&[Some(3.0), None, Some(1.0), Some(8.0), Some(f64::NAN)]).unwrap();
        assert_eq!(
            (spread.low, spread.median, spread.high, spread.sets),
            (1.0, 3.0, 8.0, 3)
        );
        assert_eq!(of(&[None, None]), None);
    }

    #[test]
    fn a_margin_is_told_in_what_the_sets_reach_towards_its_limit() {
        let check = |value, low, high| Check {
            name: CheckName::IdleSpeed,
            value: Some(value),
            unit: Unit::Rpm,
            low,
            high,
            pass: true,
        };
        let spread = Spread {
            median: 10.0,
            low: 6.0,
            high: 11.0,
            sets: 5,
        };
        assert_eq!(margin_in_spreads(&check(10.0, Some(2.0), None), spread), Some(2.0));
        assert_eq!(
            margin_in_spreads(&check(10.0, Some(2.0), Some(13.0)), spread),
            Some(3.0)
        );
        assert_eq!(margin_in_spreads(&check(10.0, None, Some(9.5)), spread), Some(-0.5));
        assert_eq!(margin_in_spreads(&check(12.0, None, Some(13.0)), spread), None);
    }

    #[test]
    fn sets_that_say_otherwise_turn_a_verdict_and_the_reference_alone_turns_none() {
        let (engine, setup) = reference_setup("offroad-3.5").unwrap();
        let mut deaf = setup;
        // Its idle would race: no set that holds the rows.
        deaf.engine.carburettor.idle_opening_closed *= 1.3;
        let asked = Asked {
            engine: &engine,
            setting: engine.reference,
            cold: false,
            seed: 1,
            limits: &Limits::STANDARD,
        };
        let all = reports(&asked, &[setup, deaf]);
        let alone = Sureness::of(&all[0], &all[..1]);
        assert!(alone.checks.iter().all(|check| !check.turns));
        let idle = all[0].symptoms.idle_rpm.unwrap();
        assert_eq!(alone.symptoms["idle_rpm"].unwrap().median, idle);
        let both = Sureness::of(&all[0], &all);
        let speed = both
            .checks
            .iter()
            .find(|check| check.name == CheckName::IdleSpeed)
            .unwrap();
        assert!(speed.turns && speed.passing == 1, "{speed:?}");
        assert!(both.symptoms["idle_rpm"].unwrap().high > idle);
        assert!(!both.symptoms.contains_key("stalled"));
    }
}
