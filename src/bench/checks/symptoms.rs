//! All manoeuvres of a sign-off, and what they showed.

use super::{Facts, idle_gap_mm};
use crate::bench::measures::{self, Waits};
use crate::bench::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::engine::state::Load;

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
    /// Speed gained with the fuel line pinched, before the engine fades.
    pub idle_pinch_rise_percent: Option<f64>,
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

/// Does all manoeuvres from an engine in a state of its own.
pub(super) fn measure(start: Rig, setup: &Setup, facts: Facts, setting: Setting, waits: &Waits) -> Symptoms {
    let clutch_rpm = setup.engine.drive.clutch_engage_rpm;
    let (rig, idle) = measures::settle(start, waits);
    let alive = idle.rpm > 0.0;
    let burst = alive.then(|| measures::burst(rig, idle.rpm, clutch_rpm, waits));
    let snap = alive.then(|| measures::snap(rig, waits));
    let half = alive.then(|| measures::half_throttle(rig)).filter(|h| h.rpm > 0.0);
    let roll = alive.then(|| measures::roll_on(rig, 6.0));
    let free = alive.then(|| measures::free_speed(rig)).filter(|rpm| *rpm > 0.0);
    let hot = alive.then(|| measures::hot_idle(rig));
    let pinch = alive.then(|| measures::pinch(rig));
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
    Symptoms {
        idle_rpm: alive.then_some(idle.rpm),
        idle_variation_percent: alive.then_some(idle.variation_percent),
        idle_return_s: burst_ok.and_then(|b| b.return_s),
        idle_early_excess_percent: burst_ok.map(|b| b.early_excess_percent),
        idle_settle_s: burst_ok.map(|b| b.settle_s),
        idle_pinch_rise_percent: pinch.map(|p| p.rise_percent),
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
    }
}
