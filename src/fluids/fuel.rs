//! A fuel as it's poured: so much nitromethane, so much oil, the rest methanol, and what that means for an engine.
//!
//! The oil is counted as *inert* throughout: it takes part in mass and viscosity, not in burning, since most of it leaves
//! unburnt. A sheet that lets the oil burn shows larger air-fuel ratios: for 16 % nitromethane and 12 % castor oil, 4.60
//! becomes 6.27.

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use crate::fluids::liquids::Oil;
use crate::fluids::liquids::{METHANOL, NITROMETHANE};
use crate::lanes::{exp, ln};

/// Oxygen in dry air by mass, kg/kg, as this project counts it in air-fuel ratios (common practice: 0.232; with argon and
/// today's CO2 it is 0.2314, which gives methanol its handbook 6.47).
pub const OXYGEN_MASS_FRACTION: f64 = 0.232_0;

/// A recipe in percent by volume at 20 °C; the rest is methanol, and volumes add.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blend {
    /// Nitromethane, volume percent of the whole, 0..100.
    pub nitro_percent: f64,
    /// All oil, volume percent of the whole, 0..[`Blend::MAX_OIL_PERCENT`].
    pub oil_percent: f64,
    /// Castor's share of the oil by volume, 0..1; the rest is synthetic.
    pub castor_share: f64,
}

/// A recipe that can't be poured.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum BlendError {
    /// Nitromethane outside 0..100 %.
    #[error("nitromethane {0} % is outside 0..100 %")]
    Nitromethane(f64),
    /// Oil outside the accepted range.
    #[error("oil {0} % is outside 0..60 %")]
    Oil(f64),
    /// Nitromethane and oil together exceed the whole.
    #[error("nitromethane and oil together make {0} %, more than 100 %")]
    Together(f64),
    /// Castor share outside 0..1.
    #[error("castor share {0} is outside 0..1")]
    CastorShare(f64),
}

/// Percentages that were computed or printed may add up to this much too much.
const ROUNDING_PERCENT: f64 = 1e-9;

impl Blend {
    /// Most oil accepted, volume percent: beyond, hardly anything burns.
    pub const MAX_OIL_PERCENT: f64 = 60.0;

    /// The same recipe, or what is wrong with it (also where a number is not a number). What exceeds the whole by no more than numbers
    /// are rounded is nitromethane and oil alone.
    pub fn validated(self) -> Result<Blend, BlendError> {
        if !(0.0..=100.0).contains(&self.nitro_percent) {
            return Err(BlendError::Nitromethane(self.nitro_percent));
        }
        if !(0.0..=Self::MAX_OIL_PERCENT).contains(&self.oil_percent) {
            return Err(BlendError::Oil(self.oil_percent));
        }
        let together = self.nitro_percent + self.oil_percent;
        if together > 100.0 + ROUNDING_PERCENT {
            return Err(BlendError::Together(together));
        }
        if !(0.0..=1.0).contains(&self.castor_share) {
            return Err(BlendError::CastorShare(self.castor_share));
        }
        Ok(self.held())
    }

    /// The nearest recipe that can be poured: each number held in its range, "not a number" taken as 0.
    pub fn held(self) -> Blend {
        let hold = |x: f64, high: f64| if x > 0.0 { x.min(high) } else { 0.0 };
        let oil_percent = hold(self.oil_percent, Self::MAX_OIL_PERCENT);
        Blend {
            nitro_percent: hold(self.nitro_percent, 100.0 - oil_percent),
            oil_percent,
            castor_share: hold(self.castor_share, 1.0),
        }
    }

    /// Methanol, volume percent.
    pub fn methanol_percent(&self) -> f64 {
        (100.0 - self.nitro_percent - self.oil_percent).max(0.0)
    }

    /// Volume fractions 0..1 of methanol, nitromethane, castor oil and synthetic oil.
    pub fn volume_fractions(&self) -> [f64; 4] {
        let castor = self.oil_percent * self.castor_share;
        [
            self.methanol_percent(),
            self.nitro_percent,
            castor,
            self.oil_percent - castor,
        ]
        .map(|percent| percent / 100.0)
    }
}

