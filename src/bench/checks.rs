//! Is it clean? The sign-off: every measure with its limit and verdict, at one setting of one engine.
//!
//! Nothing here knows the true setting: the verdict rests on what the manoeuvres showed. The limits are data ([`Limits`]).

use super::measures::{self, Waits};
use super::rig::Rig;
use crate::config::EngineModel;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::engine::state::Load;
use crate::parameters::parameters;

parameters! {
    /// Limits of a clean setting; the defaults are common practice unless said otherwise.
    Limits "limits" {
        /// Slowest idle.
        idle_low_rpm: 4000 ..= 20000, design;
        /// Fastest idle.
        idle_high_rpm: 4000 ..= 20000, design;
        /// How far the idle must stay below the clutch.
        idle_below_clutch_rpm: 0 ..= 10000, design;
        /// Largest variation of the idle, as standard deviation over tenths of a second.
        idle_variation_percent: 0.1 ..= 30, design;
        /// Smallest idle gap.
        idle_gap_low_mm: 0.05 ..= 5, design;
        /// Largest idle gap.
        idle_gap_high_mm: 0.05 ..= 5, design;
        /// Slowest return from a burst.
        return_s: 0.1 ..= 10, design;
        /// Largest excess just after the return, against the settled idle.
        early_excess_percent: 1 ..= 60, design;
        /// Largest undershoot just after the return.
        early_deficit_percent: 1 ..= 60, design;
        /// Longest delay of a snap, in units of the engine's best.
        snap_delay_ratio: 1 ..= 3, design;
        /// Largest puff on a snap.
        snap_puff_excess: 0.1 ..= 10, design;
        /// Most missed revolutions on a snap.
        snap_misfire_percent: 0 ..= 50, design;
        /// Most missed revolutions at steady half throttle.
        half_misfire_percent: 0 ..= 50, design;
        /// Most missed revolutions in the worst tenth of a slow opening.
        roll_on_misfire_percent: 0 ..= 50, design;
        /// Thickest smoke in a slow opening.
        roll_on_opacity_percent: 1 ..= 100, design;
        /// Least power, percent of the best that the high-speed needle can give.
        power_percent: 50 ..= 100, design;
        /// Largest detonation index wide open.
        detonation_index: 0 ..= 2, design;
        /// Hottest head on the brake.
        head_temperature_c: 80 ..= 200, design;
        /// Largest deviation of the idle after two laps from the settled idle.
        hot_idle_percent: 1 ..= 60, design;
    }
}

impl Limits {
    /// The defaults.
    pub const STANDARD: Self = Self {
        idle_low_rpm: 8_500.0,
        idle_high_rpm: 12_500.0,
        idle_below_clutch_rpm: 1_500.0,
        idle_variation_percent: 4.0,
        idle_gap_low_mm: 0.5,
        idle_gap_high_mm: 1.1,
        return_s: 1.5,
        early_excess_percent: 8.0,
        early_deficit_percent: 8.0,
        snap_delay_ratio: 1.3,
        snap_puff_excess: 1.0,
        snap_misfire_percent: 1.0,
        half_misfire_percent: 0.5,
        roll_on_misfire_percent: 2.0,
        roll_on_opacity_percent: 45.0,
        power_percent: 97.0,
        detonation_index: 0.02,
        head_temperature_c: 135.0,
        hot_idle_percent: 12.0,
    };
}

/// What the checks must know of an engine besides its physics.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facts {
    /// Speed on the brake, rpm.
    pub rated_rpm: f64,
    /// Shortest delay of a snap that a clean setting gives, s.
    pub best_snap_delay_s: f64,
}

impl Facts {
    /// What an engine's model says of them.
    pub fn of(engine: &EngineModel) -> Self {
        Self {
            rated_rpm: engine.rated_rpm,
            best_snap_delay_s: engine.snap_delay_best_s,
        }
    }
}

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
    /// Distance to the nearer limit, relative to the limits' size; negative outside, none for a dead engine.
    pub fn margin(&self) -> Option<f64> {
        let value = self.value?;
        let size = self.high.or(self.low).map_or(1.0, f64::abs).max(1e-9);
        let below = self.high.map_or(f64::INFINITY, |h| (h - value) / size);
        let above = self.low.map_or(f64::INFINITY, |l| (value - l) / size);
        Some(below.min(above))
    }
}

