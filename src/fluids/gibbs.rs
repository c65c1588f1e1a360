//! Chemical equilibrium of a gas of carbon, hydrogen, oxygen and nitrogen, by minimising its Gibbs or Helmholtz energy.
//!
//! Newton's method on the element potentials: Gordon and McBride, NASA RP-1311 (1994), chapter 2, in logarithms of the
//! amounts, with their step control. Fourteen ideal gases; condensed carbon isn't among them, but its activity is reported.

use nalgebra::{SMatrix, SVector};
use serde::Serialize;
use thiserror::Error;

use crate::fluids::nasa7::{GRAPHITE, PRODUCT_COUNT, Product};
use crate::fluids::products::{ATOMS, MOLAR_MASSES, Products, Properties, dot, sum};
use crate::fluids::thermo::STANDARD_PRESSURE;
use crate::lanes::{exp, ln};

/// Unknowns of one Newton step: four element potentials, Δ ln(total amount), Δ ln T.
const UNKNOWNS: usize = 6;
const TOTAL: usize = 4;
const TEMPERATURE: usize = 5;

/// Accepted initial and end temperatures, K: the range of the polynomials.
pub const TEMPERATURE_RANGE: std::ops::RangeInclusive<f64> = 200.0..=6_000.0;
/// Accepted pressures, Pa.
pub const PRESSURE_RANGE: std::ops::RangeInclusive<f64> = 1.0e3..=1.0e8;

/// Why there is no equilibrium to report.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum EquilibriumError {
    /// An input outside its range, or not a number.
    #[error("{quantity} {value} is outside {low}..{high}")]
    OutOfRange {
        /// Name and unit of the input.
        quantity: &'static str,
        /// What was given.
        value: f64,
        /// Smallest accepted value.
        low: f64,
        /// Largest accepted value.
        high: f64,
    },
    /// The iterations ran out.
    #[error(
        "equilibrium not reached after {iterations} iterations (last correction {correction:.1e} at {temperature} K)"
    )]
    NotConverged {
        /// Newton steps made.
        iterations: u32,
        /// Largest remaining relative correction, 1.
        correction: f64,
        /// Temperature of the last iterate, K.
        temperature: f64,
    },
    /// The linear system had no solution: the major species don't span the elements.
    #[error("equilibrium equations are singular at {temperature} K after {iterations} iterations")]
    Singular {
        /// Newton steps made.
        iterations: u32,
        /// Temperature of the last iterate, K.
        temperature: f64,
    },
    /// The solution lies outside the polynomials' range, 200..6000 K.
    #[error("equilibrium temperature {temperature} K is outside 200..6000 K")]
    Temperature {
        /// The temperature found, K.
        temperature: f64,
    },
}

/// How to solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Stop when no amount (weighted by its mole fraction), nor the total, nor T changes by more than this, 1. Default 1e-8;
    /// Newton's method squares the error, so the last step made leaves about its square. RP-1311 uses 5e-6.
    pub tolerance: f64,
    /// Give up after so many Newton steps. Default 100; 8 to 30 are usual.
    pub max_iterations: u32,
    /// Starting temperature where it is unknown, K. Default 2500, near most flames; RP-1311 uses 3800.
    pub start_temperature: f64,
    /// Largest step of ln T and of ln(total amount), 1. Default 0.4 (RP-1311, equation 3.1).
    pub max_log_step: f64,
    /// Largest step of the logarithm of a major species' amount, 1. Default 2 (RP-1311, equation 3.1).
    pub max_log_amount_step: f64,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            tolerance: 1e-8,
            max_iterations: 100,
            start_temperature: 2_500.0,
            max_log_step: 0.4,
            max_log_amount_step: 2.0,
        }
    }
}

/// Gas in chemical equilibrium.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Equilibrium {
    /// Temperature, K.
    pub temperature: f64,
    /// Pressure, Pa.
    pub pressure: f64,
    /// Mole fractions in the order of [`Product`], 1.
    pub mole_fractions: [f64; PRODUCT_COUNT],
    /// Mean molar mass, kg/mol.
    pub mean_molar_mass: f64,
    /// Ratio of heat capacities with the composition frozen, 1.
    pub gamma: f64,
    /// Activity of graphite, 1: below 1 no soot is to be expected of equilibrium.
    pub graphite_activity: f64,
    /// Newton steps made.
    pub iterations: u32,
}

impl Equilibrium {
    /// Mole fraction of one species, 1.
    pub fn mole_fraction(&self, product: Product) -> f64 {
        self.mole_fractions[product as usize]
    }
}

/// Whether a value lies in its range, as this module's error.
pub(crate) fn in_range(
    quantity: &'static str,
    value: f64,
    range: &std::ops::RangeInclusive<f64>,
) -> Result<(), EquilibriumError> {
    if range.contains(&value) {
        return Ok(());
    }
    Err(EquilibriumError::OutOfRange {
        quantity,
        value,
        low: *range.start(),
        high: *range.end(),
    })
}

