//! What varies: the engine's state, the tuner's controls, and the account of one revolution. Plain data, SI units, `Copy`.

use super::params::Setting;
use crate::lanes::{Lanes, Registers};

/// Masses in the cylinder, kg, and their temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charge<T = f64> {
    /// Air with oxygen in it.
    pub air: T,
    /// Combustible fuel (oil not counted).
    pub fuel: T,
    /// Burnt gas.
    pub burnt: T,
    /// Temperature, K.
    pub temperature: T,
}

/// Temperature from which enthalpies count, K.
pub const ENTHALPY_ZERO: f64 = 298.15;
/// Heat capacity of air and fuel vapour at some 500 K, J/(kg K) (from the NASA polynomials: air 1030, methanol vapour 1900).
pub const FRESH_CAPACITY: f64 = 1_100.0;
/// Heat capacity of rich burnt gas at some 1500 K, J/(kg K) (from the NASA polynomials).
pub const BURNT_CAPACITY: f64 = 1_400.0;

impl<R: Registers> Charge<Lanes<R>> {
    /// Heat capacity, J/K.
    #[inline(always)]
    pub fn capacity(&self) -> Lanes<R> {
        FRESH_CAPACITY * (self.air + self.fuel) + BURNT_CAPACITY * self.burnt
    }
}

/// Damage by cause, as a share of the engine's life.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Damage<T = f64> {
    /// Knocking.
    pub detonation: T,
    /// Too hot a head.
    pub overheating: T,
    /// Lean at load: too little oil came with the fuel.
    pub thin_oil: T,
    /// Revving beyond what the rod bears.
    pub revving: T,
    /// Full throttle while cold.
    pub cold_running: T,
}

impl Damage {
    /// All of it: 1 is a lost engine.
    pub fn total(&self) -> f64 {
        self.detonation + self.overheating + self.thin_oil + self.revving + self.cold_running
    }
}

/// Everything that one revolution hands to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State<T = f64> {
    /// Seconds since the start.
    pub time: T,
    /// Revolutions since the start, a whole number: the noise's address.
    pub revolution: T,
    /// Engine speed, rev/s; 0 is a dead engine.
    pub speed: T,
    /// Speed of the drive train as engine revolutions per second.
    pub wheel_speed: T,
    /// Combustible fuel in the crankcase film, kg.
    pub film_fuel: T,
    /// Oil in the crankcase film, kg.
    pub film_oil: T,
    /// Tank pressure above ambient, Pa.
    pub tank_pressure: T,
    /// Fuel left in the tank and its line, kg.
    pub tank_fuel: T,
    /// Fuel drawn from a pinched line since it was pinched, kg: the tube gives a little before it starves the jet.
    pub line_drawn: T,
    /// Head temperature, K.
    pub head_temperature: T,
    /// Crankcase temperature, K.
    pub crankcase_temperature: T,
    /// Temperature of the piston's crown, K.
    pub crown_temperature: T,
    /// Temperature of the mixture in the crankcase, K.
    pub mixture_temperature: T,
    /// Temperature of the fuel in the tank, K.
    pub tank_temperature: T,
    /// Plug element temperature, K.
    pub plug_temperature: T,
    /// Gas temperature in the tuned pipe, K.
    pub pipe_temperature: T,
    /// Charge left in the cylinder at exhaust opening.
    pub left: Charge<T>,
    /// Oil mist in the pipe, kg.
    pub pipe_mist: T,
    /// Oil on the pipe's walls, kg.
    pub pipe_oil: T,
    /// Detonation index held over the last seconds: how far knock has heated what it strikes.
    pub knock: T,
    /// Damage by cause: 1 in all is a lost engine.
    pub damage: Damage<T>,
}

/// What the engine is driving.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    /// On a stand, wheels up.
    Stand,
    /// In the car, on the track.
    Track,
    /// On a brake that holds this speed, rev/s.
    Brake(f64),
}

/// What the tuner's hands do during one revolution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Controls<T = f64> {
    /// Throttle above the idle stop, 0..1.
    pub throttle: T,
    /// High-speed needle, turns open.
    pub high_turns: T,
    /// Low-speed needle, turns open.
    pub low_turns: T,
    /// Idle stop, turns open.
    pub idle_turns: T,
    /// Share of the fuel line that is open: 0 pinched, 1 free.
    pub line_open: T,
    /// 1 with the glow lead on the plug.
    pub glow_lead: T,
    /// Speed held by a brake, rev/s; 0 for none.
    pub brake_speed: T,
    /// 1 in the car on the track, 0 on the stand.
    pub on_track: T,
}

impl Controls {
    /// Throttle shut, line free, no lead, at the given screws under one kind of load.
    pub fn new(setting: Setting, load: Load) -> Self {
        let mut controls = Self {
            throttle: 0.0,
            high_turns: 0.0,
            low_turns: 0.0,
            idle_turns: 0.0,
            line_open: 1.0,
            glow_lead: 0.0,
            brake_speed: 0.0,
            on_track: 0.0,
        };
        controls.set(setting);
        controls.drive(load);
        controls
    }