/// What a blend means to an engine. All SI; "per kg" is per kg of the whole blend, oil included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fuel {
    /// The recipe it was made from, held in range.
    pub blend: Blend,
    /// Mass fraction of methanol, kg/kg.
    pub methanol_mass_fraction: f64,
    /// Mass fraction of nitromethane, kg/kg.
    pub nitromethane_mass_fraction: f64,
    /// Mass fraction of all oil, kg/kg.
    pub oil_mass_fraction: f64,
    /// Mass fraction of castor oil, kg/kg.
    pub castor_mass_fraction: f64,
    /// Mole fraction of nitromethane in the combustible part (methanol + nitromethane), mol/mol.
    pub nitro_mole_fraction: f64,
    /// Stoichiometric air-fuel ratio, kg dry air per kg, oil inert.
    pub stoichiometric_air_fuel_ratio: f64,
    /// Lower heating value, J/kg, liquid fuel at 298.15 K to water vapour, oil inert.
    pub lower_heating_value: f64,
    /// Latent heat of vaporisation at 298.15 K, J/kg, ideal mixture, oil staying liquid.
    pub latent_heat: f64,
    /// Density at 20 °C, kg/m³.
    pub density_20c: f64,
    /// Multiplier on [`Fuel::viscosity`], 1: the mixing rule is a guess (no trusted data for such blends), so studies
    /// vary this, say 0.7..1.4.
    pub viscosity_factor: f64,
}

impl Fuel {
    /// The properties of a blend. Give it one that passes [`Blend::validated`]; any other is [`Blend::held`] first.
    pub fn new(blend: Blend) -> Fuel {
        let blend = blend.held();
        let [methanol, nitromethane, castor, synthetic] = blend.volume_fractions();
        let masses = [
            methanol * METHANOL.density_20c,
            nitromethane * NITROMETHANE.density_20c,
            castor * Oil::Castor.density_20c(),
            synthetic * Oil::Synthetic.density_20c(),
        ];
        let density_20c = masses[0] + masses[1] + masses[2] + masses[3];
        let [methanol, nitromethane, castor, synthetic] = masses.map(|mass| mass / density_20c);
        let methanol_moles = methanol / METHANOL.molar_mass;
        let nitromethane_moles = nitromethane / NITROMETHANE.molar_mass;
        let latent =
            methanol_moles * METHANOL.vaporisation_enthalpy + nitromethane_moles * NITROMETHANE.vaporisation_enthalpy;
        let oxygen = methanol * METHANOL.oxygen_demand_by_mass() + nitromethane * NITROMETHANE.oxygen_demand_by_mass();
        Fuel {
            blend,
            methanol_mass_fraction: methanol,
            nitromethane_mass_fraction: nitromethane,
            oil_mass_fraction: castor + synthetic,
            castor_mass_fraction: castor,
            nitro_mole_fraction: nitromethane_moles / (methanol_moles + nitromethane_moles),
            stoichiometric_air_fuel_ratio: oxygen / OXYGEN_MASS_FRACTION,
            lower_heating_value: methanol * METHANOL.lower_heating_value()
                + nitromethane * NITROMETHANE.lower_heating_value(),
            latent_heat: latent,
            density_20c,
            viscosity_factor: 1.0,
        }
    }

    /// Density, kg/m³, at a temperature in K (-40..120 °C): volumes add, each part swelling by its own correlation from
    /// its volume at 20 °C.
    pub fn density(&self, temperature: f64) -> f64 {
        let [methanol, nitromethane, castor, synthetic] = self.blend.volume_fractions();
        let swollen = |volume: f64, density: &dyn Fn(f64) -> f64| volume * density(293.15) / density(temperature);
        let volume = swollen(methanol, &|t| METHANOL.density(t))
            + swollen(nitromethane, &|t| NITROMETHANE.density(t))
            + swollen(castor, &|t| Oil::Castor.density(t))
            + swollen(synthetic, &|t| Oil::Synthetic.density(t));
        self.density_20c / volume
    }

