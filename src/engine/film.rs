//! The liquid film on the crankcase walls: what the carburettor meters does not all reach the cylinder at once.
//!
//! Form of Aquino (1981) and Hendricks and Sorenson (1990): a share X of the fuel lands on the wall, and the film m leaves at a
//! rate k, `dm/dt = X mdot - k m`. The numbers here are for a small crankcase: what the air and the warm walls cannot vaporise
//! lands (X), and the film leaves by evaporation and by the shear of the flow (k). Loading up, lag, puff and the drift after a
//! burst are this law. Oil does not evaporate: it leaves by shear and drain alone.

use super::links::Sources;
use crate::lanes::{Lanes, Registers};

/// Crankcase temperature to which the constants refer, K.
const REFERENCE_TEMPERATURE: f64 = 333.15;
/// Molar mass of methanol times its latent heat over the gas constant (Clausius-Clapeyron, 1.12 MJ/kg at 60 °C), K.
const VAPOUR_PRESSURE_TEMPERATURE: f64 = 4_316.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Film {
    vaporised: f64,
    /// Four times the square of the softness.
    softness: f64,
    carry_through: f64,
    evaporation: f64,
    shear: f64,
    shear_exponent: f64,
    oil_drain: f64,
    release_noise: f64,
}

/// What one revolution did to the film; masses in kg, combustible fuel and oil apart.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wetting<T> {
    pub film_fuel: T,
    pub film_oil: T,
    pub fuel_to_cylinder: T,
    pub oil_to_cylinder: T,
    /// Fuel vaporised on its way, kg.
    pub vapour: T,
    /// Share of the metered fuel that lands on the wall.
    pub wall_share: T,
    /// Rate at which the film leaves, 1/s.
    pub release_rate: T,
}

/// What one revolution brings to the walls; masses in kg, combustible fuel and oil apart.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mist<T> {
    /// Fuel on the walls.
    pub film_fuel: T,
    /// Oil on the walls.
    pub film_oil: T,
    /// Fuel metered.
    pub fuel: T,
    /// Oil metered.
    pub oil: T,
    /// Dry air delivered.
    pub air: T,
    /// Speed times delivery ratio, rev/s.
    pub flow_speed: T,
    /// Crankcase, K.
    pub crankcase_temperature: T,
    /// Its duration, s.
    pub duration: T,
    /// Noise of the release, of unit deviation.
    pub jitter: T,
}

impl Film {
    pub fn new(s: &Sources) -> Self {
        Self {
            vaporised: s.laws.film.vaporised_kg_per_kg,
            softness: 4.0 * s.laws.film.landing_softness * s.laws.film.landing_softness,
            carry_through: 1.0 / s.laws.film.carry_through_rev_per_s,
            evaporation: s.laws.film.evaporation_per_s,
            shear: s.laws.film.shear_per_s,
            shear_exponent: s.laws.film.shear_exponent,
            oil_drain: s.laws.film.oil_drain_per_s,
            release_noise: s.laws.film.release_noise,
        }
    }

    /// One revolution of the film.
    #[inline(always)]
    pub fn wet<R: Registers>(&self, inputs: Mist<Lanes<R>>) -> Wetting<Lanes<R>> {
        let Mist {
            film_fuel,
            film_oil,
            fuel,
            oil,
            air,
            flow_speed,
            crankcase_temperature,
            duration,
            jitter,
        } = inputs;
        // Saturation, slowed by the cold that evaporation itself makes: its fourth root, about 1 % per kelvin.
        let fourth_root = ((1.0 / REFERENCE_TEMPERATURE - crankcase_temperature.recip())
            * (0.25 * VAPOUR_PRESSURE_TEMPERATURE))
            .exp();
        let root = fourth_root * fourth_root;
        let warmth = root * root;
        let vaporised = self.vaporised * fourth_root * air;
        // What lands: nothing of little fuel, all beyond what can be vaporised of much, a hyperbola between.
        let excess = fuel - vaporised;
        let lands = 0.5 * (excess + (excess * excess + self.softness * vaporised * fuel).sqrt());
        let [per_fuel, reaching] = Lanes::recips([fuel.max(1e-12), flow_speed * self.carry_through + 1.0]);
        let landing = lands * per_fuel;
        let wall_share = landing * reaching;
        let shear = self.shear * (flow_speed * (1.0 / 400.0)).powf(self.shear_exponent);
        let release_rate = self.evaporation * warmth + shear;
        let varied = 1.0 + (self.release_noise * jitter).clamp(-0.95, 3.0);
        // Implicit step: positive and mass-conserving for any duration.
        let landed_fuel = film_fuel + wall_share * fuel;
        let [of_fuel, of_oil] = Lanes::recips([
            release_rate * varied * duration + 1.0,
            (shear * varied + self.oil_drain) * duration + 1.0,
        ]);
        let next_fuel = landed_fuel * of_fuel;
        let landed_oil = film_oil + wall_share * oil;
        let next_oil = landed_oil * of_oil;
        Wetting {
            film_fuel: next_fuel,
            film_oil: next_oil,
            fuel_to_cylinder: film_fuel + fuel - next_fuel,
            oil_to_cylinder: film_oil + oil - next_oil,
            vapour: fuel * (1.0 - landing),
            wall_share,
            release_rate,
        }
    }
}
