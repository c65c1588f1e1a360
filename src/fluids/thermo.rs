//! Thermodynamic functions of one ideal gas from its NASA 7-coefficient polynomials.
//!
//! `cp/R = a1 + a2 T + a3 T² + a4 T³ + a5 T⁴`, with enthalpy and entropy its integrals plus the constants a6 and a7 (McBride,
//! Gordon and Reno, NASA TM-4513, 1993). Enthalpy holds the enthalpy of formation: elements at 298.15 K are zero.

use crate::lanes::ln;
use crate::units::GAS_CONSTANT;

/// Standard pressure of the polynomials, Pa.
pub const STANDARD_PRESSURE: f64 = 100_000.0;

/// A gas (or graphite): its atoms and its polynomials below and above the join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Species {
    /// Chemical formula.
    pub formula: &'static str,
    /// Atoms of carbon, hydrogen, oxygen and nitrogen per molecule.
    pub atoms: [f64; 4],
    /// Molar mass, kg/mol.
    pub molar_mass: f64,
    /// Temperature at which the ranges join, K.
    pub join: f64,
    /// Coefficients a1..a7 from 200 K to the join.
    pub low: [f64; 7],
    /// Coefficients a1..a7 above it.
    pub high: [f64; 7],
}

impl Species {
    fn coefficients(&self, temperature: f64) -> &[f64; 7] {
        if temperature < self.join { &self.low } else { &self.high }
    }

    /// Molar heat capacity at constant pressure over R, 1, at a temperature in K (200..6000).
    pub fn cp_over_r(&self, temperature: f64) -> f64 {
        let [a1, a2, a3, a4, a5, ..] = *self.coefficients(temperature);
        let t = temperature;
        a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))
    }

    /// Molar enthalpy over RT, 1.
    pub fn h_over_rt(&self, temperature: f64) -> f64 {
        let [a1, a2, a3, a4, a5, a6, _] = *self.coefficients(temperature);
        let t = temperature;
        a1 + t * (a2 / 2.0 + t * (a3 / 3.0 + t * (a4 / 4.0 + t * (a5 / 5.0)))) + a6 / t
    }

    /// Molar entropy at the standard pressure over R, 1.
    pub fn s_over_r(&self, temperature: f64) -> f64 {
        let [a1, a2, a3, a4, a5, _, a7] = *self.coefficients(temperature);
        let t = temperature;
        a1 * ln(t) + t * (a2 + t * (a3 / 2.0 + t * (a4 / 3.0 + t * (a5 / 4.0)))) + a7
    }

    /// Molar Gibbs energy at the standard pressure over RT, 1.
    pub fn g_over_rt(&self, temperature: f64) -> f64 {
        self.h_over_rt(temperature) - self.s_over_r(temperature)
    }

    /// Molar heat capacity at constant pressure, J/(mol K).
    pub fn heat_capacity(&self, temperature: f64) -> f64 {
        self.cp_over_r(temperature) * GAS_CONSTANT
    }

    /// Molar enthalpy, J/mol.
    pub fn enthalpy(&self, temperature: f64) -> f64 {
        self.h_over_rt(temperature) * GAS_CONSTANT * temperature
    }

    /// Molar internal energy as an ideal gas, J/mol.
    pub fn internal_energy(&self, temperature: f64) -> f64 {
        (self.h_over_rt(temperature) - 1.0) * GAS_CONSTANT * temperature
    }

    /// Molar entropy at the standard pressure, J/(mol K).
    pub fn entropy(&self, temperature: f64) -> f64 {
        self.s_over_r(temperature) * GAS_CONSTANT
    }

    /// Molar Gibbs energy at the standard pressure, J/mol.
    pub fn gibbs_energy(&self, temperature: f64) -> f64 {
        self.g_over_rt(temperature) * GAS_CONSTANT * temperature
    }
}