    /// Turns the screws.
    pub fn set(&mut self, setting: Setting) {
        self.high_turns = setting.high_turns;
        self.low_turns = setting.low_turns;
        self.idle_turns = setting.idle_turns;
    }

    /// Changes what the engine drives.
    pub fn drive(&mut self, load: Load) {
        self.brake_speed = if let Load::Brake(speed) = load { speed } else { 0.0 };
        self.on_track = f64::from(u8::from(load == Load::Track));
    }
}

/// The account of one revolution: what went in, what came out, and what can be seen of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Revolution<T = f64> {
    /// Its duration, s.
    pub duration: T,
    /// Speed at its end, rev/s.
    pub speed: T,
    /// Air drawn in, kg.
    pub air_in: T,
    /// Combustible fuel metered, kg.
    pub fuel_in: T,
    /// Oil metered, kg.
    pub oil_in: T,
    /// Unburnt air out of the exhaust, kg.
    pub air_out: T,
    /// Unburnt fuel out of the exhaust, kg.
    pub fuel_out: T,
    /// Burnt gas out of the exhaust, kg.
    pub burnt_out: T,
    /// Air turned into burnt gas, kg.
    pub air_burnt: T,
    /// Fuel turned into burnt gas, kg.
    pub fuel_burnt: T,
    /// Oil that burnt, kg.
    pub oil_burnt: T,
    /// Oil that left the pipe, visible, kg.
    pub oil_out: T,
    /// Equivalence ratio metered by the carburettor (oil inert).
    pub metered_equivalence_ratio: T,
    /// Equivalence ratio in the cylinder.
    pub equivalence_ratio: T,
    /// Share of the charge that burnt.
    pub burnt_share: T,
    /// Burnt-gas fraction before the burn.
    pub burnt_fraction: T,
    /// Temperature of the trapped charge, K.
    pub charge_temperature: T,
    /// The dilution limit it was held against.
    pub dilution_limit: T,
    /// Heat released, J.
    pub heat: T,
    /// Heat given to the cylinder's walls, J.
    pub wall_heat: T,
    /// Latent heat that this revolution's fuel takes as it evaporates, J.
    pub latent_heat: T,
    /// Enthalpy of the air and the fuel that reached the cylinder, as they came in, J above 25 °C, fuel counted as vapour.
    pub enthalpy_in: T,
    /// Enthalpy of the gas that left, likewise.
    pub enthalpy_out: T,
    /// Heat that the solids gave to the air around, J.
    pub cooling: T,
    /// Friction, J.
    pub friction_work: T,
    /// Temperature of the gas as the exhaust opens, K.
    pub exhaust_temperature: T,
    /// Temperature of the fuel at the jet, K.
    pub fuel_temperature: T,
    /// Work of the gas, J.
    pub indicated_work: T,
    /// Work left for the shaft after friction and pumping, J.
    pub shaft_work: T,
    /// Phase error of the burn, degrees; positive is early.
    pub phase_error_deg: T,
    /// Detonation index: 0 is none.
    pub detonation: T,
    /// Delivery ratio.
    pub delivery_ratio: T,
    /// Rate at which the film leaves the walls, 1/s.
    pub film_release_rate: T,
    /// Share of the metering pressure spent on viscosity.
    pub viscous_share: T,
    /// Opacity of the plume, 0..1.
    pub opacity: T,
}

/// The same of every field, and back: how engines lie side by side.
macro_rules! fields {
    ($name:ident { $($field:ident)* $(; $($nested:ident)*)? }) => {
        impl<T> $name<T> {
            /// `f` of every field.
            #[inline(always)]
            pub fn each<U>(&self, mut f: impl FnMut(&T) -> U) -> $name<U> {
                $name {
                    $($field: f(&self.$field),)*
                    $($($nested: self.$nested.each(&mut f),)*)?
                }
            }
            /// `f` of every field beside another's.
            #[inline(always)]
            pub fn each_with<U>(&mut self, other: &$name<U>, mut f: impl FnMut(&mut T, &U)) {
                $(f(&mut self.$field, &other.$field);)*
                $($(self.$nested.each_with(&other.$nested, &mut f);)*)?
            }
        }
    };
}

pub(super) use fields;

fields!(Damage { detonation overheating thin_oil revving cold_running });
fields!(Charge { air fuel burnt temperature });
fields!(State {
    time revolution speed wheel_speed film_fuel film_oil tank_pressure tank_fuel line_drawn head_temperature
    crankcase_temperature crown_temperature mixture_temperature tank_temperature plug_temperature pipe_temperature pipe_mist pipe_oil knock; left damage
});
fields!(Controls { throttle high_turns low_turns idle_turns line_open glow_lead brake_speed on_track });
fields!(Revolution {
    duration speed air_in fuel_in oil_in air_out fuel_out burnt_out air_burnt fuel_burnt oil_burnt oil_out
    metered_equivalence_ratio equivalence_ratio burnt_share burnt_fraction charge_temperature dilution_limit heat wall_heat
    latent_heat enthalpy_in enthalpy_out cooling friction_work exhaust_temperature fuel_temperature indicated_work shaft_work
    phase_error_deg detonation delivery_ratio film_release_rate viscous_share opacity
});
