//! The engine: constant parameters, varying state, and one revolution as one readable function.
//!
//! [`Engine`] is derived once from a [`Setup`] per lane and never changes; [`State`] is small and `Copy`; [`Engine::step`] is the
//! order of the laws. The laws know nothing of each other: only this file composes them.

mod abreast;
mod breathing;
mod carburettor;
mod combustion;
mod film;
mod firing;
#[cfg(test)]
mod firing_period_tests;
mod gas_exchange;
mod heat;
pub mod params;
mod plug;
mod setting;
mod shaft;
mod smoke;
pub mod state;
mod tank;
mod wear;

pub use abreast::{run_abreast, run_abreast_with};
pub use breathing::pump_pressure_ratio;
pub use carburettor::volume_flow;
pub use gas_exchange::{kept_share, trapping_efficiency};
use params::{EngineParams, Faults, HeatRange, LawParams, Setting};
use state::{Charge, Controls, Load, Revolution, State};

use crate::fluids::{air::Air, fuel::Fuel, heat_release::HeatRelease};
use crate::lanes::Lanes;
use crate::noise::{Noise, bells, uniforms};

/// Everything that stays constant while one engine runs: parts, fuel, weather, faults.
#[derive(Clone, Copy, Debug)]
pub struct Setup {
    /// The engine.
    pub engine: EngineParams,
    /// The laws' shared constants.
    pub laws: LawParams,
    /// The plug's heat range.
    pub range: HeatRange,
    /// The fuel.
    pub fuel: Fuel,
    /// Its heat per kilogram of air.
    pub heat: HeatRelease,
    /// The weather.
    pub air: Air,
    /// What is wrong with it.
    pub faults: Faults,
}

/// `N` engines abreast, derived once.
#[derive(Clone, Copy, Debug)]
pub struct Engine<const N: usize> {
    breathing: breathing::Breathing<N>,
    carburettor: carburettor::Carburettor<N>,
    tank: tank::Tank<N>,
    film: film::Film<N>,
    gas_exchange: gas_exchange::GasExchange<N>,
    firing: firing::Firing<N>,
    combustion: combustion::Combustion<N>,
    plug: plug::Plug<N>,
    shaft: shaft::Shaft<N>,
    heat: heat::Heat<N>,
    smoke: smoke::Smoke<N>,
    wear: wear::Wear<N>,
    oil_fraction: Lanes<N>,
    /// Stoichiometric air per kg of the whole blend, oil inert.
    air_fuel_ratio: Lanes<N>,
    /// Water vapour that comes with the air and only passes through, kg per kg of dry air.
    humidity_ratio: Lanes<N>,
    ambient_temperature: Lanes<N>,
    ambient_pressure: Lanes<N>,
    displacement: Lanes<N>,
    full_air: Lanes<N>,
}

/// Length of a step of an engine that stands, s.
const STANDING_STEP: f64 = 0.02;

