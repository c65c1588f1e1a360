//! The engine: constant parameters, varying state, and one revolution as one readable function.
//!
//! [`Engine`] is derived once from a [`Setup`] and never changes; [`State`] is small and `Copy`; `Engine::revolve` is the order of the
//! laws, written once over lanes: [`Engine::step`] turns one engine, [`Engine::play`] as many as the processor has registers for. The
//! laws know nothing of each other: only this file composes them.

mod abreast;
mod alone;
mod breathing;
mod carburettor;
mod charge;
mod combustion;
mod film;
mod firing;
#[cfg(test)]
mod firing_period_tests;
mod gas_exchange;
mod heat;
pub mod links;
mod openings;
pub mod params;
mod plug;
mod setting;
mod setup;
mod shaft;
mod smoke;
mod standing;
pub mod state;
mod tank;
mod walls;
mod wear;

pub use abreast::{Hands, Next, Run};
pub use breathing::pump_pressure_ratio;
pub use carburettor::{idle_opening, volume_flow};
pub use charge::{WET_BULB_SLOPE, WET_BULB_ZERO};
pub use combustion::otto_efficiency;
pub use gas_exchange::{kept_share, trapping_efficiency};
use links::{Hold, Link, Links, Sources};
use openings::Openings;
pub use setup::Setup;
use state::{Charge, Controls, Revolution, State};
pub use walls::transfer_coefficient;

use crate::lanes::{Instructions, Lanes, Registers};
use crate::units::cubic_metre_from_ml;

/// An engine, derived once. Engines that run side by side share one.
#[derive(Clone, Copy, Debug)]
pub struct Engine {
    breathing: breathing::Breathing,
    carburettor: carburettor::Carburettor,
    tank: tank::Tank,
    film: film::Film,
    gas_exchange: gas_exchange::GasExchange,
    firing: firing::Firing,
    combustion: combustion::Combustion,
    plug: plug::Plug,
    shaft: shaft::Shaft,
    heat: heat::Heat,
    charging: charge::Charging,
    walls: walls::Walls,
    smoke: smoke::Smoke,
    wear: wear::Wear,
    oil_fraction: f64,
    /// Stoichiometric air per kg of the whole blend, oil inert.
    air_fuel_ratio: f64,
    /// Water vapour that comes with the air and only passes through, kg per kg of dry air.
    humidity_ratio: f64,
    ambient_temperature: f64,
    /// 1/K.
    per_ambient_temperature: f64,
    ambient_pressure: f64,
    displacement: f64,
    /// 1/kg.
    per_full_air: f64,
    /// Share of the time in which the fuel line carries foam.
    foam_share: f64,
    instructions: Instructions,
}

/// Length of a step of an engine that stands, s.
const STANDING_STEP: f64 = 0.02;

/// What chance does in one revolution.
#[derive(Clone, Copy, Debug)]
struct Chance<T = f64> {
    /// Of the charge trapped, with unit deviation.
    charge: T,
    /// Of the film's release, with unit deviation.
    film: T,
    /// Whether a bubble is in the line: uniform in 0..1.
    bubble: T,
}

impl Engine {
    /// Derives the constants of an engine.
    pub fn new(setup: &Setup) -> Self {
        Self::along(&Sources::of(setup))
    }

    /// The same with weather and fuel of another setup along the `held` links; links of the running engine are held in
    /// [`Engine::step_holding`].
    pub fn holding(setup: &Setup, other: &Setup, held: Links) -> Self {
        Self::along(&Sources::holding(setup, other, held))
    }

    fn along(s: &Sources) -> Self {
        Self {
            breathing: breathing::Breathing::new(s),
            carburettor: carburettor::Carburettor::new(s),
            tank: tank::Tank::new(s),
            film: film::Film::new(s),
            gas_exchange: gas_exchange::GasExchange::new(s),
            firing: firing::Firing::new(s),
            combustion: combustion::Combustion::new(s),
            plug: plug::Plug::new(s),
            shaft: shaft::Shaft::new(s),
            heat: heat::Heat::new(s),
            charging: charge::Charging::new(s),
            walls: walls::Walls::new(s),
            smoke: smoke::Smoke::new(s),
            wear: wear::Wear::new(s),
            oil_fraction: s.fuel(Link::FuelToOil).oil_mass_fraction,
            air_fuel_ratio: s.fuel(Link::FuelToStoichiometry).stoichiometric_air_fuel_ratio,
            humidity_ratio: s.air(Link::HumidityToExhaust).humidity_ratio,
            ambient_temperature: s.air(Link::AirTemperatureToCooling).temperature,
            per_ambient_temperature: 1.0 / s.air(Link::AirTemperatureToCharge).temperature,
            ambient_pressure: s.air(Link::AirPressureToCylinder).pressure,
            displacement: cubic_metre_from_ml(s.engine.geometry.displacement_cm3),
            per_full_air: 1.0
                / (s.air(Link::AirDensityToCharge).dry_density
                    * cubic_metre_from_ml(s.engine.geometry.displacement_cm3)),
            foam_share: s.faults.foam_share,
            instructions: Instructions::best(),
        }
    }

