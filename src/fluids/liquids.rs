//! The pure liquids a fuel is mixed from: methanol, nitromethane, castor oil and a synthetic oil.
//!
//! Methanol and nitromethane follow the correlations of the VDI Heat Atlas (2nd English edition, Springer 2010, part D3.1)
//! and, for heat capacity, of Perry's Chemical Engineers' Handbook (8th edition 2008, table 2-153); the reference tests
//! hold them against other sources. Temperatures are held within -40..120 °C, where everything stays finite.

use crate::lanes::{exp, powf};
use crate::units::GAS_CONSTANT;

/// Coldest and hottest temperature at which the correlations are evaluated, K; beyond, they are held.
pub const TEMPERATURE: std::ops::RangeInclusive<f64> = 233.15..=393.15;

fn held(temperature: f64) -> f64 {
    temperature.clamp(*TEMPERATURE.start(), *TEMPERATURE.end())
}

/// A burning liquid: constants of its combustion and coefficients of its correlations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liquid {
    /// Chemical name.
    pub name: &'static str,
    /// Molar mass, kg/mol.
    pub molar_mass: f64,
    /// Density at 20 °C, kg/m³, by which volumes become masses.
    pub density_20c: f64,
    /// Oxygen needed to burn it to CO2, H2O and N2, mol per mol, beyond its own.
    pub oxygen_demand: f64,
    /// Enthalpy of formation of the liquid at 298.15 K, J/mol.
    pub formation_enthalpy: f64,
    /// Enthalpy of combustion at 298.15 K, liquid fuel to CO2, water *vapour* and N2, J/mol, positive.
    pub combustion_enthalpy: f64,
    /// Enthalpy of vaporisation at 298.15 K, J/mol (CRC Handbook of Chemistry and Physics).
    pub vaporisation_enthalpy: f64,
    critical_temperature: f64,
    critical_density: f64,
    critical_pressure: f64,
    density: [f64; 4],
    viscosity: [f64; 5],
    vapour_pressure: [f64; 4],
    vaporisation: [f64; 5],
    heat_capacity: [f64; 3],
}

/// Enthalpies of formation at 298.15 K of carbon dioxide and water vapour, J/mol: CODATA Key Values (Cox, Wagman and
/// Medvedev 1989).
const CARBON_DIOXIDE_FORMATION: f64 = -393_510.0;
const WATER_VAPOUR_FORMATION: f64 = -241_826.0;

/// Methanol, CH3OH + 1.5 O2 -> CO2 + 2 H2O. Formation enthalpy: Active Thermochemical Tables. Density at 20 °C: de Reuck
/// and Craven, IUPAC International Thermodynamic Tables of the Fluid State 12 (1993).
pub const METHANOL: Liquid = Liquid {
    name: "methanol",
    molar_mass: 32.042e-3,
    density_20c: 791.012,
    oxygen_demand: 1.5,
    formation_enthalpy: -238_400.0,
    combustion_enthalpy: -238_400.0 - CARBON_DIOXIDE_FORMATION - 2.0 * WATER_VAPOUR_FORMATION,
    vaporisation_enthalpy: 37_430.0,
    critical_temperature: 513.38,
    critical_density: 282.0,
    critical_pressure: 8.216e6,
    density: [164.761_1, 2_257.767_8, -3_545.692_3, 1_929.737_6],
    viscosity: [3.792_26, 0.177_55, 546.563, 87.845, 7.91e-6],
    vapour_pressure: [-8.729_63, 1.458_6, -2.784_49, -0.706_69],
    vaporisation: [5.875_13, 13.915_43, -5.817_88, -5.692_542, 6.867_206],
    heat_capacity: [105.8, -0.362_23, 0.937_9e-3],
};