/// Everything noticed during the checks; none where the engine died first.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Symptoms {
    /// Settled idle speed.
    pub idle_rpm: Option<f64>,
    /// Its variation.
    pub idle_variation_percent: Option<f64>,
    /// From shutting the throttle to below 1.5 times the settled idle and the clutch.
    pub idle_return_s: Option<f64>,
    /// Mean over 0.3-1.3 s after that, against settled.
    pub idle_early_excess_percent: Option<f64>,
    /// Until the speed stays within 5 % of settled.
    pub idle_settle_s: Option<f64>,
    /// Idle after two laps, against settled.
    pub hot_idle_excess_percent: Option<f64>,
    /// Snap to full: delay to 20 000 rpm.
    pub snap_delay_s: Option<f64>,
    /// (Peak - steady)/steady of the visible oil.
    pub snap_puff_excess: Option<f64>,
    /// Missed revolutions at steady half throttle.
    pub half_throttle_misfire_percent: Option<f64>,
    /// Missed revolutions on a snap.
    pub snap_misfire_percent: Option<f64>,
    /// Missed revolutions in the worst tenth of a slow opening.
    pub roll_on_misfire_percent: Option<f64>,
    /// Thickest smoke in a slow opening.
    pub roll_on_opacity_percent: Option<f64>,
    /// Wheels up, wide open.
    pub full_throttle_rpm: Option<f64>,
    /// On the brake at rated speed.
    pub full_throttle_power_w: Option<f64>,
    /// The best that the high-speed needle can give there.
    pub best_power_w: Option<f64>,
    /// On the brake at rated speed.
    pub head_temperature_c: Option<f64>,
    /// On the brake at rated speed.
    pub smoke_opacity_percent: Option<f64>,
    /// On the brake at rated speed.
    pub detonation_index: Option<f64>,
    /// Metered, oil inert.
    pub equivalence_ratio_idle: Option<f64>,
    /// Metered, oil inert.
    pub equivalence_ratio_half: Option<f64>,
    /// Metered, oil inert.
    pub equivalence_ratio_full: Option<f64>,
    /// Where power is best.
    pub equivalence_ratio_best_power: Option<f64>,
    /// Mass of dry air per mass of whole blend, wide open.
    pub air_fuel_ratio_full: Option<f64>,
    /// Wide open.
    pub fuel_flow_full_g_per_s: Option<f64>,
    /// Slide gap left by the idle stop.
    pub idle_gap_mm: f64,
    /// Film on the crankcase walls at idle.
    pub idle_film_mg: Option<f64>,
    /// Its time constant.
    pub idle_film_time_constant_s: Option<f64>,
    /// The engine died in one of the manoeuvres.
    pub stalled: bool,
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

/// Slide gap left by the idle stop, mm.
pub fn idle_gap_mm(setup: &Setup, setting: Setting) -> f64 {
    let c = &setup.engine.carburettor;
    (c.idle_opening_closed + c.idle_opening_per_turn * setting.idle_turns).clamp(0.005, 0.5) * c.slide_travel_mm
}

/// Does all manoeuvres with a warm engine and judges them.
pub fn check(setup: &Setup, facts: Facts, setting: Setting, seed: u64, limits: &Limits, waits: &Waits) -> Report {
    let rig = Rig::warm(setup, setting, seed);
    check_from(rig, setup, facts, setting, seed, limits, waits)
}

