//! Whether a charge fires, and how much of it burns.
//!
//! A charge with burnt-gas fraction `x_b` burns the share `C = C_max / (1 + exp((x_b - x_lim)/w))`. The limit is highest near the
//! best mixture and falls to nothing at the flammability limits, rises with a hot charge and a hot plug, and vanishes with a plug
//! that is out. What does not burn stays for the next revolution, so skipping, four-stroking and loading up appear by themselves
//! (charge feedback as in Daw et al., SAE 962086, which has only the lean limit).

use super::Setup;
use super::state::Charge;
use crate::lanes::Lanes;

#[derive(Clone, Copy, Debug)]
pub(super) struct Firing<const N: usize> {
    best: Lanes<N>,
    limit: Lanes<N>,
    width: Lanes<N>,
    per_plug: Lanes<N>,
    per_charge: Lanes<N>,
    charge_reference: Lanes<N>,
    best_phi: Lanes<N>,
    rich: Lanes<N>,
    lean: Lanes<N>,
    light_off: Lanes<N>,
    light_off_width: Lanes<N>,
    /// Stoichiometric ratio of the combustible part.
    air_fuel_ratio: Lanes<N>,
}

/// The burn of one charge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Burn<const N: usize> {
    /// Share of the charge that burns.
    pub share: Lanes<N>,
    /// Burnt-gas fraction before the burn.
    pub burnt_fraction: Lanes<N>,
    /// Equivalence ratio in the cylinder (unburnt air and fuel).
    pub equivalence_ratio: Lanes<N>,
    /// The limit it was held against.
    pub dilution_limit: Lanes<N>,
    /// Air that took part, kg: releases heat.
    pub air: Lanes<N>,
    /// What is left in the cylinder, before its temperature is known.
    pub left: Charge<N>,
}

impl<const N: usize> Firing<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            best: each(|s| s.laws.firing.best_burnt_share),
            limit: each(|s| s.laws.firing.dilution_limit),
            width: each(|s| 1.0 / s.laws.firing.dilution_width),
            per_plug: each(|s| s.laws.firing.limit_per_plug_k),
            per_charge: each(|s| s.laws.firing.limit_per_charge_k),
            charge_reference: each(|s| s.laws.firing.reference_charge_temperature_k),
            best_phi: each(|s| s.laws.firing.best_equivalence_ratio),
            rich: each(|s| 1.0 / s.laws.firing.rich_span),
            lean: each(|s| 1.0 / s.laws.firing.lean_span),
            light_off: each(|s| s.laws.firing.plug_light_off_k),
            light_off_width: each(|s| 1.0 / s.laws.firing.plug_light_off_width_k),
            air_fuel_ratio: each(|s| s.fuel.stoichiometric_air_fuel_ratio / (1.0 - s.fuel.oil_mass_fraction)),
        }
    }

    /// Burns the trapped `charge`, with the plug at `plug_temperature`; `alive` is 0 for a standing engine.
    #[inline(always)]
    pub fn burn(&self, charge: &Charge<N>, plug_temperature: Lanes<N>, alive: Lanes<N>) -> Burn<N> {
        let total = (charge.air + charge.fuel + charge.burnt).max(1e-12);
        let burnt_fraction = charge.burnt / total;
        let needed = self.air_fuel_ratio * charge.fuel;
        let equivalence_ratio = needed / charge.air.max(1e-12);
        let off = equivalence_ratio - self.best_phi;
        let distance = off * off.if_less(0.0, self.lean, self.rich);
        let mixture = (1.0 - distance * distance).max(0.0);
        let plug_lit = ((plug_temperature - self.light_off) * self.light_off_width).logistic();
        let limit = (self.limit
            + self.per_plug * (plug_temperature - 900.0).min(150.0)
            + self.per_charge * (charge.temperature - self.charge_reference))
            * mixture
            * plug_lit;
        let share = self.best * alive * ((limit - burnt_fraction) * self.width).logistic();
        // A lean charge keeps the air it had no fuel for; a rich one burns its fuel only in part, which the heat per air knows.
        let air = share * charge.air;
        let burnt_air = share * charge.air.min(needed);
        let burnt_fuel = share * charge.fuel;
        Burn {
            share,
            burnt_fraction,
            equivalence_ratio,
            dilution_limit: limit,
            air,
            left: Charge {
                air: charge.air - burnt_air,
                fuel: charge.fuel - burnt_fuel,
                burnt: charge.burnt + burnt_air + burnt_fuel,
                temperature: charge.temperature,
            },
        }
    }
}
