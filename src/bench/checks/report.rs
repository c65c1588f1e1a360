//! What was noticed, held against the limits: the checks in the order in which a tuner does them, and the verdict.

use super::Facts;
use super::limits::Limits;
use super::name::{Bog, CheckName, Outside, Unit, Warning};
use super::symptoms::Symptoms;
use crate::engine::Setup;
use crate::engine::params::Setting;

/// A head that stays below this at full throttle is worth a word, °C (common practice).
const COOL_HEAD_C: f64 = 85.0;
/// The least oil that anyone runs, percent by volume (common practice; an engine's maker may ask for more).
const LEAST_OIL_PERCENT: f64 = 8.0;
/// A puff below this share of the largest clean one is none.
const NO_PUFF_SHARE: f64 = 0.25;

/// One check.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Check {
    /// Which.
    pub name: CheckName,
    /// The measured value; none where the engine died before it could be measured.
    pub value: Option<f64>,
    /// Unit of value and limits.
    pub unit: Unit,
    /// Smallest clean value, if there is one.
    pub low: Option<f64>,
    /// Largest clean value, if there is one.
    pub high: Option<f64>,
    /// Whether the value is within.
    pub pass: bool,
}

impl Check {
    /// Distance to the nearer limit, relative to the limits' size (at least a tenth, since some limits are nought); negative
    /// outside, none for a dead engine.
    pub fn margin(&self) -> Option<f64> {
        let value = self.value?;
        let size = self.high.or(self.low).map_or(1.0, f64::abs).max(0.1);
        let below = self.high.map_or(f64::INFINITY, |h| (h - value) / size);
        let above = self.low.map_or(f64::INFINITY, |l| (value - l) / size);
        Some(below.min(above))
    }

    /// On which side it fails, if it does.
    pub fn outside(&self) -> Option<Outside> {
        if self.pass {
            return None;
        }
        Some(match (self.value, self.low) {
            (None, _) => Outside::Died,
            (Some(value), Some(low)) if value < low => Outside::Below,
            _ => Outside::Above,
        })
    }
}

/// What does not pass in a sign-off, in the order in which a tuner comes upon it.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
#[serde(transparent)]
pub struct Failed {
    /// All of it.
    pub checks: Vec<CheckName>,
    /// What of it was not measured: the engine died before.
    #[serde(skip)]
    pub unmeasured: Vec<CheckName>,
}

impl Failed {
    /// Everything passes.
    pub fn is_empty(&self) -> bool {
        self.checks.is_empty()
    }

    /// What was measured, and fails.
    pub fn measured(&self) -> Vec<CheckName> {
        let measured = self.checks.iter().filter(|name| !self.unmeasured.contains(name));
        measured.copied().collect()
    }
}

/// The sign-off of one setting.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Report {
    /// Seed of the engine's noise.
    pub seed: u64,
    /// The setting.
    pub setting: Setting,
    /// Every check passed.
    pub clean: bool,
    /// The checks, in the order in which a tuner does them.
    pub checks: Vec<Check>,
    /// What was noticed.
    pub symptoms: Symptoms,
    /// How a snap bogs, where it does and its smoke tells.
    pub bog: Option<Bog>,
    /// What is worth a word though it fails nothing.
    pub warnings: Vec<Warning>,
}

impl Report {
    /// The smallest margin of all checks: above 0 is clean, a dead engine counts -1.
    pub fn margin(&self) -> f64 {
        self.checks
            .iter()
            .map(|c| c.margin().unwrap_or(-1.0))
            .fold(f64::INFINITY, f64::min)
    }

    /// The check of that name.
    pub fn check(&self, name: CheckName) -> Option<&Check> {
        self.checks.iter().find(|c| c.name == name)
    }

    /// What does not pass, told apart by whether it was measured.
    pub fn failing(&self) -> Failed {
        let died = |c: &&Check| c.outside() == Some(Outside::Died);
        Failed {
            checks: self.failed(),
            unmeasured: self.checks.iter().filter(died).map(|c| c.name).collect(),
        }
    }

    /// Names of the checks that fail.
    pub fn failed(&self) -> Vec<CheckName> {
        self.checks.iter().filter(|c| !c.pass).map(|c| c.name).collect()
    }
}

