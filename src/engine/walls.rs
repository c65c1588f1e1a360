//! Heat from the gas to the walls of the cylinder, and what the burn leaves in the gas: the first law, closed every revolution.
//!
//! Annand's form (Proc. IMechE 177 (1963) 973): `Nu = a Re^b`, heat flux `a k/B Re^b (T_gas - T_wall)`, with Reynolds number from
//! mean piston speed, bore and the trapped charge's density. Here b = 0.75, between his 0.7 and Woschni's 0.8 (SAE 670931), because
//! that power is two square roots. The surface is that of a cylinder of equal bore and stroke with half of its liner bare, pi B²; so
//! a small engine loses more of its heat. The gas is hot during a share of the revolution, at a mean temperature of the trapped charge
//! plus a part of its rise by burning; the transfer is limited to what the gas can give, `C (1 - exp(-h A t / C))`, here as
//! `x/(1 + x)`. Range: 0.5-15 cm³, 50-900 rev/s. Leaves out radiation (Annand's second term: some percent) and local hot spots.

use super::links::Sources;
use super::state::{Charge, ENTHALPY_ZERO};
use crate::lanes::{Lanes, Registers};
use crate::units::cubic_metre_from_ml;

/// Conductivity, W/(m K), and viscosity, Pa s, of air at 1100 K (Incropera and DeWitt, table A.4: 0.0715 and 44.9e-6).
const CONDUCTIVITY: f64 = 0.0715;
const VISCOSITY: f64 = 44.9e-6;
/// Coldest that the gas expands to, K: what it has above that is the most that it can do as work.
pub(super) const COLDEST: f64 = 250.0;
/// How softly an early burn begins to heat the walls more, in half widths of the phasing.
const SOFT: f64 = 0.5;

/// Heat-transfer coefficient of Annand's form with the power 0.75, W/(m² K), for a gas of `density` kg/m³ at a mean piston speed, m/s.
pub fn transfer_coefficient(coefficient: f64, bore: f64, density: f64, piston_speed: f64) -> f64 {
    let root = (density * piston_speed * bore / VISCOSITY).sqrt();
    coefficient * CONDUCTIVITY / bore * root * root.sqrt()
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Walls {
    /// W/K at Reynolds number 1, times the hot share of the time.
    conductance: f64,
    /// Reynolds number per kg and rev/s.
    reynolds: f64,
    gas_rise: f64,
    phase_gain: f64,
    phased: f64,
    open: f64,
    crown_part: f64,
    detonation: f64,
}

/// The burn as the walls feel it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flame<T> {
    /// The trapped charge.
    pub charge: Charge<T>,
    /// Its heat capacity, J/K.
    pub capacity: T,
    /// Heat released, J.
    pub heat: T,
    /// How well the burn is phased, 0..1.
    pub phasing: T,
    /// How early it is, in half widths of the phasing.
    pub early: T,
    /// Detonation index.
    pub detonation: T,
    /// Head, K.
    pub head: T,
    /// Crown, K.
    pub crown: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// Duration of the revolution, s.
    pub duration: T,
}

/// How the gas touches the walls.
#[derive(Clone, Copy, Debug)]
pub(super) struct Contact<T> {
    /// Heat given until the exhaust opens, J.
    pub heat: T,
    /// What it could give afterwards, J/K.
    conductance: T,
    /// Mean of the walls, K.
    wall: T,
}

/// The gas when the exhaust opens.
#[derive(Clone, Copy, Debug)]
pub(super) struct Expanded<T> {
    /// Temperature before the burn, K.
    pub temperature: T,
    /// Heat capacity before it, J/K.
    pub capacity: T,
    /// Heat released that was neither work nor went to the walls, J.
    pub gained: T,
    /// Heat capacity of what the burn leaves, J/K.
    pub left_capacity: T,
}