    /// The same on other instructions than the widest of this processor: for tests and benches, since the bits are the same.
    #[must_use]
    pub fn on(self, instructions: Instructions) -> Self {
        Self { instructions, ..self }
    }

    /// Stoichiometric air per kilogram of the whole blend, oil inert.
    pub fn stoichiometric_air_fuel_ratio(&self) -> f64 {
        self.air_fuel_ratio
    }

    /// Fuel of a full tank, kg.
    pub fn tank_capacity(&self) -> f64 {
        self.tank.capacity()
    }

    /// What throttle and screws leave open, with the links passing through `hold`.
    #[inline(always)]
    fn openings<R: Registers>(&self, controls: &Controls<Lanes<R>>, hold: &mut impl Hold<R>) -> Openings<Lanes<R>> {
        let idle_turns = hold.pass(Link::IdleStopToSlide, controls.idle_turns);
        let slide = self.carburettor.slide(controls.throttle, idle_turns);
        Openings {
            area: self.breathing.area(slide),
            gaps: self.carburettor.gaps(
                slide,
                hold.pass(Link::HighNeedleToMetering, controls.high_turns),
                hold.pass(Link::LowNeedleToMetering, controls.low_turns),
            ),
        }
    }

    /// One crankshaft revolution (or, for an engine that stands, a short while), with the links passing through `hold`.
    #[inline(always)]
    fn revolve<R: Registers>(
        &self,
        state: &mut State<Lanes<R>>,
        controls: &Controls<Lanes<R>>,
        openings: &Openings<Lanes<R>>,
        chance: &Chance<Lanes<R>>,
        hold: &mut impl Hold<R>,
    ) -> Revolution<Lanes<R>> {
        let zero = Lanes::of(state.speed.registers(), 0.0);
        let alive = zero.if_less(state.speed, 1.0, 0.0);
        let speed = zero.if_less(state.speed, state.speed, 1.0 / STANDING_STEP);
        let duration = speed.recip();

        // Air, metering.
        let intake = self.breathing.intake(breathing::Throat {
            speed,
            duration,
            area: openings.area,
            pipe_temperature: hold.pass(Link::PipeToCharge, state.pipe_temperature),
            mixture_temperature: state.mixture_temperature,
        });
        let air = intake.air * alive;
        let delivery_ratio = intake.delivery_ratio * alive;
        let feed_pressure = self.tank.feed_pressure(state.tank_pressure, state.tank_fuel) * alive;
        let metered = self.carburettor.meter(carburettor::Signal {
            gaps: openings.gaps,
            depression: hold.pass(Link::ThroatToMetering, intake.depression * alive),
            feed_pressure: hold.pass(Link::TankToMetering, feed_pressure),
            tank_temperature: hold.pass(Link::TankToJet, state.tank_temperature),
            crankcase_temperature: hold.pass(Link::CrankcaseToJet, state.crankcase_temperature),
            line_open: self.carburettor.line_gives(state.line_drawn, controls.line_open)
                * self.tank.wet(state.tank_fuel),
            dice: chance.bubble,
        });
        let flow = hold.pass(Link::MeteringToFilm, metered.flow);
        let blend = (flow * duration).min(state.tank_fuel) * alive;
        let oil = blend * self.oil_fraction;
        let fuel = blend - oil;

        // Film.
        let wetting = self.film.wet(film::Mist {
            film_fuel: state.film_fuel,
            film_oil: state.film_oil,
            fuel,
            oil,
            air,
            flow_speed: speed * delivery_ratio,
            crankcase_temperature: hold.pass(Link::CrankcaseToFilm, state.crankcase_temperature),
            duration,
            jitter: chance.film,
        });
        // The charge on its way, gas exchange, firing.
        let fuel_to_cylinder = hold.pass(Link::FilmToCylinder, wetting.fuel_to_cylinder);
        let fresh = self.charging.arrive(charge::Stream {
            crankcase: hold.pass(Link::CrankcaseToCharge, state.crankcase_temperature),
            crown: hold.pass(Link::CrownToCharge, state.crown_temperature),
            air,
            vapour: wetting.vapour,
            fuel: fuel_to_cylinder,
        });
        let exchange = self.gas_exchange.scavenge(gas_exchange::Fresh {
            old: Charge {
                burnt: hold.pass(Link::LeftToCharge, state.left.burnt),
                ..state.left
            },
            air,
            fuel: fuel_to_cylinder,
            volume: delivery_ratio * fresh.entering * self.per_ambient_temperature,
            fresh_temperature: fresh.dried,
            jitter: chance.charge,
        });
        let mixture = self.firing.mixture(&exchange.trapped);
        let burn = self.firing.burn(firing::Spark {
            charge: exchange.trapped,
            equivalence_ratio: hold.pass(Link::MixtureToFiring, mixture.equivalence_ratio),
            burnt_fraction: hold.pass(Link::DilutionToFiring, mixture.burnt_fraction),
            charge_temperature: hold.pass(Link::ChargeTemperatureToFiring, exchange.trapped.temperature),
            plug_temperature: hold.pass(Link::PlugToFiring, state.plug_temperature),
            alive,
        });
        let timed = self.combustion.work(combustion::Burning {
            air: burn.air,
            mixture_for_heat: hold.pass(Link::MixtureToHeat, mixture.equivalence_ratio),
            mixture_for_phase: hold.pass(Link::MixtureToPhase, mixture.equivalence_ratio),
            burnt_fraction: hold.pass(Link::DilutionToPhase, mixture.burnt_fraction),
            charge_temperature: hold.pass(Link::ChargeTemperatureToPhase, exchange.trapped.temperature),
            speed: hold.pass(Link::SpeedToPhase, speed),
            plug_temperature: hold.pass(Link::PlugToPhase, state.plug_temperature),
            head_temperature: hold.pass(Link::HeadToKnock, state.head_temperature),
        });
        let capacity = exchange.trapped.capacity();
        let contact = self.walls.loss(walls::Flame {
            charge: exchange.trapped,
            capacity,
            heat: timed.heat,
            phasing: timed.phasing,
            early: timed.early,
            detonation: hold.pass(Link::KnockToWalls, timed.detonation),
            head: state.head_temperature,
            crown: state.crown_temperature,
            speed,
            duration,
        });
        // However it burns: no more than what cools the gas to its coldest.
        let work = self
            .combustion
            .indicated(timed.heat, timed.phasing, hold.pass(Link::WallsToWork, contact.heat))
            .min(timed.heat - contact.heat + capacity * (exchange.trapped.temperature - walls::COLDEST));
        let rest = self.walls.rest(
            &contact,
            walls::Expanded {
                temperature: exchange.trapped.temperature,
                capacity,
                gained: timed.heat - work - contact.heat,
                left_capacity: burn.left.capacity(),
            },
        );
        let wall_heat = contact.heat + rest.heat;
        state.left = Charge {
            temperature: rest.left_temperature,
            ..burn.left
        };

        // Plug, shaft, heat.
        let per_air = air.max(1e-12).recip();
        let wetness = wetting.wall_share * fuel * per_air;
        state.plug_temperature = self.plug.next_temperature(plug::Wire {
            temperature: state.plug_temperature,
            head_temperature: hold.pass(Link::HeadToPlug, state.head_temperature),
            burnt_share: burn.share,
            wetness: wetness * alive,
            speed,
            glow_lead: controls.glow_lead,
            alive,
            duration,
        });
        let turned = self.shaft.turn(shaft::Crank {
            speed,
            wheel_speed: state.wheel_speed,
            work: hold.pass(Link::WorkToSpeed, work),
            pressure_ratio: intake.pressure_ratio,
            crankcase_temperature: hold.pass(Link::CrankcaseToFriction, state.crankcase_temperature),
            brake_speed: controls.brake_speed,
            on_track: controls.on_track,
            alive,
            duration,
        });
        state.pipe_temperature = self.heat.next_pipe(heat::PipeGas {
            pipe: state.pipe_temperature,
            exhaust: rest.left_temperature,
            alive,
            duration,
        });
        let into_crown = self.walls.crown_part_of(wall_heat);
        let friction_work = turned.friction_work * alive;
        let solids = self.heat.next_solids(heat::Warmth {
            head: state.head_temperature,
            crankcase: state.crankcase_temperature,
            crown: state.crown_temperature,
            into_crown,
            into_head: wall_heat - into_crown,
            from_crown: fresh.from_crown,
            from_head: fresh.from_head,
            from_crankcase: fresh.from_crankcase,
            friction_work,
            road_speed: self.shaft.road_speed(state.wheel_speed),
            on_track: controls.on_track,
            alive,
            duration,
        });
        state.head_temperature = solids.head;
        state.crankcase_temperature = solids.crankcase;
        state.crown_temperature = solids.crown;
        state.mixture_temperature = fresh.mixture;

        // Smoke, tank, wear.
        let exhaust = exchange.out_air + exchange.out_fuel + exchange.out_burnt;
        let plume = self.smoke.plume(smoke::Oil {
            mist: state.pipe_mist,
            wall: state.pipe_oil,
            oil: wetting.oil_to_cylinder,
            trapped: exchange.trapping_efficiency,
            burnt_share: burn.share,
            exhaust_mass: exhaust.max(0.0),
            speed,
            alive,
            duration,
        });
        state.pipe_mist = plume.mist;
        state.pipe_oil = plume.wall;
        (state.tank_pressure, state.tank_temperature) = self.tank.next(tank::Line {
            pressure: state.tank_pressure,
            temperature: state.tank_temperature,
            crankcase: state.crankcase_temperature,
            fuel_left: state.tank_fuel,
            exhaust_flow: (exhaust + air * self.humidity_ratio) * speed,
            pipe_temperature: hold.pass(Link::PipeToTank, state.pipe_temperature),
            duration,
        });
        state.tank_fuel = (state.tank_fuel - blend).max(0.0);
        state.line_drawn = (state.line_drawn + blend) * (1.0 - controls.line_open);
        state.knock = self.wear.knock(state.knock, timed.detonation, duration);
        state.damage = self.wear.damage(
            &state.damage,
            wear::Strain {
                detonation: timed.detonation,
                knock: state.knock,
                head: solids.head,
                crankcase: solids.crankcase,
                speed,
                load: burn.burnt_air * self.per_full_air,
                oil: wetting.oil_to_cylinder,
                alive,
                duration,
            },
        );

        state.film_fuel = wetting.film_fuel;
        state.film_oil = wetting.film_oil;
        state.speed = turned.speed;
        state.wheel_speed = turned.wheel_speed;
        state.time += duration;
        state.revolution = state.revolution + 1.0;
        Revolution {
            duration,
            speed: turned.speed,
            air_in: air,
            fuel_in: fuel,
            oil_in: oil,
            air_out: exchange.out_air,
            fuel_out: exchange.out_fuel,
            burnt_out: exchange.out_burnt,
            air_burnt: burn.burnt_air,
            fuel_burnt: burn.burnt_fuel,
            oil_burnt: plume.oil_burnt,
            oil_out: plume.oil_out,
            metered_equivalence_ratio: blend * self.air_fuel_ratio * per_air,
            equivalence_ratio: mixture.equivalence_ratio,
            burnt_share: burn.share,
            burnt_fraction: mixture.burnt_fraction,
            dilution_limit: burn.dilution_limit,
            charge_temperature: exchange.trapped.temperature,
            heat: timed.heat,
            wall_heat,
            latent_heat: self.charging.latent(fuel_to_cylinder),
            enthalpy_in: self.charging.enthalpy_in(air, fuel_to_cylinder),
            enthalpy_out: exchange.out_enthalpy,
            cooling: solids.cooling,
            friction_work,
            exhaust_temperature: rest.exhaust_temperature,
            fuel_temperature: metered.temperature,
            indicated_work: work,
            shaft_work: turned.shaft_work,
            phase_error_deg: timed.phase_error_deg,
            detonation: timed.detonation,
            delivery_ratio,
            film_release_rate: wetting.release_rate,
            viscous_share: metered.viscous_share,
            opacity: plume.opacity,
        }
    }
}