/// The sign-off of what was noticed at a setting.
pub(super) fn report(
    symptoms: Symptoms,
    setup: &Setup,
    facts: Facts,
    setting: Setting,
    seed: u64,
    limits: &Limits,
) -> Report {
    let checks = judge(&symptoms, setup, facts, limits);
    let cool = symptoms
        .head_temperature_c
        .filter(|head| *head < COOL_HEAD_C)
        .map(|head_temperature_c| Warning::HeadStaysCool {
            head_temperature_c,
            low_c: COOL_HEAD_C,
        });
    let oil_percent = setup.fuel.blend.oil_percent;
    let dry = (oil_percent < LEAST_OIL_PERCENT).then_some(Warning::LittleOil {
        oil_percent,
        low_percent: LEAST_OIL_PERCENT,
    });
    let warnings = cool.into_iter().chain(dry).collect();
    Report {
        seed,
        setting,
        clean: checks.iter().all(|c| c.pass),
        bog: bog(&symptoms, &checks),
        checks,
        symptoms,
        warnings,
    }
}

/// How a snap bogs: it picks up too late or, in an engine that lives, not at all.
fn bog(symptoms: &Symptoms, checks: &[Check]) -> Option<Bog> {
    let of = |name| checks.iter().find(|c| c.name == name);
    let (delay, puff) = (of(CheckName::SnapDelay)?, of(CheckName::SnapPuff)?);
    let (excess, most) = (symptoms.snap_puff_excess?, puff.high?);
    if delay.pass {
        None
    } else if excess < NO_PUFF_SHARE * most {
        Some(Bog::Dry)
    } else if excess > most {
        Some(Bog::Smoky)
    } else {
        None
    }
}