/// Nitromethane, CH3NO2 + 0.75 O2 -> CO2 + 1.5 H2O + 0.5 N2. Formation enthalpy: NIST Chemistry WebBook. Density at 20 °C:
/// CRC Handbook (from memory; Perry's correlation gives 0.15 % less).
pub const NITROMETHANE: Liquid = Liquid {
    name: "nitromethane",
    molar_mass: 61.040e-3,
    density_20c: 1_137.1,
    oxygen_demand: 0.75,
    formation_enthalpy: -112_600.0,
    combustion_enthalpy: -112_600.0 - CARBON_DIOXIDE_FORMATION - 1.5 * WATER_VAPOUR_FORMATION,
    vaporisation_enthalpy: 38_270.0,
    critical_temperature: 588.2,
    critical_density: 353.0,
    critical_pressure: 6.31e6,
    density: [675.908, 381.070_8, -203.449_3, 278.924_7],
    viscosity: [2.740_6, 0.089_84, 536.681, 119.119, 2.704e-5],
    vapour_pressure: [-8.404_09, 2.963_1, -2.551_25, -3.126_26],
    vaporisation: [10.846_12, 0.904_57, -3.763_319, 2.190_125, 3.811_262],
    heat_capacity: [116.27, -0.135_3, 0.345e-3],
};

impl Liquid {
    /// `1 - T/Tc`.
    fn distance_to_critical(&self, temperature: f64) -> f64 {
        1.0 - held(temperature) / self.critical_temperature
    }

    /// Density of the saturated liquid, kg/m³: `ρc + A τ^0.35 + B τ^(2/3) + C τ + D τ^(4/3)`.
    pub fn density(&self, temperature: f64) -> f64 {
        let tau = self.distance_to_critical(temperature);
        let [a, b, c, d] = self.density;
        self.critical_density + a * powf(tau, 0.35) + b * powf(tau, 2.0 / 3.0) + c * tau + d * powf(tau, 4.0 / 3.0)
    }

    /// Dynamic viscosity, Pa s: `E exp(A x^(1/3) + B x^(4/3))` with `x = (C - T)/(T - D)`.
    pub fn viscosity(&self, temperature: f64) -> f64 {
        let [a, b, c, d, e] = self.viscosity;
        let t = held(temperature);
        let x = (c - t) / (t - d);
        e * exp(a * powf(x, 1.0 / 3.0) + b * powf(x, 4.0 / 3.0))
    }

    /// Vapour pressure of the pure liquid, Pa: `ln(p/pc) = (A τ + B τ^1.5 + C τ^2.5 + D τ^5) Tc/T` (Wagner 1973).
    pub fn saturation_pressure(&self, temperature: f64) -> f64 {
        let tau = self.distance_to_critical(temperature);
        let [a, b, c, d] = self.vapour_pressure;
        let root = tau.sqrt();
        let sum = tau * (a + b * root + c * tau * root + d * tau * tau * tau * tau);
        self.critical_pressure * exp(sum * self.critical_temperature / held(temperature))
    }

    /// Latent heat of vaporisation, J/kg: `R Tc (A τ^(1/3) + B τ^(2/3) + C τ + D τ² + E τ^6) / M`.
    pub fn latent_heat(&self, temperature: f64) -> f64 {
        let tau = self.distance_to_critical(temperature);
        let [a, b, c, d, e] = self.vaporisation;
        let cube_root = powf(tau, 1.0 / 3.0);
        let tau2 = tau * tau;
        let sum = a * cube_root + b * cube_root * cube_root + c * tau + d * tau2 + e * tau2 * tau2 * tau2;
        GAS_CONSTANT * self.critical_temperature * sum / self.molar_mass
    }

    /// Heat capacity of the liquid, J/(kg K).
    pub fn heat_capacity(&self, temperature: f64) -> f64 {
        let t = held(temperature);
        let [a, b, c] = self.heat_capacity;
        (a + b * t + c * t * t) / self.molar_mass
    }

    /// Oxygen demand per mass, kg O2 per kg liquid.
    pub fn oxygen_demand_by_mass(&self) -> f64 {
        self.oxygen_demand * 31.998e-3 / self.molar_mass
    }

    /// Lower heating value of the liquid, J/kg.
    pub fn lower_heating_value(&self) -> f64 {
        self.combustion_enthalpy / self.molar_mass
    }
}

/// The oil in the fuel. It lubricates and leaves mostly unburnt; this project counts it as inert.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Oil {
    /// Degummed castor oil.
    Castor,
    /// A synthetic (ester or polyglycol) model oil: thinner, and assumed, since makers publish no curves.
    Synthetic,
}