/// What stays constant while the gas finds its equilibrium. Extensive quantities belong to the amounts given.
#[derive(Clone, Copy)]
pub(crate) enum Held {
    TemperaturePressure { temperature: f64, pressure: f64 },
    EnthalpyPressure { enthalpy_over_r: f64, pressure: f64 },
    EnergyVolume { energy_over_r: f64, volume_over_r: f64 },
}

/// Atoms and the constraint under which they find their equilibrium.
pub(crate) struct Problem {
    /// Amounts of C, H, O, N atoms, mol.
    pub(crate) amounts: [f64; 4],
    /// What stays constant.
    pub(crate) held: Held,
}

/// The iterate: logarithms of the amounts in mol, of their total, and of the temperature in K.
#[derive(Clone, Copy)]
pub(crate) struct Gas {
    ln_amounts: Products,
    amounts: Products,
    ln_total: f64,
    ln_temperature: f64,
    carbon_potential: f64,
    iterations: u32,
}

impl Problem {
    pub(crate) fn solve(&self, options: &Options) -> Result<Gas, EquilibriumError> {
        let mut gas = self.start(options);
        let mut correction = f64::INFINITY;
        while gas.iterations < options.max_iterations {
            let temperature = gas.temperature();
            let properties = Properties::at(temperature);
            let Some(solution) = self.newton_step(&gas, &properties) else {
                return Err(EquilibriumError::Singular {
                    iterations: gas.iterations,
                    temperature,
                });
            };
            correction = gas.advance(&solution, options);
            // Also catches "not a number", with which nothing compares.
            if !correction.is_finite() {
                return Err(EquilibriumError::Singular {
                    iterations: gas.iterations,
                    temperature,
                });
            }
            if correction < options.tolerance {
                let temperature = gas.temperature();
                return if TEMPERATURE_RANGE.contains(&temperature) {
                    Ok(gas)
                } else {
                    Err(EquilibriumError::Temperature { temperature })
                };
            }
        }
        let (iterations, temperature) = (gas.iterations, gas.temperature());
        Err(EquilibriumError::NotConverged {
            iterations,
            correction,
            temperature,
        })
    }

    /// Every species in the same amount, a total that a burnt gas of these atoms may have.
    fn start(&self, options: &Options) -> Gas {
        let [carbon, hydrogen, oxygen, nitrogen] = self.amounts;
        let total = carbon + 0.5 * hydrogen + 0.5 * nitrogen + 0.25 * oxygen;
        let temperature = match self.held {
            Held::TemperaturePressure { temperature, .. } => temperature,
            _ => options.start_temperature,
        };
        let amount = total / PRODUCT_COUNT as f64;
        Gas {
            ln_amounts: Products::splat(ln(amount)),
            amounts: Products::splat(amount),
            ln_total: ln(total),
            ln_temperature: ln(temperature),
            carbon_potential: 0.0,
            iterations: 0,
        }
    }

    /// Solves the reduced Gibbs (or Helmholtz) iteration equations, RP-1311 tables 2.1 and 2.2, for the element potentials
    /// and the corrections to ln(total) and ln T, and adds what they mean for each species.
    fn newton_step(&self, gas: &Gas, properties: &Properties) -> Option<Step> {
        let at_volume = matches!(self.held, Held::EnergyVolume { .. });
        let temperature = gas.temperature();
        // Chemical potentials over RT, and the energy that goes with ΔlnT: enthalpy at constant pressure, internal energy
        // at constant volume, where the amounts themselves set the pressure and no total is unknown.
        let (ln_activity_scale, energy, capacity) = match self.held {
            Held::TemperaturePressure { pressure, .. } | Held::EnthalpyPressure { pressure, .. } => (
                ln(pressure / STANDARD_PRESSURE) - gas.ln_total,
                properties.h,
                properties.cp,
            ),
            Held::EnergyVolume { volume_over_r, .. } => {
                let scale = gas.ln_temperature - ln(volume_over_r * STANDARD_PRESSURE);
                (scale, properties.h - 1.0, properties.cp - 1.0)
            }
        };
        let potential = properties.g + gas.ln_amounts + ln_activity_scale;
        let n = gas.amounts;
        let total = exp(gas.ln_total);
        let sum_amounts = sum(n);
        let n_potential = n * potential;
        let n_energy = n * energy;

        let mut matrix = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::zeros();
        let mut right = SVector::<f64, UNKNOWNS>::zeros();
        for i in 0..4 {
            let atoms = ATOMS[i] * n;
            for k in 0..=i {
                let value = dot(atoms, ATOMS[k]);
                matrix[(i, k)] = value;
                matrix[(k, i)] = value;
            }
            let content = sum(atoms);
            right[i] = self.amounts[i] - content + dot(ATOMS[i], n_potential);
            let coupling = dot(ATOMS[i], n_energy);
            (matrix[(i, TEMPERATURE)], matrix[(TEMPERATURE, i)]) = (coupling, coupling);
            if !at_volume {
                (matrix[(i, TOTAL)], matrix[(TOTAL, i)]) = (content, content);
            }
        }
        let sum_energy = sum(n_energy);
        if at_volume {
            matrix[(TOTAL, TOTAL)] = 1.0;
        } else {
            matrix[(TOTAL, TOTAL)] = sum_amounts - total;
            right[TOTAL] = total - sum_amounts + sum(n_potential);
            (matrix[(TOTAL, TEMPERATURE)], matrix[(TEMPERATURE, TOTAL)]) = (sum_energy, sum_energy);
        }
        let target = match self.held {
            Held::TemperaturePressure { .. } => None,
            Held::EnthalpyPressure { enthalpy_over_r, .. } => Some(enthalpy_over_r),
            Held::EnergyVolume { energy_over_r, .. } => Some(energy_over_r),
        };
        match target {
            Some(target) => {
                matrix[(TEMPERATURE, TEMPERATURE)] = dot(n, capacity) + dot(n_energy, energy);
                right[TEMPERATURE] = target / temperature - sum_energy + dot(n_energy, potential);
            }
            None => {
                for i in 0..TEMPERATURE {
                    (matrix[(i, TEMPERATURE)], matrix[(TEMPERATURE, i)]) = (0.0, 0.0);
                }
                matrix[(TEMPERATURE, TEMPERATURE)] = 1.0;
            }
        }
        let solution = matrix.lu().solve(&right)?;
        let mut ln_amounts = energy * solution[TEMPERATURE] - potential + solution[TOTAL];
        for i in 0..4 {
            ln_amounts += ATOMS[i] * solution[i];
        }
        Some(Step {
            ln_amounts,
            ln_total: solution[TOTAL],
            ln_temperature: solution[TEMPERATURE],
            carbon_potential: solution[0],
        })
    }
}