/// The same for an engine in a state of its own (cold, worn, short of fuel): only its thermal state and film are taken over.
pub fn check_from(
    start: Rig,
    setup: &Setup,
    facts: Facts,
    setting: Setting,
    seed: u64,
    limits: &Limits,
    waits: &Waits,
) -> Report {
    let clutch_rpm = setup.engine.drive.clutch_engage_rpm;
    let (rig, idle) = measures::settle(start, waits);
    let alive = idle.rpm > 0.0;
    let burst = alive.then(|| measures::burst(rig, idle.rpm, clutch_rpm, waits));
    let snap = alive.then(|| measures::snap(rig, waits));
    let half = alive.then(|| measures::half_throttle(rig)).filter(|h| h.rpm > 0.0);
    let roll = alive.then(|| measures::roll_on(rig, 6.0));
    let free = alive.then(|| measures::free_speed(rig)).filter(|rpm| *rpm > 0.0);
    let hot = alive.then(|| measures::hot_idle(rig));
    // The brake turns any engine that fires: power can be judged though the idle dies.
    let brake = Waits {
        brake_rpm: facts.rated_rpm,
        ..*waits
    };
    let mut on_brake = start.with_load(Load::Brake(facts.rated_rpm / 60.0));
    let full = measures::settle_on_brake(&mut on_brake, &brake);
    let full = (full.rpm > 0.0 && full.power_w > 0.0).then_some(full);
    let best = full.map(|_| measures::best_power(&on_brake, setting, 0.5));

    let burst_ok = burst.filter(|b| !b.stalled);
    let snap_ok = snap.filter(|s| !s.stalled);
    let symptoms = Symptoms {
        idle_rpm: alive.then_some(idle.rpm),
        idle_variation_percent: alive.then_some(idle.variation_percent),
        idle_return_s: burst_ok.and_then(|b| b.return_s),
        idle_early_excess_percent: burst_ok.map(|b| b.early_excess_percent),
        idle_settle_s: burst_ok.map(|b| b.settle_s),
        hot_idle_excess_percent: hot.filter(|rpm| *rpm > 0.0).map(|rpm| 100.0 * (rpm / idle.rpm - 1.0)),
        snap_delay_s: snap_ok.and_then(|s| s.delay_s),
        snap_puff_excess: snap_ok.map(|s| s.puff_excess),
        half_throttle_misfire_percent: half.map(|h| h.misfire_percent),
        snap_misfire_percent: snap_ok.map(|s| s.misfire_percent),
        roll_on_misfire_percent: roll.map(|r| r.misfire_percent),
        roll_on_opacity_percent: roll.map(|r| r.opacity_percent),
        full_throttle_rpm: free,
        full_throttle_power_w: full.map(|f| f.power_w),
        best_power_w: best.map(|b| b.0),
        head_temperature_c: full.map(|f| f.head_temperature_c),
        smoke_opacity_percent: full.map(|f| f.opacity_percent),
        detonation_index: full.map(|f| f.detonation_index),
        equivalence_ratio_idle: alive.then_some(idle.equivalence_ratio),
        equivalence_ratio_half: half.map(|h| h.equivalence_ratio),
        equivalence_ratio_full: full.map(|f| f.equivalence_ratio),
        equivalence_ratio_best_power: best.map(|b| b.1),
        air_fuel_ratio_full: full.map(|f| setup.fuel.stoichiometric_air_fuel_ratio / f.equivalence_ratio),
        fuel_flow_full_g_per_s: full.map(|f| f.fuel_flow_g_per_s),
        idle_gap_mm: idle_gap_mm(setup, setting),
        idle_film_mg: alive.then_some(idle.film_mg),
        idle_film_time_constant_s: alive.then_some(idle.film_time_constant_s),
        stalled: !alive || burst.is_some_and(|b| b.stalled) || snap.is_some_and(|s| s.stalled),
    };
    let s = &symptoms;
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
    let checks = vec![
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
    ];
    let mut warnings = Vec::new();
    if s.head_temperature_c.is_some_and(|t| t < 85.0) {
        warnings
            .push("the head stays below 85 °C at full throttle: probably rich, perhaps only a cold day".to_string());
    }
    Report {
        seed,
        setting,
        clean: checks.iter().all(|c| c.pass),
        checks,
        symptoms,
        warnings,
    }
}
