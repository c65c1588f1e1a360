//! The standard atmosphere up to 11 km, and the standards that correct a measured power to a reference day.
//!
//! ISO 2533:1975 (the same below 32 km as the US Standard Atmosphere 1976). Altitudes are geopotential metres. The power
//! corrections are conventions for comparing days, made for four-stroke car engines; they say nothing of mixture.

use crate::lanes::powf;
use crate::units::{STANDARD_ATMOSPHERE, STANDARD_GRAVITY, ZERO_CELSIUS};

/// Temperature at altitude 0, K.
pub const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Fall of temperature with altitude in the troposphere, K/m.
pub const LAPSE_RATE: f64 = 0.006_5;
/// Specific gas constant of dry air in ISO 2533, J/(kg K).
pub const GAS_CONSTANT_DRY_AIR: f64 = 287.052_87;
/// Density at altitude 0, kg/m³.
pub const SEA_LEVEL_DENSITY: f64 = STANDARD_ATMOSPHERE / (GAS_CONSTANT_DRY_AIR * SEA_LEVEL_TEMPERATURE);
/// Exponent of pressure on temperature, g/(R L) = 5.25588.
const PRESSURE_EXPONENT: f64 = STANDARD_GRAVITY / (GAS_CONSTANT_DRY_AIR * LAPSE_RATE);
/// Lowest and highest altitude of this layer, m; altitudes beyond are held there.
pub const ALTITUDE_M: std::ops::RangeInclusive<f64> = -2_000.0..=11_000.0;

fn held(altitude_m: f64) -> f64 {
    altitude_m.clamp(*ALTITUDE_M.start(), *ALTITUDE_M.end())
}

/// Standard temperature, K, at a geopotential altitude of -2..11 km: `T = T0 - L H`.
pub fn temperature_at(altitude_m: f64) -> f64 {
    SEA_LEVEL_TEMPERATURE - LAPSE_RATE * held(altitude_m)
}

/// Standard pressure, Pa: `p = p0 (T/T0)^(g/(R L))`.
pub fn pressure_at(altitude_m: f64) -> f64 {
    STANDARD_ATMOSPHERE * powf(temperature_at(altitude_m) / SEA_LEVEL_TEMPERATURE, PRESSURE_EXPONENT)
}

/// Standard density, kg/m³: `ρ = p/(R T)`.
pub fn density_at(altitude_m: f64) -> f64 {
    pressure_at(altitude_m) / (GAS_CONSTANT_DRY_AIR * temperature_at(altitude_m))
}

/// Speed of sound of dry air, m/s, at a temperature in K: `√(1.4 R T)` (ISO 2533:1975).
pub fn speed_of_sound(temperature: f64) -> f64 {
    (1.4 * GAS_CONSTANT_DRY_AIR * temperature).sqrt()
}

/// Dynamic viscosity of air, Pa s, at a temperature in K: Sutherland's law with the constants of ISO 2533:1975.
pub fn dynamic_viscosity(temperature: f64) -> f64 {
    1.458e-6 * temperature * temperature.sqrt() / (temperature + 110.4)
}

/// Altitude, m, at which the standard atmosphere has this pressure in Pa.
pub fn pressure_altitude(pressure: f64) -> f64 {
    SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1.0 - powf(pressure / STANDARD_ATMOSPHERE, 1.0 / PRESSURE_EXPONENT))
}

/// Altitude, m, at which the standard atmosphere has this density in kg/m³; use moist density for a day's true value.
pub fn density_altitude(density: f64) -> f64 {
    SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1.0 - powf(density / SEA_LEVEL_DENSITY, 1.0 / (PRESSURE_EXPONENT - 1.0)))
}

/// Mechanical efficiency that SAE J1349 assumes for the brake correction, 1.
pub const SAE_MECHANICAL_EFFICIENCY: f64 = 0.85;

/// SAE J1349 correction of *indicated* power, 1: `(99000/p_dry) √((t + 273)/298)`.
///
/// `temperature` in K, `dry_pressure` (total less vapour) in Pa. The standards write 273, not 273.15, for 0 °C; so do these.
pub fn sae_j1349_indicated(temperature: f64, dry_pressure: f64) -> f64 {
    99_000.0 / dry_pressure * ((temperature - ZERO_CELSIUS + 273.0) / 298.0).sqrt()
}

/// SAE J1349 correction of *brake* power, 1: `1.180 cf - 0.180`, the published rounding of 85 % mechanical efficiency.
pub fn sae_j1349_brake(temperature: f64, dry_pressure: f64) -> f64 {
    1.180 * sae_j1349_indicated(temperature, dry_pressure) - 0.180
}

/// SAE J1349 correction of brake power without that rounding, 1: `cf/η - (1/η - 1)`, η = [`SAE_MECHANICAL_EFFICIENCY`].
pub fn sae_j1349_brake_unrounded(temperature: f64, dry_pressure: f64) -> f64 {
    let friction = 1.0 / SAE_MECHANICAL_EFFICIENCY - 1.0;
    sae_j1349_indicated(temperature, dry_pressure) / SAE_MECHANICAL_EFFICIENCY - friction
}

/// ISO 1585:1992 correction for spark ignition, 1: `(99000/p_dry)^1.2 ((t + 273)/298)^0.6`.
pub fn iso_1585(temperature: f64, dry_pressure: f64) -> f64 {
    powf(99_000.0 / dry_pressure, 1.2) * powf((temperature - ZERO_CELSIUS + 273.0) / 298.0, 0.6)
}

/// DIN 70020 correction, 1: `(101300/p) √((t + 273)/293)`, with *total* pressure in Pa.
pub fn din_70020(temperature: f64, pressure: f64) -> f64 {
    101_300.0 / pressure * ((temperature - ZERO_CELSIUS + 273.0) / 293.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn altitudes_undo_their_own_pressure_and_density() {
        for altitude in [-500.0, 0.0, 1234.5, 5000.0] {
            assert!((pressure_altitude(pressure_at(altitude)) - altitude).abs() < 1e-6);
            assert!((density_altitude(density_at(altitude)) - altitude).abs() < 1e-6);
        }
    }

    #[test]
    fn reference_days_need_no_correction() {
        let reference = ZERO_CELSIUS + 25.0;
        assert!((sae_j1349_indicated(reference, 99_000.0) - 1.0).abs() < 1e-15);
        assert!((sae_j1349_brake(reference, 99_000.0) - 1.0).abs() < 1e-15);
        assert!((iso_1585(reference, 99_000.0) - 1.0).abs() < 1e-14);
        assert!((din_70020(ZERO_CELSIUS + 20.0, 101_300.0) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn altitudes_beyond_the_layer_are_held() {
        assert_eq!(pressure_at(1e6), pressure_at(11_000.0));
        assert!(pressure_at(f64::NEG_INFINITY).is_finite());
    }
}
