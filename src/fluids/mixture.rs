//! A homogeneous mixture of fuel vapour and air before it burns: amounts of atoms, mass and enthalpy.
//!
//! One mole of combustible fuel (methanol and nitromethane, no oil) with the air that its equivalence ratio asks for. Air
//! here is oxygen and nitrogen alone.

use serde::Serialize;

use crate::fluids::fuel::OXYGEN_MASS_FRACTION;
use crate::fluids::gibbs::{EquilibriumError, in_range};
use crate::fluids::liquids;
use crate::fluids::nasa7::{METHANOL, NITROMETHANE, PRODUCTS, Product};

/// Nitrogen per oxygen in simple dry air, mol/mol: the usual 3.76 of combustion texts (0.2330 kg O2 per kg).
pub const NITROGEN_PER_OXYGEN: f64 = 3.76;

/// Fuel vapour and air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mixture {
    /// Mole fraction of nitromethane in the fuel, 0..1; the rest is methanol.
    pub nitro_mole_fraction: f64,
    /// Fuel-air equivalence ratio, rich above 1, in [`Mixture::PHI`].
    pub phi: f64,
    /// Nitrogen per oxygen in the air, mol/mol, in [`Mixture::NITROGEN`].
    pub nitrogen_per_oxygen: f64,
}

impl Mixture {
    /// Accepted equivalence ratios.
    pub const PHI: std::ops::RangeInclusive<f64> = 0.02..=10.0;
    /// Accepted nitrogen per oxygen, mol/mol.
    pub const NITROGEN: std::ops::RangeInclusive<f64> = 1.0..=10.0;

    /// A mixture with simple dry air.
    pub const fn new(nitro_mole_fraction: f64, phi: f64) -> Mixture {
        Mixture {
            nitro_mole_fraction,
            phi,
            nitrogen_per_oxygen: NITROGEN_PER_OXYGEN,
        }
    }

    /// The same with the air by which air-fuel ratios are counted: [`OXYGEN_MASS_FRACTION`], the rest nitrogen.
    pub fn with_counted_air(self) -> Mixture {
        let [oxygen, nitrogen] = [Product::O2, Product::N2].map(|gas| PRODUCTS[gas as usize].molar_mass);
        let nitrogen_per_oxygen = oxygen / nitrogen * (1.0 / OXYGEN_MASS_FRACTION - 1.0);
        Mixture {
            nitrogen_per_oxygen,
            ..self
        }
    }

    /// Whether every number lies in its range.
    pub(crate) fn check(&self) -> Result<(), EquilibriumError> {
        in_range("nitromethane mole fraction", self.nitro_mole_fraction, &(0.0..=1.0))?;
        in_range("equivalence ratio", self.phi, &Self::PHI)?;
        in_range(
            "nitrogen per oxygen (mol/mol)",
            self.nitrogen_per_oxygen,
            &Self::NITROGEN,
        )
    }

    /// Amounts of methanol, nitromethane, oxygen and nitrogen, mol, for one mole of fuel.
    fn reactants(&self) -> [f64; 4] {
        let nitromethane = self.nitro_mole_fraction;
        let methanol = 1.0 - nitromethane;
        let oxygen = (methanol * liquids::METHANOL.oxygen_demand + nitromethane * liquids::NITROMETHANE.oxygen_demand)
            / self.phi;
        [methanol, nitromethane, oxygen, oxygen * self.nitrogen_per_oxygen]
    }

    /// Total amount before burning, mol per mol of fuel.
    pub fn total_amount(&self) -> f64 {
        self.reactants().iter().sum()
    }

    /// Amounts of carbon, hydrogen, oxygen and nitrogen atoms, mol per mol of fuel.
    pub fn atoms(&self) -> [f64; 4] {
        let [methanol, nitromethane, oxygen, nitrogen] = self.reactants();
        let fuel = methanol + nitromethane;
        let oxygen = methanol + 2.0 * nitromethane + 2.0 * oxygen;
        [
            fuel,
            4.0 * methanol + 3.0 * nitromethane,
            oxygen,
            nitromethane + 2.0 * nitrogen,
        ]
    }

    /// Mass of the air, kg per mol of fuel.
    pub fn air_mass(&self) -> f64 {
        let [.., oxygen, nitrogen] = self.reactants();
        oxygen * PRODUCTS[Product::O2 as usize].molar_mass + nitrogen * PRODUCTS[Product::N2 as usize].molar_mass
    }

    /// Mass of fuel and air, kg per mol of fuel.
    pub fn mass(&self) -> f64 {
        let [methanol, nitromethane, ..] = self.reactants();
        self.air_mass() + methanol * METHANOL.molar_mass + nitromethane * NITROMETHANE.molar_mass
    }

    /// Fuel-air ratio by mass, kg combustible fuel per kg air.
    pub fn fuel_air_ratio(&self) -> f64 {
        self.mass() / self.air_mass() - 1.0
    }

    /// Enthalpy, J per mol of fuel, fuel as vapour, all at a temperature in K (200..1500 for the fuel's polynomials).
    pub fn enthalpy(&self, temperature: f64) -> f64 {
        let [methanol, nitromethane, ..] = self.reactants();
        let fuel = methanol * METHANOL.enthalpy(temperature) + nitromethane * NITROMETHANE.enthalpy(temperature);
        fuel + self.air_enthalpy(temperature)
    }

    /// Enthalpy, J per mol of fuel, fuel as liquid, all at 298.15 K.
    pub fn enthalpy_liquid_fuel(&self) -> f64 {
        let [methanol, nitromethane, ..] = self.reactants();
        methanol * liquids::METHANOL.formation_enthalpy
            + nitromethane * liquids::NITROMETHANE.formation_enthalpy
            + self.air_enthalpy(298.15)
    }

    fn air_enthalpy(&self, temperature: f64) -> f64 {
        let [.., oxygen, nitrogen] = self.reactants();
        oxygen * PRODUCTS[Product::O2 as usize].enthalpy(temperature)
            + nitrogen * PRODUCTS[Product::N2 as usize].enthalpy(temperature)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fluids::fuel::{Blend, Fuel};

    #[test]
    fn atoms_weigh_what_the_mixture_weighs() {
        for x in [0.0, 0.3, 1.0] {
            let mixture = Mixture::new(x, 1.3);
            let [c, h, o, n] = mixture.atoms();
            let mass = (c * 12.011 + h * 1.008 + o * 15.999 + n * 14.007) * 1e-3;
            assert!((mass / mixture.mass() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn counted_air_gives_the_fuels_own_air_fuel_ratio() {
        let fuel = Fuel::new(Blend {
            nitro_percent: 25.0,
            oil_percent: 0.0,
            castor_share: 1.0,
        });
        let mixture = Mixture::new(fuel.nitro_mole_fraction, 1.0).with_counted_air();
        let ratio = mixture.fuel_air_ratio() * fuel.stoichiometric_air_fuel_ratio;
        assert!((ratio - 1.0).abs() < 1e-12, "{ratio}");
    }
}
