//! Rules by which a blend's viscosity is guessed from its parts': they agree on the parts and differ widely for a little oil in much
//! alcohol, and nobody has published measurements of such blends. The model uses the first; the others say how far it may be off.

use serde::Serialize;

use super::fuel::Blend;
use super::liquids::{METHANOL, NITROMETHANE, Oil};
use crate::lanes::{exp, ln};

/// By which share the logarithms of the viscosities are weighed: `ln μ = Σ wi ln μi` (Arrhenius 1887; by moles Grunberg and Nissan,
/// Nature 164 (1949) 799; all without an interaction term).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MixingRule {
    /// By volume: the model's own.
    Volume,
    /// By mass.
    Mass,
    /// By moles: large molecules of oil count for little.
    Mole,
}

/// Molar masses of the oils, kg/mol: castor as triricinolein (CRC Handbook, from memory), the synthetic one assumed.
const CASTOR_MOLAR_MASS: f64 = 0.933;
const SYNTHETIC_MOLAR_MASS: f64 = 0.6;

impl MixingRule {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Volume, Self::Mass, Self::Mole];

    /// Viscosity of a blend at 20 °C, Pa s.
    pub fn viscosity_20c(self, blend: Blend) -> f64 {
        let cool = 293.15;
        let volumes = blend.held().volume_fractions();
        let densities = [
            METHANOL.density_20c,
            NITROMETHANE.density_20c,
            Oil::Castor.density_20c(),
            Oil::Synthetic.density_20c(),
        ];
        let molar_masses = [
            METHANOL.molar_mass,
            NITROMETHANE.molar_mass,
            CASTOR_MOLAR_MASS,
            SYNTHETIC_MOLAR_MASS,
        ];
        let logarithms = [
            METHANOL.viscosity(cool),
            NITROMETHANE.viscosity(cool),
            Oil::Castor.viscosity(cool),
            Oil::Synthetic.viscosity(cool),
        ]
        .map(ln);
        let weight = |k: usize| match self {
            Self::Volume => volumes[k],
            Self::Mass => volumes[k] * densities[k],
            Self::Mole => volumes[k] * densities[k] / molar_masses[k],
        };
        let all: f64 = (0..4).map(weight).sum();
        exp((0..4).map(|k| weight(k) * logarithms[k]).sum::<f64>() / all)
    }

    /// How much more this rule lets the viscosity grow from the fuel `known` to another than the model's own rule does: 1 for the
    /// model's rule, and for `known` itself, on which an engine's needles were set.
    pub fn beyond(self, known: Blend, other: Blend) -> f64 {
        let grows = |rule: Self| rule.viscosity_20c(other) / rule.viscosity_20c(known);
        grows(self) / grows(Self::Volume)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fluids::fuel::Fuel;

    fn blend(nitro_percent: f64, oil_percent: f64) -> Blend {
        Blend {
            nitro_percent,
            oil_percent,
            castor_share: 0.0,
        }
    }

    #[test]
    fn the_first_rule_is_the_models_own() {
        for (nitro, oil) in [(25.0, 11.0), (0.0, 20.0), (40.0, 0.0)] {
            let fuel = Fuel::new(blend(nitro, oil));
            let ours = MixingRule::Volume.viscosity_20c(fuel.blend);
            assert!((ours / fuel.viscosity(293.15) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn rules_agree_without_oil_and_differ_with_a_little() {
        let pure = MixingRule::ALL.map(|rule| rule.viscosity_20c(blend(0.0, 0.0)));
        assert!(pure.iter().all(|viscosity| (viscosity / pure[0] - 1.0).abs() < 1e-12));
        // 25 % nitromethane, 11 % castor oil, worked by hand: exp(0.64 ln 0.58 + 0.25 ln 0.63 + 0.11 ln 986) = 1.34 mPa s by volume; by
        // moles 15.8, 4.7 and 0.11 kmol to the cubic metre: 0.62.
        let castor = Blend {
            castor_share: 1.0,
            ..blend(25.0, 11.0)
        };
        let [volume, _, mole] = MixingRule::ALL.map(|rule| 1e3 * rule.viscosity_20c(castor));
        assert!(
            (1.25..1.45).contains(&volume) && (0.6..0.68).contains(&mole),
            "{volume} {mole}"
        );
        // More oil thickens by every rule, by moles least; what is known stays as it was.
        let (known, oily) = (blend(25.0, 11.0), blend(25.0, 15.0));
        assert_eq!(MixingRule::Volume.beyond(known, oily), 1.0);
        assert!(MixingRule::Mole.beyond(known, oily) < 1.0);
        assert_eq!(MixingRule::Mole.beyond(known, known), 1.0);
        for rule in MixingRule::ALL {
            assert!(rule.viscosity_20c(oily) > rule.viscosity_20c(known), "{rule:?}");
        }
    }
}