/// Holds what was noticed against the limits.
fn judge(s: &Symptoms, setup: &Setup, facts: Facts, limits: &Limits) -> Vec<Check> {
    use CheckName::{
        BurstEarlyExcess, BurstHang, BurstReturn, FullDetonation, FullHeadTemperature, FullPower, FullRichOfBestPower,
        HalfMisfire, HotIdle, IdleGap, IdlePinchRise, IdleSpeed, IdleVariation, RollOnMisfire, RollOnSmoke, SnapDelay,
        SnapMisfire, SnapPuff,
    };
    let clutch_rpm = setup.engine.drive.clutch_engage_rpm;
    let idle_high = limits.idle_high_rpm.min(clutch_rpm - limits.idle_below_clutch_rpm);
    let delay_high = limits.snap_delay_ratio * facts.best_snap_delay_s;
    let power = s.full_throttle_power_w.zip(s.best_power_w).map(|(p, b)| 100.0 * p / b);
    let rich_of_best = s
        .equivalence_ratio_full
        .zip(s.equivalence_ratio_best_power)
        .map(|(f, b)| f - b);
    let at_least = |limit: f64| (Some(limit), None);
    let at_most = |limit: f64| (None, Some(limit));
    let between = |low: f64, high: f64| (Some(low), Some(high));
    let within = |excess: f64, deficit: f64| between(-deficit, excess);
    let l = limits;
    [
        (FullRichOfBestPower, rich_of_best, at_least(0.0)),
        (FullPower, power, at_least(l.power_percent)),
        (FullDetonation, s.detonation_index, at_most(l.detonation_index)),
        (FullHeadTemperature, s.head_temperature_c, at_most(l.head_temperature_c)),
        (IdleSpeed, s.idle_rpm, between(l.idle_low_rpm, idle_high)),
        (
            IdleVariation,
            s.idle_variation_percent,
            at_most(l.idle_variation_percent),
        ),
        (IdlePinchRise, s.idle_pinch_rise_percent, at_least(l.pinch_rise_percent)),
        (
            IdleGap,
            Some(s.idle_gap_mm),
            between(l.idle_gap_low_mm, l.idle_gap_high_mm),
        ),
        (BurstReturn, s.idle_return_s, at_most(l.return_s)),
        (BurstHang, s.idle_hang_s, at_most(l.hang_s)),
        (
            BurstEarlyExcess,
            s.idle_early_excess_percent,
            within(l.early_excess_percent, l.early_deficit_percent),
        ),
        (SnapDelay, s.snap_delay_s, at_most(delay_high)),
        (SnapPuff, s.snap_puff_excess, at_most(l.snap_puff_excess)),
        (SnapMisfire, s.snap_misfire_percent, at_most(l.snap_misfire_percent)),
        (
            HalfMisfire,
            s.half_throttle_misfire_percent,
            at_most(l.half_misfire_percent),
        ),
        (
            RollOnMisfire,
            s.roll_on_misfire_percent,
            at_most(l.roll_on_misfire_percent),
        ),
        (
            RollOnSmoke,
            s.roll_on_opacity_percent,
            at_most(l.roll_on_opacity_percent),
        ),
        (
            HotIdle,
            s.hot_idle_excess_percent,
            within(l.hot_idle_percent, l.hot_idle_percent),
        ),
    ]
    .into_iter()
    .map(
        |(name, value, (low, high)): (_, Option<f64>, (Option<f64>, Option<f64>))| Check {
            name,
            value,
            unit: name.unit(),
            low,
            high,
            pass: value.is_some_and(|v| low.is_none_or(|l| v >= l) && high.is_none_or(|h| v <= h)),
        },
    )
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::reference_setup;

    /// The report of an engine that showed this, whose best snap takes 0.2 s.
    fn reported(symptoms: Symptoms, limits: &Limits) -> Report {
        let (engine, setup) = reference_setup("offroad-3.5").unwrap();
        let facts = Facts {
            rated_rpm: engine.rated_rpm,
            best_snap_delay_s: 0.2,
        };
        report(symptoms, &setup, facts, engine.reference, 1, limits)
    }

    #[test]
    fn a_bog_without_a_puff_is_dry_and_one_in_its_smoke_smoky() {
        let bog = |snap_delay_s, snap_puff_excess| {
            let symptoms = Symptoms {
                snap_delay_s,
                snap_puff_excess,
                ..Symptoms::default()
            };
            reported(symptoms, &Limits::STANDARD).bog
        };
        // Late, or alive and not there at all.
        for delay in [Some(0.5), None] {
            assert_eq!(bog(delay, Some(0.1)), Some(Bog::Dry), "{delay:?}");
            assert_eq!(bog(delay, Some(1.5)), Some(Bog::Smoky), "{delay:?}");
            assert_eq!(bog(delay, Some(0.5)), None, "{delay:?}");
        }
        // In time, or dead.
        assert_eq!(bog(Some(0.21), Some(0.1)), None);
        assert_eq!(bog(None, None), None);
    }

    #[test]
    fn what_was_not_down_in_ten_seconds_fails_at_any_limit() {
        let key = Limits::KEYS.iter().find(|key| key.name == "hang_s").unwrap();
        for (hang_s, limit, pass) in [(1.6, 1.6, true), (1.7, 1.6, false), (10.0, key.high, false)] {
            let limits = Limits {
                hang_s: limit,
                ..Limits::STANDARD
            };
            let symptoms = Symptoms {
                idle_hang_s: Some(hang_s),
                ..Symptoms::default()
            };
            let report = reported(symptoms, &limits);
            let check = report.check(CheckName::BurstHang).unwrap();
            assert_eq!((check.value, check.high, check.pass), (Some(hang_s), Some(limit), pass));
        }
    }

    #[test]
    fn what_a_dead_engine_was_not_measured_in_is_told_from_what_fails() {
        // Its idle was heard, and is slow; then it died.
        let symptoms = Symptoms {
            idle_rpm: Some(7000.0),
            ..Symptoms::default()
        };
        let failing = reported(symptoms, &Limits::STANDARD).failing();
        assert!(failing.measured().contains(&CheckName::IdleSpeed));
        assert!(failing.checks.contains(&CheckName::FullPower) && !failing.measured().contains(&CheckName::FullPower));
        assert_eq!(
            serde_json::to_value(&failing).unwrap(),
            serde_json::to_value(&failing.checks).unwrap()
        );
    }

    #[test]
    fn a_hot_idle_fails_on_either_side_and_says_which() {
        for (excess, outside) in [
            (13.0, Some(Outside::Above)),
            (-13.0, Some(Outside::Below)),
            (11.0, None),
            (-11.0, None),
        ] {
            let symptoms = Symptoms {
                hot_idle_excess_percent: Some(excess),
                ..Symptoms::default()
            };
            let report = reported(symptoms, &Limits::STANDARD);
            assert_eq!(report.check(CheckName::HotIdle).unwrap().outside(), outside, "{excess}");
        }
    }
}
