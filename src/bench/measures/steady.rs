//! A throttle that is held: half open on the stand, wide open with the wheels up.

use super::Mean;
use crate::bench::rig::Rig;

/// A steady running point.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Steady {
    /// Mean speed, rpm.
    pub rpm: f64,
    /// Equivalence ratio metered.
    pub equivalence_ratio: f64,
    /// Revolutions that missed, percent.
    pub misfire_percent: f64,
    /// Share of the charge left unburnt, percent.
    pub unburnt_percent: f64,
    /// Shaft power, W.
    pub power_w: f64,
    /// Head temperature at the end, °C.
    pub head_temperature_c: f64,
    /// Opacity of the plume, percent.
    pub opacity_percent: f64,
    /// Mean detonation index.
    pub detonation_index: f64,
    /// Fuel flow, g/s.
    pub fuel_flow_g_per_s: f64,
    /// Heat released over the fuel's lower heating value.
    pub heat_w: f64,
    /// Viscous share of the metering pressure.
    pub viscous_share: f64,
    /// Film on the crankcase walls, mg.
    pub film_mg: f64,
    /// Burnt-gas fraction.
    pub burnt_fraction: f64,
}

/// Watches `seconds` at a steady throttle.
pub fn watch_steady(rig: &mut Rig, throttle: f64, seconds: f64) -> Steady {
    let mut m = [Mean::default(); 11];
    rig.hold(throttle, seconds, |_, r, _| {
        let d = r.duration;
        let values = [
            r.speed * 60.0,
            r.metered_equivalence_ratio,
            r.shaft_work / d,
            100.0 * r.opacity,
            r.detonation,
            (r.fuel_in + r.oil_in) / d * 1e3,
            r.heat / d,
            r.viscous_share,
            r.burnt_fraction,
        ];
        for (mean, value) in m.iter_mut().zip(values) {
            mean.add(value, d);
        }
        m[9].add(f64::from(u8::from(r.burnt_share < 0.5)), 1.0);
        m[10].add(1.0 - r.burnt_share, 1.0);
    });
    let v = m.map(|x| x.value().unwrap_or(0.0));
    Steady {
        rpm: if rig.stalled() { 0.0 } else { v[0] },
        equivalence_ratio: v[1],
        misfire_percent: 100.0 * v[9],
        unburnt_percent: 100.0 * v[10],
        power_w: v[2],
        head_temperature_c: rig.state.head_temperature - 273.15,
        opacity_percent: v[3],
        detonation_index: v[4],
        fuel_flow_g_per_s: v[5],
        heat_w: v[6],
        viscous_share: v[7],
        film_mg: rig.state.film_fuel * 1e6,
        burnt_fraction: v[8],
    }
}

/// Steady half throttle on the stand.
pub fn half_throttle(mut rig: Rig) -> Steady {
    rig.pass(0.5, 2.0);
    watch_steady(&mut rig, 0.5, 3.0)
}

/// Free speed with the wheels up, rpm; 0 if the engine died.
pub fn free_speed(mut rig: Rig) -> f64 {
    rig.pass(1.0, 4.0);
    watch_steady(&mut rig, 1.0, 1.0).rpm
}
