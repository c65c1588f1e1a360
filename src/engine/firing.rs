//! Whether a charge fires, and how much of it burns.
//!
//! A charge with burnt-gas fraction `x_b` burns the share `C = C_max / (1 + exp((x_b/x_lim - 1)/w))`. The limit is highest near the
//! best mixture and falls to nothing at the flammability limits, rises with a hot charge and a hot plug, and vanishes with a plug
//! that is out. What does not burn stays for the next revolution, so skipping, four-stroking and loading up appear by themselves
//! (charge feedback as in Daw et al., SAE 962086, which has only the lean limit).

use super::links::{Link, Sources};
use super::state::Charge;
use crate::lanes::{Lanes, Registers};

#[derive(Clone, Copy, Debug)]
pub(super) struct Firing {
    best: f64,
    limit: f64,
    width: f64,
    per_plug: f64,
    reference_plug: f64,
    plug_most: f64,
    per_charge: f64,
    charge_reference: f64,
    best_phi: f64,
    rich: f64,
    lean: f64,
    light_off: f64,
    light_off_width: f64,
    /// Stoichiometric ratio of the combustible part.
    air_fuel_ratio: f64,
}

/// The burn of one charge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Burn<T> {
    /// Share of the charge that burns.
    pub share: T,
    /// The limit it was held against.
    pub dilution_limit: T,
    /// Air that took part, kg: releases heat.
    pub air: T,
    /// Air used up, kg.
    pub burnt_air: T,
    /// Fuel used up, kg.
    pub burnt_fuel: T,
    /// What is left in the cylinder, before its temperature is known.
    pub left: Charge<T>,
}

/// What a trapped charge is made of.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mixture<T> {
    /// Equivalence ratio in the cylinder (unburnt air and fuel).
    pub equivalence_ratio: T,
    /// Burnt-gas fraction before the burn.
    pub burnt_fraction: T,
}

/// A trapped charge before the plug.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spark<T> {
    /// The charge.
    pub charge: Charge<T>,
    /// Its mixture.
    pub equivalence_ratio: T,
    /// Its share of burnt gas.
    pub burnt_fraction: T,
    /// Temperature of the charge, K.
    pub charge_temperature: T,
    /// Plug, K.
    pub plug_temperature: T,
    /// 0 for a standing engine.
    pub alive: T,
}

impl Firing {
    pub fn new(s: &Sources) -> Self {
        Self {
            best: s.laws.firing.best_burnt_share,
            limit: s.laws.firing.dilution_limit,
            width: 1.0 / s.laws.firing.dilution_width_share,
            per_plug: s.laws.firing.limit_per_plug_k,
            reference_plug: s.laws.firing.reference_plug_k,
            plug_most: s.laws.firing.plug_most_k,
            per_charge: s.laws.firing.limit_per_charge_k,
            charge_reference: s.laws.firing.reference_charge_temperature_k,
            best_phi: s.laws.firing.best_equivalence_ratio,
            rich: 1.0 / s.laws.firing.rich_span,
            lean: 1.0 / s.laws.firing.lean_span,
            light_off: s.laws.firing.plug_light_off_k,
            light_off_width: 1.0 / s.laws.firing.plug_light_off_width_k,
            air_fuel_ratio: {
                let fuel = s.fuel(Link::FuelToStoichiometry);
                fuel.stoichiometric_air_fuel_ratio / (1.0 - fuel.oil_mass_fraction)
            },
        }
    }

    /// What the charge is made of.
    #[inline(always)]
    pub fn mixture<R: Registers>(&self, charge: &Charge<Lanes<R>>) -> Mixture<Lanes<R>> {
        let total = (charge.air + charge.fuel + charge.burnt).max(1e-12);
        let needed = self.air_fuel_ratio * charge.fuel;
        let [per_total, per_air] = Lanes::recips([total, charge.air.max(1e-12)]);
        Mixture {
            burnt_fraction: charge.burnt * per_total,
            equivalence_ratio: needed * per_air,
        }
    }

    /// Burns the charge.
    #[inline(always)]
    pub fn burn<R: Registers>(&self, inputs: Spark<Lanes<R>>) -> Burn<Lanes<R>> {
        let Spark {
            charge,
            equivalence_ratio,
            burnt_fraction,
            charge_temperature,
            plug_temperature,
            alive,
        } = inputs;
        let needed = self.air_fuel_ratio * charge.fuel;
        let off = equivalence_ratio - self.best_phi;
        let distance = off * off.if_less(0.0, self.lean, self.rich);
        let mixture = (1.0 - distance * distance).max(0.0);
        let plug_lit = ((plug_temperature - self.light_off) * self.light_off_width).logistic();
        let limit = (self.limit
            + self.per_plug * (plug_temperature - self.reference_plug).min(self.plug_most)
            + self.per_charge * (charge_temperature - self.charge_reference))
            * mixture
            * plug_lit;
        let share = self.best * alive * ((1.0 - burnt_fraction / limit.max(1e-3)) * self.width).logistic();
        // A lean charge keeps the air it had no fuel for; a rich one burns its fuel only in part, which the heat per air knows.
        let air = share * charge.air;
        let burnt_air = share * charge.air.min(needed);
        let burnt_fuel = share * charge.fuel;
        Burn {
            share,
            dilution_limit: limit,
            air,
            burnt_air,
            burnt_fuel,
            left: Charge {
                air: charge.air - burnt_air,
                fuel: charge.fuel - burnt_fuel,
                burnt: charge.burnt + burnt_air + burnt_fuel,
                temperature: charge.temperature,
            },
        }
    }
}