impl<const N: usize> Engine<N> {
    /// Derives the constants of `N` engines.
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            breathing: breathing::Breathing::new(setups),
            carburettor: carburettor::Carburettor::new(setups),
            tank: tank::Tank::new(setups),
            film: film::Film::new(setups),
            gas_exchange: gas_exchange::GasExchange::new(setups),
            firing: firing::Firing::new(setups),
            combustion: combustion::Combustion::new(setups),
            plug: plug::Plug::new(setups),
            shaft: shaft::Shaft::new(setups),
            heat: heat::Heat::new(setups),
            smoke: smoke::Smoke::new(setups),
            wear: wear::Wear::new(setups),
            oil_fraction: each(|s| s.fuel.oil_mass_fraction),
            air_fuel_ratio: each(|s| s.fuel.stoichiometric_air_fuel_ratio),
            humidity_ratio: each(|s| s.air.humidity_ratio),
            ambient_temperature: each(|s| s.air.temperature),
            ambient_pressure: each(|s| s.air.pressure),
            displacement: each(|s| s.engine.geometry.displacement_cm3 * 1e-6),
            full_air: each(|s| s.air.dry_density * s.engine.geometry.displacement_cm3 * 1e-6),
        }
    }

    /// Stoichiometric air per kilogram of the whole blend, oil inert.
    pub fn stoichiometric_air_fuel_ratio(&self) -> Lanes<N> {
        self.air_fuel_ratio
    }

    /// Fuel of a full tank, kg.
    pub fn tank_capacity(&self) -> Lanes<N> {
        self.tank.capacity()
    }

    /// A standing engine with a full tank, everything at ambient temperature.
    pub fn cold_state(&self) -> State<N> {
        let zero = Lanes::splat(0.0);
        let density = self.ambient_pressure / (self.ambient_temperature * 290.0);
        State {
            time: zero,
            revolution: [0; N],
            speed: zero,
            wheel_speed: zero,
            film_fuel: zero,
            film_oil: zero,
            tank_pressure: zero,
            tank_fuel: self.tank.capacity(),
            line_drawn: zero,
            head_temperature: self.ambient_temperature,
            crankcase_temperature: self.ambient_temperature,
            plug_temperature: self.ambient_temperature,
            pipe_temperature: self.ambient_temperature,
            left: Charge {
                air: density * self.displacement,
                fuel: zero,
                burnt: zero,
                temperature: self.ambient_temperature,
            },
            pipe_mist: zero,
            pipe_oil: zero,
            damage: zero,
        }
    }

    /// The same engine brought to running temperature (head 100 °C, crankcase 60 °C, plug lit) and spun to `speed` rev/s.
    pub fn warm_state(&self, speed: f64) -> State<N> {
        State {
            speed: Lanes::splat(speed),
            head_temperature: Lanes::splat(373.15),
            crankcase_temperature: Lanes::splat(333.15),
            plug_temperature: Lanes::splat(1000.0),
            pipe_temperature: Lanes::splat(600.0),
            ..self.cold_state()
        }
    }

    /// One crankshaft revolution (or, for an engine that stands, a short while).
    #[inline(always)]
    pub fn step(&self, state: &mut State<N>, controls: &Controls<N>, noise: &[Noise; N]) -> Revolution<N> {
        let (jitter_charge, jitter_film) = bells(noise, &state.revolution);
        let zero = Lanes::splat(0.0);
        let one = Lanes::splat(1.0);
        let alive = zero.if_less(state.speed, one, zero);
        let speed = zero.if_less(state.speed, state.speed, Lanes::splat(1.0 / STANDING_STEP));
        let duration = speed.recip();

        // Throttle and air, metering.
        let slide = self.carburettor.slide(controls.throttle, controls.idle_turns);
        let intake = self
            .breathing
            .intake(speed, slide, state.pipe_temperature, state.crankcase_temperature);
        let air = intake.air * alive;
        let delivery_ratio = intake.delivery_ratio * alive;
        let foam_dice = uniforms(noise, &foam_addresses(state.time));
        let metered = self.carburettor.meter(
            slide,
            intake.depression * alive,
            self.tank.feed_pressure(state.tank_pressure, state.tank_fuel) * alive,
            state.crankcase_temperature,
            controls.high_turns,
            controls.low_turns,
            self.carburettor.line_gives(state.line_drawn, controls.line_open) * self.tank.wet(state.tank_fuel),
            foam_dice,
        );
        let blend = (metered.flow * duration).min(state.tank_fuel) * alive;
        let oil = blend * self.oil_fraction;
        let fuel = blend - oil;

        // Film.
        let wetting = self.film.wet(
            state.film_fuel,
            state.film_oil,
            fuel,
            oil,
            air,
            speed * delivery_ratio,
            state.crankcase_temperature,
            duration,
            jitter_film,
        );
        // Gas exchange and firing.
        let exchange = self.gas_exchange.scavenge(
            &state.left,
            air,
            wetting.fuel_to_cylinder,
            delivery_ratio,
            state.crankcase_temperature,
            jitter_charge,
        );
        let burn = self.firing.burn(&exchange.trapped, state.plug_temperature, alive);
        let work = self.combustion.work(
            burn.air,
            exchange.trapped.air,
            burn.equivalence_ratio,
            burn.burnt_fraction,
            speed,
            state.plug_temperature,
            state.head_temperature,
        );
        let mass = exchange.trapped.air + exchange.trapped.fuel + exchange.trapped.burnt;
        let exhaust_temperature = self
            .heat
            .exhaust_temperature(exchange.trapped.temperature, work.heat, mass);
        state.left = Charge {
            temperature: exhaust_temperature,
            ..burn.left
        };

        // Plug, shaft, heat.
        let wetness = wetting.wall_share * fuel / air.max(1e-9);
        state.plug_temperature = self.plug.next_temperature(
            state.plug_temperature,
            state.head_temperature,
            burn.share,
            wetness * alive,
            speed,
            controls.glow_lead,
            duration,
        );
        let turned = self.shaft.turn(
            speed,
            state.wheel_speed,
            work.work,
            intake.pressure_ratio,
            state.crankcase_temperature,
            controls.brake_speed,
            controls.on_track,
            alive,
            duration,
        );
        state.pipe_temperature = self
            .heat
            .next_pipe(state.pipe_temperature, exhaust_temperature, alive, duration);
        let (head, crankcase) = self.heat.next_solids(
            state.head_temperature,
            state.crankcase_temperature,
            work.heat,
            turned.friction_work * alive,
            blend,
            burn.equivalence_ratio,
            work.detonation,
            speed,
            self.shaft.road_speed(state.wheel_speed),
            controls.on_track,
            duration,
        );
        state.head_temperature = head;
        state.crankcase_temperature = crankcase;

        // Smoke, tank, wear.
        let exhaust = exchange.out_air + exchange.out_fuel + exchange.out_burnt;
        let plume = self.smoke.plume(
            state.pipe_mist,
            state.pipe_oil,
            wetting.oil_to_cylinder,
            exchange.trapping_efficiency,
            burn.share,
            exhaust.max(0.0),
            duration,
        );
        state.pipe_mist = plume.mist;
        state.pipe_oil = plume.wall;
        state.tank_pressure = self.tank.next_pressure(
            state.tank_pressure,
            state.tank_fuel,
            (exhaust + air * self.humidity_ratio) * speed,
            state.pipe_temperature,
            duration,
        );
        state.tank_fuel = (state.tank_fuel - blend).max(0.0);
        state.line_drawn = (state.line_drawn + blend) * (1.0 - controls.line_open);
        state.damage += self.wear.damage(
            work.detonation,
            head,
            crankcase,
            speed,
            exchange.trapped.air / self.full_air,
            wetting.oil_to_cylinder,
            alive,
            duration,
        );

        state.film_fuel = wetting.film_fuel;
        state.film_oil = wetting.film_oil;
        state.speed = turned.speed;
        state.wheel_speed = turned.wheel_speed;
        state.time += duration;
        for revolution in &mut state.revolution {
            *revolution += 1;
        }
        Revolution {
            duration,
            speed: turned.speed,
            air_in: air,
            fuel_in: fuel,
            oil_in: oil,
            air_out: exchange.out_air,
            fuel_out: exchange.out_fuel,
            burnt_out: exchange.out_burnt,
            air_burnt: exchange.trapped.air - burn.left.air,
            fuel_burnt: exchange.trapped.fuel - burn.left.fuel,
            oil_burnt: plume.oil_burnt,
            oil_out: plume.oil_out,
            metered_equivalence_ratio: blend * self.air_fuel_ratio / air.max(1e-12),
            equivalence_ratio: burn.equivalence_ratio,
            burnt_share: burn.share,
            burnt_fraction: burn.burnt_fraction,
            dilution_limit: burn.dilution_limit,
            heat: work.heat,
            indicated_work: work.work,
            shaft_work: turned.shaft_work,
            phase_error_deg: work.phase_error_deg,
            detonation: work.detonation,
            delivery_ratio,
            film_release_rate: wetting.release_rate,
            viscous_share: metered.viscous_share,
            opacity: plume.opacity,
        }
    }
}

/// Where the noise says whether a bubble is in the fuel line: a new answer every sixth of a second, far from the revolutions' addresses.
#[inline(always)]
fn foam_addresses<const N: usize>(time: Lanes<N>) -> [u64; N] {
    // Adding 2^52 leaves the nearest integer in the low bits, without the conversion that only some processors do in lanes.
    const INTEGER: f64 = 4_503_599_627_370_496.0;
    let sixths = (time * 6.0).clamp(0.0, INTEGER) + INTEGER;
    let mut address = [0; N];
    for (i, address) in address.iter_mut().enumerate() {
        *address = (1 << 62) | (sixths.0[i].to_bits() - INTEGER.to_bits());
    }
    address
}

/// Controls at one setting with the throttle shut.
pub fn at_rest(setting: Setting, load: Load) -> Controls<1> {
    Controls::new(&[setting], load)
}
