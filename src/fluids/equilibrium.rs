//! Burning methanol and nitromethane to chemical equilibrium: how hot, at what pressure, made of what, and with what heat.
//!
//! The three questions one may ask of a mixture: its equilibrium at a given temperature, its adiabatic flame at constant
//! pressure, and its explosion at constant volume. The solver itself is in [`gibbs`](crate::fluids::gibbs).

use serde::Serialize;

pub use crate::fluids::gibbs::{Equilibrium, EquilibriumError, Options, PRESSURE_RANGE, TEMPERATURE_RANGE};
use crate::fluids::gibbs::{Held, Problem, in_range};
use crate::fluids::mixture::Mixture;
use crate::units::GAS_CONSTANT;

/// An adiabatic burn: the end state, and its heat against the same products at the initial temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Burn {
    /// The gas after burning.
    pub products: Equilibrium,
    /// Heat released per kg of fuel-air mixture, J/kg.
    pub heat_per_kg_mixture: f64,
    /// Heat released per kg of air in it, J/kg.
    pub heat_per_kg_air: f64,
}

/// Equilibrium of the mixture at a given temperature in K and pressure in Pa.
pub fn at_temperature(
    mixture: &Mixture,
    temperature: f64,
    pressure: f64,
    options: &Options,
) -> Result<Equilibrium, EquilibriumError> {
    check(mixture, temperature, pressure)?;
    let problem = Problem {
        amounts: mixture.atoms(),
        held: Held::TemperaturePressure { temperature, pressure },
    };
    let gas = problem.solve(options)?;
    Ok(gas.report(pressure))
}

/// Adiabatic burn at constant pressure; the fuel enters as vapour at `temperature` (K), all at `pressure` (Pa).
///
/// The heat is `h(products at the end) - h(same products at the initial temperature)`.
pub fn at_constant_pressure(
    mixture: &Mixture,
    temperature: f64,
    pressure: f64,
    options: &Options,
) -> Result<Burn, EquilibriumError> {
    check(mixture, temperature, pressure)?;
    burn_at_constant_pressure(mixture, mixture.enthalpy(temperature), temperature, pressure, options)
}

/// As [`at_constant_pressure`], with air and *liquid* fuel at 298.15 K, so that the flame also pays for evaporation.
pub fn at_constant_pressure_liquid_fuel(
    mixture: &Mixture,
    pressure: f64,
    options: &Options,
) -> Result<Burn, EquilibriumError> {
    check(mixture, 298.15, pressure)?;
    burn_at_constant_pressure(mixture, mixture.enthalpy_liquid_fuel(), 298.15, pressure, options)
}

fn burn_at_constant_pressure(
    mixture: &Mixture,
    enthalpy: f64,
    temperature: f64,
    pressure: f64,
    options: &Options,
) -> Result<Burn, EquilibriumError> {
    let held = Held::EnthalpyPressure {
        enthalpy_over_r: enthalpy / GAS_CONSTANT,
        pressure,
    };
    let gas = Problem {
        amounts: mixture.atoms(),
        held,
    }
    .solve(options)?;
    let heat = GAS_CONSTANT * (gas.enthalpy_over_r(gas.temperature()) - gas.enthalpy_over_r(temperature));
    Ok(mixture.burn(gas.report(pressure), heat))
}

/// Adiabatic burn at constant volume, from vapour and air at `temperature` (K) and `pressure` (Pa).
///
/// The heat is `u(products at the end) - u(same products at the initial temperature)`; water stays vapour.
pub fn at_constant_volume(
    mixture: &Mixture,
    temperature: f64,
    pressure: f64,
    options: &Options,
) -> Result<Burn, EquilibriumError> {
    check(mixture, temperature, pressure)?;
    let reactants = mixture.total_amount();
    let energy_over_r = mixture.enthalpy(temperature) / GAS_CONSTANT - reactants * temperature;
    let volume_over_r = reactants * temperature / pressure;
    let held = Held::EnergyVolume {
        energy_over_r,
        volume_over_r,
    };
    let gas = Problem {
        amounts: mixture.atoms(),
        held,
    }
    .solve(options)?;
    let end = gas.temperature();
    let frozen = |t: f64| gas.enthalpy_over_r(t) - gas.total() * t;
    let heat = GAS_CONSTANT * (frozen(end) - frozen(temperature));
    Ok(mixture.burn(gas.report(gas.total() * end / volume_over_r), heat))
}

impl Mixture {
    fn burn(&self, products: Equilibrium, heat: f64) -> Burn {
        Burn {
            products,
            heat_per_kg_mixture: heat / self.mass(),
            heat_per_kg_air: heat / self.air_mass(),
        }
    }
}