    /// Dynamic viscosity, Pa s, at a temperature in K (-40..120 °C), times [`Fuel::viscosity_factor`].
    ///
    /// Arrhenius's rule by volume, `ln μ = Σ φi ln μi` (Arrhenius 1887; Grunberg and Nissan, Nature 164 (1949) 799, without
    /// their interaction term). No trusted measurements of such blends are known; the factor is the spread.
    pub fn viscosity(&self, temperature: f64) -> f64 {
        let [methanol, nitromethane, castor, synthetic] = self.blend.volume_fractions();
        let cool = 293.15;
        let logarithm = methanol * ln(METHANOL.viscosity(cool))
            + nitromethane * ln(NITROMETHANE.viscosity(cool))
            + castor * ln(Oil::Castor.viscosity(cool))
            + synthetic * ln(Oil::Synthetic.viscosity(cool));
        // With temperature it changes as its solvent does: a little oil dissolved, not oil.
        let solvent = (methanol + nitromethane).max(0.1);
        let logarithm = logarithm
            + (methanol * ln(METHANOL.viscosity(temperature) / METHANOL.viscosity(cool))
                + nitromethane * ln(NITROMETHANE.viscosity(temperature) / NITROMETHANE.viscosity(cool)))
                / solvent;
        self.viscosity_factor * exp(logarithm)
    }

    /// Vapour pressure, Pa, of the methanol in it as if pure, at a temperature in K (-40..120 °C): what drives drying.
    pub fn saturation_pressure(&self, temperature: f64) -> f64 {
        METHANOL.saturation_pressure(temperature)
    }

