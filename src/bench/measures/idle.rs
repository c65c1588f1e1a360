//! Idle: the throttle shut, once the engine has been cleared out and its film has settled.

use super::{Mean, Waits};
use crate::bench::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;

/// A steady idle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Idle {
    /// Mean speed, rpm; 0 if it died.
    pub rpm: f64,
    /// Standard deviation of the speed over tenths of a second, percent of the mean.
    pub variation_percent: f64,
    /// Share of revolutions that missed, percent.
    pub misfire_percent: f64,
    /// Equivalence ratio metered.
    pub equivalence_ratio: f64,
    /// Film on the crankcase walls, mg.
    pub film_mg: f64,
    /// Film time constant, s.
    pub film_time_constant_s: f64,
    /// Oil mist leaving, mg/s.
    pub visible_oil_mg_per_s: f64,
    /// Fuel flow, g/s.
    pub fuel_flow_g_per_s: f64,
    /// Viscous share of the metering pressure.
    pub viscous_share: f64,
}

/// Watches the idle for `seconds` with the throttle shut.
pub fn watch_idle(rig: &mut Rig, seconds: f64) -> Idle {
    let (mut phi, mut misses, mut tau, mut smoke, mut fuel, mut viscous) = Default::default();
    let add = |m: &mut Mean, v: f64, w: f64| m.add(v, w);
    let mut windows = Vec::with_capacity((seconds * 10.0) as usize + 2);
    let (mut turned, mut since) = (0.0, 0.0);
    let mut count = 0.0;
    rig.hold(0.0, seconds, |_, r, _| {
        let d = r.duration;
        add(&mut phi, r.metered_equivalence_ratio, d);
        add(&mut misses, f64::from(u8::from(r.burnt_share < 0.5)), 1.0);
        add(&mut tau, 1.0 / r.film_release_rate, d);
        add(&mut smoke, r.oil_out / d, d);
        add(&mut fuel, (r.fuel_in + r.oil_in) / d, d);
        add(&mut viscous, r.viscous_share, d);
        turned += 1.0;
        since += d;
        count += 1.0;
        if since >= 0.1 {
            windows.push(turned / since * 60.0);
            (turned, since) = (0.0, 0.0);
        }
    });
    let n = windows.len().max(1) as f64;
    let rpm = windows.iter().sum::<f64>() / n;
    let deviation = (windows.iter().map(|w| (w - rpm) * (w - rpm)).sum::<f64>() / n).sqrt();
    let rpm = if rig.stalled() { 0.0 } else { rpm };
    let of = |m: Mean| m.value().unwrap_or(0.0);
    Idle {
        rpm,
        variation_percent: if rpm > 0.0 { 100.0 * deviation / rpm } else { 100.0 },
        misfire_percent: 100.0 * of(misses),
        equivalence_ratio: of(phi),
        film_mg: rig.state.film_fuel * 1e6,
        film_time_constant_s: of(tau),
        visible_oil_mg_per_s: of(smoke) * 1e6,
        fuel_flow_g_per_s: of(fuel) * 1e3,
        viscous_share: of(viscous),
    }
}

/// A warm engine, cleared out, at the end of a judged idle; the idle is returned beside it.
pub fn settled(setup: &Setup, setting: Setting, seed: u64, waits: &Waits) -> (Rig, Idle) {
    settle(Rig::warm(setup, setting, seed), waits)
}

/// The same from an engine's own state.
pub fn settle(mut rig: Rig, waits: &Waits) -> (Rig, Idle) {
    rig.pass(0.5, 0.7);
    rig.pass(0.0, waits.idle_hold_s);
    let idle = watch_idle(&mut rig, 4.0);
    (rig, idle)
}
