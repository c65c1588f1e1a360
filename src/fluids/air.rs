//! Moist air: what a thermometer, a barometer and a hygrometer say, turned into densities.
//!
//! Equation of the Comité international des poids et mesures, CIPM-2007 (Picard, Davis, Gläser and Fujii, Metrologia 45
//! (2008) 149-155). Water vapour displaces oxygen, so an engine meters *dry* air: see [`Air::dry_density`].

use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;
use thiserror::Error;

use crate::fluids::atmosphere;
use crate::lanes::exp;
use crate::units::{ZERO_CELSIUS, kelvin_from_celsius, pascal_from_hpa};

/// Molar mass of dry air, kg/mol, with 400 µmol/mol of CO2 (CIPM-2007).
pub const MOLAR_MASS_DRY_AIR: f64 = 28.965_46e-3;
/// Molar mass of water, kg/mol (CIPM-2007).
pub const MOLAR_MASS_WATER: f64 = 18.015_28e-3;
/// Mole fraction of oxygen in dry air (CIPM-2007).
pub const OXYGEN_MOLE_FRACTION_DRY: f64 = 0.209_390;
/// Molar mass of oxygen, kg/mol (CIPM-2007).
pub const MOLAR_MASS_OXYGEN: f64 = 31.998_8e-3;
/// The gas constant of the CIPM-2007 paper (CODATA 2006), J/(mol K): part of the published equation.
const GAS_CONSTANT_CIPM: f64 = 8.314_472;

/// The weather as its instruments read it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// Air temperature, °C, in [`Weather::TEMPERATURE_C`].
    pub temperature_c: f64,
    /// Station pressure (not reduced to sea level), hPa, in [`Weather::PRESSURE_HPA`].
    pub pressure_hpa: f64,
    /// Relative humidity over liquid water, percent, in [`Weather::HUMIDITY_PERCENT`].
    pub humidity_percent: f64,
}

/// A weather reading outside the range of the moist-air equation.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum WeatherError {
    /// Temperature outside [`Weather::TEMPERATURE_C`].
    #[error("temperature {0} °C is outside -30..55 °C")]
    Temperature(f64),
    /// Pressure outside [`Weather::PRESSURE_HPA`].
    #[error("station pressure {0} hPa is outside 500..1100 hPa")]
    Pressure(f64),
    /// Humidity outside [`Weather::HUMIDITY_PERCENT`].
    #[error("relative humidity {0} % is outside 0..100 %")]
    Humidity(f64),
}

impl Weather {
    /// The day to which this project refers: 20 °C, 1013.25 hPa, 50 %.
    pub const REFERENCE: Weather = Weather {
        temperature_c: 20.0,
        pressure_hpa: 1013.25,
        humidity_percent: 50.0,
    };
    /// Accepted temperatures, °C. CIPM states 15..27 °C; beyond, it holds to 2e-4 against ASHRAE RP-1485.
    pub const TEMPERATURE_C: RangeInclusive<f64> = -30.0..=55.0;
    /// Accepted station pressures, hPa.
    pub const PRESSURE_HPA: RangeInclusive<f64> = 500.0..=1100.0;
    /// Accepted relative humidities, percent.
    pub const HUMIDITY_PERCENT: RangeInclusive<f64> = 0.0..=100.0;

    /// Weather at a geopotential altitude in metres, with the standard atmosphere's pressure there (ISO 2533:1975).
    pub fn at_altitude(temperature_c: f64, altitude_m: f64, humidity_percent: f64) -> Weather {
        Weather {
            temperature_c,
            pressure_hpa: atmosphere::pressure_at(altitude_m) / 100.0,
            humidity_percent,
        }
    }

    /// The same reading, or which instrument is out of range (also where it is not a number).
    pub fn validated(self) -> Result<Weather, WeatherError> {
        if !Self::TEMPERATURE_C.contains(&self.temperature_c) {
            return Err(WeatherError::Temperature(self.temperature_c));
        }
        if !Self::PRESSURE_HPA.contains(&self.pressure_hpa) {
            return Err(WeatherError::Pressure(self.pressure_hpa));
        }
        if !Self::HUMIDITY_PERCENT.contains(&self.humidity_percent) {
            return Err(WeatherError::Humidity(self.humidity_percent));
        }
        Ok(self)
    }
}

/// The state of the ambient air. All SI.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Air {
    /// Temperature, K.
    pub temperature: f64,
    /// Total pressure, Pa.
    pub pressure: f64,
    /// Relative humidity over liquid water, 0..1.
    pub relative_humidity: f64,
    /// Partial pressure of water as the correction standards count it, Pa: humidity times saturation pressure.
    pub vapour_pressure: f64,
    /// Mole fraction of water in the air, 0..1 (with the enhancement factor).
    pub water_mole_fraction: f64,
    /// Compressibility factor Z, 1.
    pub compressibility: f64,
    /// Density of the moist air, kg/m³.
    pub density: f64,
    /// Partial density of the dry air in it, kg/m³: what an engine breathes and burns with.
    pub dry_density: f64,
    /// Partial density of oxygen, kg/m³.
    pub oxygen_density: f64,
    /// Humidity ratio, kg water per kg dry air.
    pub humidity_ratio: f64,
    /// Specific gas constant of the moist air, `pressure / (density · temperature)`, J/(kg K).
    pub gas_constant: f64,
    /// Altitude in the standard atmosphere with this density, m; at most 44 km (near vacuum).
    pub density_altitude: f64,
    /// Altitude in the standard atmosphere with this pressure, m.
    pub pressure_altitude: f64,
}