fn check(mixture: &Mixture, temperature: f64, pressure: f64) -> Result<(), EquilibriumError> {
    mixture.check()?;
    in_range("temperature (K)", temperature, &TEMPERATURE_RANGE)?;
    in_range("pressure (Pa)", pressure, &PRESSURE_RANGE)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every kind of problem over all fuels, all mixtures, and states far beyond an engine's.
    #[test]
    fn everything_in_range_converges_soon() {
        let options = Options::default();
        for x in (0..=10).map(|i| f64::from(i) / 10.0) {
            for phi in (0..=25).map(|i| 0.02 * crate::lanes::powf(500.0, f64::from(i) / 25.0)) {
                let mixture = Mixture::new(x, phi.clamp(0.02, 10.0));
                for (t, p) in [(300.0, 1e5), (600.0, 8e5), (800.0, 5e6), (200.0, 1e3), (1500.0, 1e8)] {
                    let results = [
                        at_constant_volume(&mixture, t, p, &options).map(|burn| burn.products),
                        at_constant_pressure(&mixture, t, p, &options).map(|burn| burn.products),
                        at_temperature(&mixture, 2.0 * t, p, &options),
                    ];
                    for gas in results {
                        let gas = gas.unwrap_or_else(|error| panic!("{error}: {mixture:?} {t} K {p} Pa"));
                        assert!(gas.iterations <= 60, "{gas:?}");
                        assert!((gas.mole_fractions.iter().sum::<f64>() - 1.0).abs() < 1e-12);
                        assert!(gas.mole_fractions.iter().all(|fraction| (0.0..=1.0).contains(fraction)));
                    }
                }
            }
        }
    }

    #[test]
    fn a_burn_conserves_atoms_and_energy() {
        let mixture = Mixture::new(0.2, 1.4);
        let burn = at_constant_volume(&mixture, 600.0, 8e5, &Options::default()).unwrap();
        let gas = burn.products;
        let moles = mixture.mass() / gas.mean_molar_mass;
        let species = crate::fluids::nasa7::PRODUCTS;
        for (k, amount) in mixture.atoms().into_iter().enumerate() {
            let found: f64 = species
                .iter()
                .zip(gas.mole_fractions)
                .map(|(s, x)| moles * x * s.atoms[k])
                .sum();
            assert!((found / amount - 1.0).abs() < 1e-10, "element {k}: {found} {amount}");
        }
        let energy: f64 = species
            .iter()
            .zip(gas.mole_fractions)
            .map(|(s, x)| moles * x * s.internal_energy(gas.temperature))
            .sum();
        let before = mixture.enthalpy(600.0) - mixture.total_amount() * GAS_CONSTANT * 600.0;
        assert!((energy - before).abs() < 1e-6 * before.abs(), "{energy} {before}");
    }

    #[test]
    fn bad_input_is_named_and_hopeless_options_end() {
        let day = (300.0, 1e5, Options::default());
        for mixture in [
            Mixture::new(-0.1, 1.0),
            Mixture::new(f64::NAN, 1.0),
            Mixture::new(0.2, 0.0),
            Mixture::new(0.2, f64::INFINITY),
            Mixture {
                nitrogen_per_oxygen: 0.0,
                ..Mixture::new(0.2, 1.0)
            },
        ] {
            let result = at_constant_volume(&mixture, day.0, day.1, &day.2);
            assert!(matches!(result, Err(EquilibriumError::OutOfRange { .. })), "{result:?}");
        }
        let good = Mixture::new(0.2, 1.0);
        for (t, p) in [(100.0, 1e5), (f64::NAN, 1e5), (300.0, 0.0), (300.0, f64::NAN)] {
            assert!(matches!(
                at_temperature(&good, t, p, &day.2),
                Err(EquilibriumError::OutOfRange { .. })
            ));
        }
        let hasty = Options {
            max_iterations: 3,
            ..day.2
        };
        let result = at_constant_pressure(&good, day.0, day.1, &hasty);
        assert!(
            matches!(result, Err(EquilibriumError::NotConverged { iterations: 3, .. })),
            "{result:?}"
        );
        for start_temperature in [f64::NAN, 0.0, -5.0, 1e300] {
            for max_log_step in [0.4, 0.0, f64::NAN, 1e9] {
                let wild = Options {
                    start_temperature,
                    max_log_step,
                    ..day.2
                };
                if let Ok(burn) = at_constant_volume(&good, day.0, day.1, &wild) {
                    assert!(burn.products.temperature.is_finite(), "{wild:?}");
                }
            }
        }
    }
}