impl Oil {
    /// Density at 20 °C, kg/m³. Castor: Merck Index and CRC Handbook, 957-963. Synthetic: assumed (common practice: 0.95-1.0).
    pub fn density_20c(self) -> f64 {
        match self {
            Oil::Castor => 961.0,
            Oil::Synthetic => 980.0,
        }
    }

    /// Density, kg/m³, thinning by 0.7 ‰ per kelvin (fatty oils, common practice; assumed for synthetic too).
    pub fn density(self, temperature: f64) -> f64 {
        self.density_20c() / (1.0 + 7.0e-4 * (held(temperature) - 293.15))
    }

    /// Dynamic viscosity, Pa s: Vogel's law `exp(a + b/(T - c))`.
    ///
    /// Castor: our fit, within 3.2 %, to Kahlbaum and Raeber's series (Smithsonian Physical Tables; 7-40 and 100 °C); lots
    /// differ by 10 %. Synthetic: assumed, about 0.18 Pa s at 20 °C, 0.065 at 40 °C and 0.0096 at 100 °C, the grade
    /// ISO VG 68 of industrial practice.
    pub fn viscosity(self, temperature: f64) -> f64 {
        let [a, b, c] = match self {
            Oil::Castor => [-10.440_387, 1_302.727, 168.042_76],
            Oil::Synthetic => [-9.550_5, 1_048.8, 159.3],
        };
        exp(a + b / (held(temperature) - c))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn handbook_values() {
        // Boiling points at 101325 Pa (CRC Handbook): methanol 64.6 °C, nitromethane 101.2 °C.
        assert!((METHANOL.saturation_pressure(337.75) / 101_325.0 - 1.0).abs() < 0.01);
        assert!((NITROMETHANE.saturation_pressure(374.34) / 101_325.0 - 1.0).abs() < 0.01);
        assert!((METHANOL.lower_heating_value() / 19.93e6 - 1.0).abs() < 1e-3);
        assert!((NITROMETHANE.lower_heating_value() / 10.54e6 - 1.0).abs() < 1e-3);
        // Two ways to the same latent heat: calorimetry at 298 K (CRC) and the correlation.
        for liquid in [METHANOL, NITROMETHANE] {
            let measured = liquid.vaporisation_enthalpy / liquid.molar_mass;
            assert!(
                (liquid.latent_heat(298.15) / measured - 1.0).abs() < 0.02,
                "{}",
                liquid.name
            );
        }
    }

    #[test]
    fn synthetic_oil_has_the_stated_viscosity_and_is_thinner_than_castor_when_cold() {
        for (temperature_c, expected) in [(20.0, 0.18), (40.0, 0.065), (100.0, 0.0096)] {
            let viscosity = Oil::Synthetic.viscosity(temperature_c + 273.15);
            assert!(
                (viscosity / expected - 1.0).abs() < 0.05,
                "{temperature_c}: {viscosity}"
            );
        }
        for t in 0..100 {
            let t = 273.15 + t as f64;
            assert!(Oil::Synthetic.viscosity(t) < Oil::Castor.viscosity(t), "{t}");
        }
    }

    #[test]
    fn heat_thins_everything_and_nothing_overflows() {
        for t in [
            f64::NEG_INFINITY,
            0.0,
            100.0,
            168.04,
            233.15,
            300.0,
            393.15,
            513.38,
            1e9,
        ] {
            for liquid in [METHANOL, NITROMETHANE] {
                let values = [
                    liquid.density(t),
                    liquid.viscosity(t),
                    liquid.saturation_pressure(t),
                    liquid.latent_heat(t),
                ];
                assert!(values.iter().all(|v| v.is_finite() && *v > 0.0), "{t} {values:?}");
                assert!(
                    liquid.viscosity(300.0) > liquid.viscosity(320.0) && liquid.density(300.0) > liquid.density(320.0)
                );
            }
            assert!(Oil::Castor.viscosity(t).is_finite() && Oil::Synthetic.viscosity(t).is_finite());
        }
    }
}
