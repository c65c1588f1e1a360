//! What was noticed, held against the limits: the checks in the order in which a tuner does them, and the verdict.

use super::Facts;
use super::limits::Limits;
use super::symptoms::Symptoms;
use crate::engine::Setup;
use crate::engine::params::Setting;

/// One check.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Check {
    /// Name, stable.
    pub name: &'static str,
    /// The measured value; none where the engine died before it could be measured.
    pub value: Option<f64>,
    /// Unit of value and limits.
    pub unit: &'static str,
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
    /// What is worth a word though it fails nothing.
    pub warnings: Vec<String>,
}

impl Report {
    /// The smallest margin of all checks: above 0 is clean, a dead engine counts -1.
    pub fn margin(&self) -> f64 {
        self.checks
            .iter()
            .map(|c| c.margin().unwrap_or(-1.0))
            .fold(f64::INFINITY, f64::min)
    }

    /// Names of the checks that fail.
    pub fn failed(&self) -> Vec<&'static str> {
        self.checks.iter().filter(|c| !c.pass).map(|c| c.name).collect()
    }
}

/// Holds what was noticed against the limits.
pub(super) fn judge(s: &Symptoms, setup: &Setup, facts: Facts, limits: &Limits) -> Vec<Check> {
    let clutch_rpm = setup.engine.drive.clutch_engage_rpm;
    let check = |name, value: Option<f64>, unit, low: Option<f64>, high: Option<f64>| Check {
        name,
        value,
        unit,
        low,
        high,
        pass: value.is_some_and(|v| low.is_none_or(|l| v >= l) && high.is_none_or(|h| v <= h)),
    };
    let idle_high = limits.idle_high_rpm.min(clutch_rpm - limits.idle_below_clutch_rpm);
    let delay_high = limits.snap_delay_ratio * facts.best_snap_delay_s;
    let power = s.full_throttle_power_w.zip(s.best_power_w).map(|(p, b)| 100.0 * p / b);
    let rich_of_best = s
        .equivalence_ratio_full
        .zip(s.equivalence_ratio_best_power)
        .map(|(f, b)| f - b);
    vec![
        check(
            "full_rich_of_best_power",
            rich_of_best,
            "equivalence ratio",
            Some(0.0),
            None,
        ),
        check("full_power", power, "% of best", Some(limits.power_percent), None),
        check(
            "full_detonation",
            s.detonation_index,
            "index",
            None,
            Some(limits.detonation_index),
        ),
        check(
            "full_head_temperature",
            s.head_temperature_c,
            "°C",
            None,
            Some(limits.head_temperature_c),
        ),
        check(
            "idle_speed",
            s.idle_rpm,
            "rpm",
            Some(limits.idle_low_rpm),
            Some(idle_high),
        ),
        check(
            "idle_variation",
            s.idle_variation_percent,
            "%",
            None,
            Some(limits.idle_variation_percent),
        ),
        check(
            "idle_pinch_rise",
            s.idle_pinch_rise_percent,
            "% of idle",
            Some(limits.pinch_rise_percent),
            None,
        ),
        check(
            "idle_gap",
            Some(s.idle_gap_mm),
            "mm",
            Some(limits.idle_gap_low_mm),
            Some(limits.idle_gap_high_mm),
        ),
        check("burst_return", s.idle_return_s, "s", None, Some(limits.return_s)),
        check(
            "burst_early_excess",
            s.idle_early_excess_percent,
            "% of settled idle",
            Some(-limits.early_deficit_percent),
            Some(limits.early_excess_percent),
        ),
        check("snap_delay", s.snap_delay_s, "s", None, Some(delay_high)),
        check(
            "snap_puff",
            s.snap_puff_excess,
            "of steady smoke",
            None,
            Some(limits.snap_puff_excess),
        ),
        check(
            "snap_misfire",
            s.snap_misfire_percent,
            "%",
            None,
            Some(limits.snap_misfire_percent),
        ),
        check(
            "half_misfire",
            s.half_throttle_misfire_percent,
            "%",
            None,
            Some(limits.half_misfire_percent),
        ),
        check(
            "roll_on_misfire",
            s.roll_on_misfire_percent,
            "%",
            None,
            Some(limits.roll_on_misfire_percent),
        ),
        check(
            "roll_on_smoke",
            s.roll_on_opacity_percent,
            "% opacity",
            None,
            Some(limits.roll_on_opacity_percent),
        ),
        check(
            "hot_idle",
            s.hot_idle_excess_percent,
            "% of settled idle",
            Some(-limits.hot_idle_percent),
            Some(limits.hot_idle_percent),
        ),
    ]
}
