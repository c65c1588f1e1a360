//! All manoeuvres of a sign-off, and what they showed.

use super::idle_gap_mm;
use crate::bench::lab::{Case, Lab};
use crate::bench::measures::{Findings, What};
use crate::engine::Setup;
use crate::engine::params::Setting;

/// Everything noticed during the checks; none where the engine died first.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Symptoms {
    /// Settled idle speed.
    pub idle_rpm: Option<f64>,
    /// Its variation.
    pub idle_variation_percent: Option<f64>,
    /// From shutting the throttle to below 1.5 times the settled idle and the clutch.
    pub idle_return_s: Option<f64>,
    /// Mean over 0.3-1.3 s after that, against settled.
    pub idle_early_excess_percent: Option<f64>,
    /// Seconds above 1.1 times the settled idle, from shutting the throttle; 10 if it was not down by then.
    pub idle_hang_s: Option<f64>,
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

/// A hang is watched no longer than this, s: a burst is looked at for a little more.
const HANG_MOST_S: f64 = 10.0;

/// What needs an idle that lives.
pub(super) const AT_IDLE: [What; 7] = [
    What::Burst,
    What::Snap,
    What::Half,
    What::RollOn,
    What::Free,
    What::HotIdle,
    What::Pinch,
];

/// Does all manoeuvres with the engines of these cases: idle and brake first, then, side by side, all that starts from them.
pub(super) fn measure(lab: &mut Lab, cases: &[Case]) {
    let first = [What::Idle, What::SwiftBrake];
    lab.measure(cases.iter().flat_map(|case| first.map(|what| (*case, what))));
    let mut then = Vec::new();
    for case in cases {
        let found = lab.findings(*case);
        if found.idle.is_some_and(|m| m.found.rpm > 0.0) {
            then.extend(AT_IDLE.map(|what| (*case, what)));
        }
        // The brake turns any engine that fires: power can be judged though the idle dies.
        if found
            .swift_brake
            .is_some_and(|m| m.found.rpm > 0.0 && m.found.power_w > 0.0)
        {
            then.push((*case, What::BestPower));
        }
    }
    lab.measure(then);
}

/// What the manoeuvres showed.
pub(super) fn symptoms(found: &Findings, setup: &Setup, setting: Setting) -> Symptoms {
    let idle = found.idle.map(|m| m.found).filter(|idle| idle.rpm > 0.0);
    let (burst, snap) = (found.burst.map(|m| m.found), found.snap.map(|m| m.found));
    let half = found.half.map(|m| m.found).filter(|h| h.rpm > 0.0);
    let roll = found.roll_on.map(|m| m.found);
    let hot = found.hot_idle.map(|m| m.found.rpm).filter(|rpm| *rpm > 0.0);
    let full = found
        .swift_brake
        .map(|m| m.found)
        .filter(|f| f.rpm > 0.0 && f.power_w > 0.0);
    let best = found.best_power.map(|m| m.found);

    let burst_ok = burst.filter(|b| !b.stalled);
    let snap_ok = snap.filter(|s| !s.stalled);
    Symptoms {
        idle_rpm: idle.map(|i| i.rpm),
        idle_variation_percent: idle.map(|i| i.variation_percent),
        idle_return_s: burst_ok.and_then(|b| b.return_s),
        idle_early_excess_percent: burst_ok.map(|b| b.early_excess_percent),
        idle_hang_s: burst_ok.map(|b| b.hang_s.min(HANG_MOST_S)),
        idle_settle_s: burst_ok.map(|b| b.settle_s),
        idle_pinch_rise_percent: found.pinch.map(|m| m.found.rise_percent),
        hot_idle_excess_percent: hot.zip(idle).map(|(rpm, idle)| 100.0 * (rpm / idle.rpm - 1.0)),
        snap_delay_s: snap_ok.and_then(|s| s.delay_s),
        snap_puff_excess: snap_ok.map(|s| s.puff_excess),
        half_throttle_misfire_percent: half.map(|h| h.misfire_percent),
        snap_misfire_percent: snap_ok.map(|s| s.misfire_percent),
        roll_on_misfire_percent: roll.map(|r| r.misfire_percent),
        roll_on_opacity_percent: roll.map(|r| r.opacity_percent),
        full_throttle_rpm: found.free.map(|m| m.found.rpm).filter(|rpm| *rpm > 0.0),
        full_throttle_power_w: full.map(|f| f.power_w),
        best_power_w: best.map(|b| b.power_w),
        head_temperature_c: full.map(|f| f.head_temperature_c),
        smoke_opacity_percent: full.map(|f| f.opacity_percent),
        detonation_index: full.map(|f| f.detonation_index),
        equivalence_ratio_idle: idle.map(|i| i.equivalence_ratio),
        equivalence_ratio_half: half.map(|h| h.equivalence_ratio),
        equivalence_ratio_full: full.map(|f| f.equivalence_ratio),
        equivalence_ratio_best_power: best.map(|b| b.equivalence_ratio),
        air_fuel_ratio_full: full.map(|f| setup.fuel.stoichiometric_air_fuel_ratio / f.equivalence_ratio),
        fuel_flow_full_g_per_s: full.map(|f| f.fuel_flow_g_per_s),
        idle_gap_mm: idle_gap_mm(setup, setting),
        idle_film_mg: idle.map(|i| i.film_mg),
        idle_film_time_constant_s: idle.map(|i| i.film_time_constant_s),
        stalled: idle.is_none() || burst.is_some_and(|b| b.stalled) || snap.is_some_and(|s| s.stalled),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::measures::{Burst, Measured};
    use crate::bench::rig;
    use crate::config::reference_setup;
    use crate::engine::Engine;

    #[test]
    fn a_hang_reads_ten_at_most_and_nothing_where_the_engine_died() {
        let (engine, setup) = reference_setup("offroad-3.5").unwrap();
        let hang = |hang_s: f64, stalled: bool| {
            let found = Burst {
                return_s: Some(0.5),
                early_excess_percent: 0.0,
                settle_s: 0.0,
                hang_s,
                late_deviation_percent: 0.0,
                lowest_percent: 0.0,
                stalled,
                top_rpm: 30_000.0,
            };
            let findings = Findings {
                burst: Some(Measured {
                    found,
                    end: rig::warm(&Engine::new(&setup), engine.reference, 1),
                }),
                ..Findings::default()
            };
            symptoms(&findings, &setup, engine.reference).idle_hang_s
        };
        assert_eq!(hang(1.2, false), Some(1.2));
        assert_eq!(hang(11.9, false), Some(10.0));
        assert_eq!(hang(0.4, true), None);
    }
}