    /// Heat capacity of the liquid blend, J/(kg K), by mass; oil taken as 2000 J/(kg K) (fatty oils, common practice).
    pub fn heat_capacity(&self, temperature: f64) -> f64 {
        self.methanol_mass_fraction * METHANOL.heat_capacity(temperature)
            + self.nitromethane_mass_fraction * NITROMETHANE.heat_capacity(temperature)
            + self.oil_mass_fraction * 2_000.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn blend(nitro_percent: f64, oil_percent: f64) -> Blend {
        Blend {
            nitro_percent,
            oil_percent,
            castor_share: 1.0,
        }
    }

    #[test]
    fn handbook_air_fuel_ratios_and_heating_values() {
        // Handbook AFR of methanol 6.47 (0.2314 kg O2/kg), of nitromethane 1.70; heating value of methanol 19.9 MJ/kg.
        let methanol = Fuel::new(blend(0.0, 0.0));
        assert!((methanol.stoichiometric_air_fuel_ratio / 6.47 - 1.0).abs() < 3e-3);
        assert!((methanol.lower_heating_value / 19.9e6 - 1.0).abs() < 3e-3);
        let nitromethane = Fuel::new(blend(100.0, 0.0));
        assert!((nitromethane.stoichiometric_air_fuel_ratio / 1.70 - 1.0).abs() < 4e-3);
        assert_eq!(nitromethane.nitro_mole_fraction, 1.0);
    }

    #[test]
    fn density_at_20_degrees_is_the_sum_of_the_poured_volumes() {
        let fuel = Fuel::new(Blend {
            nitro_percent: 16.0,
            oil_percent: 12.0,
            castor_share: 0.3,
        });
        assert!((fuel.density(293.15) / fuel.density_20c - 1.0).abs() < 1e-14);
        assert!(fuel.density(313.15) < fuel.density_20c);
        let sum = fuel.methanol_mass_fraction + fuel.nitromethane_mass_fraction + fuel.oil_mass_fraction;
        assert!((sum - 1.0).abs() < 1e-14);
    }

    #[test]
    fn oil_thickens_and_nitromethane_takes_less_air() {
        let thin = Fuel::new(blend(16.0, 8.0));
        let thick = Fuel::new(blend(16.0, 20.0));
        assert!(thick.viscosity(293.15) > 1.5 * thin.viscosity(293.15));
        let (mild, hot) = (Fuel::new(blend(10.0, 12.0)), Fuel::new(blend(30.0, 12.0)));
        assert!(hot.stoichiometric_air_fuel_ratio < mild.stoichiometric_air_fuel_ratio);
        let varied = Fuel {
            viscosity_factor: 1.3,
            ..thin
        };
        assert!((varied.viscosity(300.0) / thin.viscosity(300.0) - 1.3).abs() < 1e-14);
    }

    #[test]
    fn a_whole_without_methanol_is_a_whole_however_it_was_rounded() {
        // What two jugs make, printed and typed again: parts of a whole of one to two hundred.
        let mut above = 0;
        for nitro in 1..200 {
            for oil in 1..200 {
                let percent = 100.0 / f64::from(nitro + oil);
                let parts = blend(f64::from(nitro) * percent, f64::from(oil) * percent);
                if parts.oil_percent > Blend::MAX_OIL_PERCENT {
                    continue;
                }
                above += u32::from(parts.nitro_percent + parts.oil_percent > 100.0);
                let whole = parts.validated().unwrap();
                assert!(whole.methanol_percent() >= 0.0 && (whole.nitro_percent - parts.nitro_percent).abs() < 1e-12);
                let fuel = Fuel::new(whole);
                assert!(fuel.methanol_mass_fraction >= 0.0 && fuel.nitro_mole_fraction <= 1.0);
            }
        }
        assert!(above > 1000, "{above}");
        assert!(blend(60.0, 40.000_001).validated().is_err());
    }

    #[test]
    fn heat_thins_every_fuel_and_cold_thickens_it_within_reason() {
        for (nitro, oil) in [
            (0.0, 0.0),
            (0.0, 60.0),
            (40.0, 60.0),
            (100.0, 0.0),
            (25.0, 11.0),
            (16.0, 20.0),
        ] {
            for castor_share in [0.0, 0.5, 1.0] {
                let fuel = Fuel::new(Blend {
                    castor_share,
                    ..blend(nitro, oil)
                });
                let temperatures = (-100..=200).map(|c| f64::from(c) + 273.15);
                let viscosities: Vec<f64> = temperatures.map(|t| fuel.viscosity(t)).collect();
                assert!(viscosities.is_sorted_by(|cold, warm| cold >= warm), "{fuel:?}");
                // From a tenth of water's to a thick syrup's.
                assert!(
                    viscosities.iter().all(|v| (1e-4..50.0).contains(v)),
                    "{:?}",
                    [viscosities[0], viscosities[300]]
                );
                let beyond = [f64::NEG_INFINITY, f64::INFINITY].map(|t| fuel.viscosity(t));
                assert_eq!(beyond, [viscosities[0], viscosities[300]]);
            }
        }
    }

    #[test]
    fn impossible_recipes_are_named_and_held() {
        assert_eq!(blend(-1.0, 10.0).validated(), Err(BlendError::Nitromethane(-1.0)));
        assert_eq!(blend(10.0, 61.0).validated(), Err(BlendError::Oil(61.0)));
        assert_eq!(blend(60.0, 50.0).validated(), Err(BlendError::Together(110.0)));
        assert_eq!(
            Blend {
                castor_share: 2.0,
                ..blend(16.0, 12.0)
            }
            .validated(),
            Err(BlendError::CastorShare(2.0))
        );
        for bad in [f64::NAN, f64::INFINITY, -5.0, 1e9] {
            let fuel = Fuel::new(Blend {
                nitro_percent: bad,
                oil_percent: bad,
                castor_share: bad,
            });
            assert!(fuel.blend.validated().is_ok());
            assert!(fuel.viscosity(bad).is_finite() || bad.is_nan());
            assert!(fuel.stoichiometric_air_fuel_ratio.is_finite() && fuel.density_20c > 0.0);
        }
    }
}