/// A full Newton step: corrections of the iterate.
struct Step {
    ln_amounts: Products,
    ln_total: f64,
    ln_temperature: f64,
    carbon_potential: f64,
}

/// Mole fraction below which a species is minor, and the one it may not overshoot in a step: 1e-8 and 1e-4 (RP-1311,
/// equation 3.2), as logarithms.
const LN_MINOR: f64 = -18.420_680_743_952_367;
const LN_MINOR_CEILING: f64 = -9.210_340_371_976_182;
/// Amounts are held above exp of this times the total, so that no logarithm runs away.
const LN_FLOOR: f64 = -600.0;

impl Gas {
    pub(crate) fn temperature(&self) -> f64 {
        exp(self.ln_temperature)
    }

    /// Total amount, mol, as the sum of the species.
    pub(crate) fn total(&self) -> f64 {
        sum(self.amounts)
    }

    /// Enthalpy of this composition at a temperature, over R, K mol.
    pub(crate) fn enthalpy_over_r(&self, temperature: f64) -> f64 {
        dot(self.amounts, Properties::at(temperature).h) * temperature
    }

    /// Makes the step, shortened so that major species, total and temperature stay in the region where the linear
    /// equations mean something (RP-1311, equations 3.1 to 3.3); returns the largest weighted correction.
    fn advance(&mut self, step: &Step, options: &Options) -> f64 {
        let mut shortening = (step.ln_temperature.abs().max(step.ln_total.abs()) / options.max_log_step).max(1.0);
        let mut correction = step.ln_temperature.abs().max(step.ln_total.abs());
        let total = self.total();
        let ln_total = ln(total);
        for i in 0..PRODUCT_COUNT {
            let change = step.ln_amounts.0[i];
            let ln_fraction = self.ln_amounts.0[i] - ln_total;
            if ln_fraction > LN_MINOR {
                shortening = shortening.max(change.abs() / options.max_log_amount_step);
            } else if change - step.ln_total > 0.0 && ln_fraction < LN_MINOR_CEILING {
                shortening = shortening.max((change - step.ln_total) / (LN_MINOR_CEILING - ln_fraction));
            }
            correction = correction.max(change.abs() * self.amounts.0[i] / total);
        }
        let fraction = 1.0 / shortening;
        self.ln_total += step.ln_total * fraction;
        self.ln_temperature += step.ln_temperature * fraction;
        self.ln_amounts = (self.ln_amounts + step.ln_amounts * fraction).max(ln_total + LN_FLOOR);
        self.amounts = self.ln_amounts.exp();
        self.carbon_potential = step.carbon_potential;
        self.iterations += 1;
        // NaN would vanish in `max`; let it show.
        if (step.ln_temperature + step.ln_total + sum(step.ln_amounts)).is_finite() {
            correction
        } else {
            f64::NAN
        }
    }

    pub(crate) fn report(&self, pressure: f64) -> Equilibrium {
        let temperature = self.temperature();
        let fractions = self.amounts / self.total();
        let cp = dot(fractions, Properties::at(temperature).cp);
        Equilibrium {
            temperature,
            pressure,
            mole_fractions: fractions.0,
            mean_molar_mass: dot(fractions, MOLAR_MASSES),
            gamma: cp / (cp - 1.0),
            graphite_activity: exp(self.carbon_potential - GRAPHITE.g_over_rt(temperature)),
            iterations: self.iterations,
        }
    }
}