/// The gas that goes, and what it still gave.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rest<T> {
    /// Temperature when the exhaust opens, K.
    pub exhaust_temperature: T,
    /// Heat to the walls afterwards, J.
    pub heat: T,
    /// Temperature then, K.
    pub left_temperature: T,
}

impl Walls {
    pub fn new(s: &Sources) -> Self {
        let displacement = s.engine.geometry.displacement_cm3;
        let bore = s.engine.geometry.bore();
        // Clearance and a part of the stroke, in swept volumes.
        let hot_volume = 1.0 / (s.engine.geometry.compression_ratio - 1.0) + s.laws.heat.hot_volume_share;
        Self {
            conductance: s.laws.heat.annand_coefficient
                * CONDUCTIVITY
                * std::f64::consts::PI
                * bore
                * s.laws.heat.hot_time_share,
            reynolds: 2.0 * bore * bore / (hot_volume * cubic_metre_from_ml(displacement) * VISCOSITY),
            gas_rise: s.laws.heat.gas_rise_share,
            phase_gain: s.laws.heat.wall_phase_gain,
            phased: s.laws.heat.wall_phased_part,
            open: s.laws.heat.open_time_share / s.laws.heat.hot_time_share,
            crown_part: s.laws.heat.crown_part,
            detonation: s.laws.heat.wall_detonation_gain,
        }
    }

    /// Heat to all walls until the exhaust opens, J, and how the gas goes on touching them.
    #[inline(always)]
    pub fn loss<R: Registers>(&self, inputs: Flame<Lanes<R>>) -> Contact<Lanes<R>> {
        let Flame {
            charge,
            capacity,
            heat,
            phasing,
            early,
            detonation,
            head,
            crown,
            speed,
            duration,
        } = inputs;
        let mass = charge.air + charge.fuel + charge.burnt;
        let root = (self.reynolds * mass * speed).sqrt();
        let asked = self.conductance * root * root.sqrt() * duration * (self.detonation * detonation + 1.0);
        let [per_both, per_capacity] = Lanes::recips([(asked + capacity).max(1e-12), capacity.max(1e-12)]);
        let given = asked * capacity * per_both;
        let wall = head + self.crown_part * (crown - head);
        // An early burn is hotter for the walls; a late one not much cooler, since what it leaves is hot.
        let advance = 0.5 * (early + (early * early + SOFT * SOFT).sqrt() - SOFT);
        let hot = (phasing * self.phased + (1.0 - self.phased)) * (1.0 + self.phase_gain * advance);
        // On the mean no hotter than the flame itself.
        let rise = (self.gas_rise * hot).min(1.0) * heat * per_capacity;
        Contact {
            heat: given * (charge.temperature - wall + rise),
            conductance: self.open * asked,
            wall,
        }
    }

    /// What the burn leaves, and what that still gives to the walls while the ports are open: all that is neither work nor wall
    /// stays in the gas.
    #[inline(always)]
    pub fn rest<R: Registers>(&self, contact: &Contact<Lanes<R>>, inputs: Expanded<Lanes<R>>) -> Rest<Lanes<R>> {
        let Expanded {
            temperature,
            capacity,
            gained,
            left_capacity,
        } = inputs;
        let [per_left, per_both] = Lanes::recips([
            left_capacity.max(1e-12),
            (left_capacity + contact.conductance).max(1e-12),
        ]);
        let exhaust = (capacity * (temperature - ENTHALPY_ZERO) + gained) * per_left + ENTHALPY_ZERO;
        let left = contact.wall + (exhaust - contact.wall) * (left_capacity * per_both);
        Rest {
            exhaust_temperature: exhaust,
            heat: left_capacity * (exhaust - left),
            left_temperature: left,
        }
    }

    /// Heat that goes into the crown, of what goes to all walls.
    #[inline(always)]
    pub fn crown_part_of<R: Registers>(&self, loss: Lanes<R>) -> Lanes<R> {
        self.crown_part * loss
    }
}
