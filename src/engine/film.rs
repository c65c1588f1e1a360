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
    vaporised_per_k: f64,
    least: f64,
    most: f64,
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
            vaporised_per_k: s.laws.film.vaporised_per_k,
            least: s.laws.film.landing_least_share,
            most: s.laws.film.landing_most_share,
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
        let vaporised =
            (self.vaporised + self.vaporised_per_k * (crankcase_temperature - REFERENCE_TEMPERATURE)).max(0.01);
        let landing = (1.0 - vaporised * air / fuel.max(1e-12)).clamp(self.least, self.most);
        let wall_share = landing / (flow_speed * self.carry_through + 1.0);
        let warmth =
            ((1.0 / REFERENCE_TEMPERATURE - crankcase_temperature.recip()) * VAPOUR_PRESSURE_TEMPERATURE).exp();
        let shear = self.shear * (flow_speed * (1.0 / 400.0)).powf(self.shear_exponent);
        let release_rate = self.evaporation * warmth + shear;
        let varied = 1.0 + (self.release_noise * jitter).clamp(-0.95, 3.0);
        // Implicit step: positive and mass-conserving for any duration.
        let landed_fuel = film_fuel + wall_share * fuel;
        let next_fuel = landed_fuel / (release_rate * varied * duration + 1.0);
        let landed_oil = film_oil + wall_share * oil;
        let next_oil = landed_oil / ((shear * varied + self.oil_drain) * duration + 1.0);
        Wetting {
            film_fuel: next_fuel,
            film_oil: next_oil,
            fuel_to_cylinder: film_fuel + fuel - next_fuel,
            oil_to_cylinder: film_oil + oil - next_oil,
            wall_share,
            release_rate,
        }
    }
}