impl Air {
    /// Moist air by CIPM-2007.
    ///
    /// `ρ = p Ma / (Z R T) · (1 - xv (1 - Mv/Ma))` with `xv = h f(p, t) psv(T) / p`; p in Pa, T in K, t in °C.
    /// Uncertainty of the equation 22e-6 in its stated range (15..27 °C, 60..110 kPa, Picard et al. 2008). Give it weather
    /// that passes [`Weather::validated`]; outside, the result is an extrapolation.
    pub fn new(weather: &Weather) -> Air {
        let temperature = kelvin_from_celsius(weather.temperature_c);
        let pressure = pascal_from_hpa(weather.pressure_hpa);
        Air::from_si(temperature, pressure, weather.humidity_percent / 100.0)
    }

    /// As [`Air::new`], from kelvin, pascals and relative humidity 0..1.
    pub fn from_si(temperature: f64, pressure: f64, relative_humidity: f64) -> Air {
        let vapour_pressure = relative_humidity * saturation_vapour_pressure(temperature);
        let xv = vapour_pressure * enhancement_factor(temperature, pressure) / pressure;
        let compressibility = compressibility_factor(temperature, pressure, xv);
        let molar_density = pressure / (compressibility * GAS_CONSTANT_CIPM * temperature);
        let dry_density = molar_density * MOLAR_MASS_DRY_AIR * (1.0 - xv);
        let water_density = molar_density * MOLAR_MASS_WATER * xv;
        let density = dry_density + water_density;
        Air {
            temperature,
            pressure,
            relative_humidity,
            vapour_pressure,
            water_mole_fraction: xv,
            compressibility,
            density,
            dry_density,
            oxygen_density: molar_density * (1.0 - xv) * OXYGEN_MOLE_FRACTION_DRY * MOLAR_MASS_OXYGEN,
            humidity_ratio: water_density / dry_density,
            gas_constant: pressure / (density * temperature),
            density_altitude: atmosphere::density_altitude(density),
            pressure_altitude: atmosphere::pressure_altitude(pressure),
        }
    }
}

/// Saturation vapour pressure of water over the liquid, Pa, at a temperature in K (CIPM-2007, equation A1.1).
pub fn saturation_vapour_pressure(temperature: f64) -> f64 {
    let t = temperature;
    exp(1.237_884_7e-5 * t * t - 1.912_131_6e-2 * t + 33.937_110_47 - 6_343.164_5 / t)
}

/// Enhancement factor f(p, t), 1: how much more vapour moist air holds than a vacuum (CIPM-2007, equation A1.2).
pub fn enhancement_factor(temperature: f64, pressure: f64) -> f64 {
    let t = temperature - ZERO_CELSIUS;
    1.000_62 + 3.14e-8 * pressure + 5.6e-7 * t * t
}

/// Compressibility factor Z of moist air, 1 (CIPM-2007, equation A1.4).
fn compressibility_factor(temperature: f64, pressure: f64, xv: f64) -> f64 {
    let t = temperature - ZERO_CELSIUS;
    let p_over_t = pressure / temperature;
    let first = 1.581_23e-6 - 2.933_1e-8 * t
        + 1.104_3e-10 * t * t
        + (5.707e-6 - 2.051e-8 * t) * xv
        + (1.989_8e-4 - 2.376e-6 * t) * xv * xv;
    1.0 - p_over_t * first + p_over_t * p_over_t * (1.83e-11 - 0.765e-8 * xv * xv)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reference_day_has_the_handbook_density() {
        let air = Air::new(&Weather::REFERENCE);
        // CIPM-2007 worked by independent implementations: 1.19931 kg/m³.
        assert!((air.density - 1.199_314).abs() < 1e-6, "{}", air.density);
        assert!(air.dry_density < air.density);
    }

    #[test]
    fn humidity_makes_air_lighter_and_takes_oxygen() {
        let dry = Air::new(&Weather {
            humidity_percent: 0.0,
            ..Weather::REFERENCE
        });
        let wet = Air::new(&Weather {
            humidity_percent: 100.0,
            ..Weather::REFERENCE
        });
        assert!(wet.density < dry.density && wet.oxygen_density < dry.oxygen_density);
        assert_eq!(dry.density, dry.dry_density);
        assert!(wet.density_altitude > dry.density_altitude);
    }

    #[test]
    fn every_instrument_is_checked() {
        let day = Weather::REFERENCE;
        assert_eq!(day.validated(), Ok(day));
        assert_eq!(
            Weather {
                temperature_c: 56.0,
                ..day
            }
            .validated(),
            Err(WeatherError::Temperature(56.0))
        );
        assert_eq!(
            Weather {
                pressure_hpa: 499.0,
                ..day
            }
            .validated(),
            Err(WeatherError::Pressure(499.0))
        );
        assert_eq!(
            Weather {
                humidity_percent: -1.0,
                ..day
            }
            .validated(),
            Err(WeatherError::Humidity(-1.0))
        );
        assert!(
            Weather {
                temperature_c: f64::NAN,
                ..day
            }
            .validated()
            .is_err()
        );
    }

    #[test]
    fn air_is_finite_over_the_whole_accepted_range() {
        for temperature_c in [-30.0, 0.0, 55.0] {
            for pressure_hpa in [500.0, 1100.0] {
                for humidity_percent in [0.0, 100.0] {
                    let air = Air::new(&Weather {
                        temperature_c,
                        pressure_hpa,
                        humidity_percent,
                    });
                    assert!(
                        air.density > 0.4 && air.density < 1.7 && air.density_altitude.is_finite(),
                        "{air:?}"
                    );
                }
            }
        }
    }
}
