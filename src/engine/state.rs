//! What varies: the engine's state, the tuner's controls, and the account of one revolution. Plain data, SI units, `Copy`.

use super::params::Setting;
use crate::lanes::Lanes;

/// Masses in the cylinder, kg, and their temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charge<const N: usize> {
    /// Air with oxygen in it.
    pub air: Lanes<N>,
    /// Combustible fuel (oil not counted).
    pub fuel: Lanes<N>,
    /// Burnt gas.
    pub burnt: Lanes<N>,
    /// Temperature, K.
    pub temperature: Lanes<N>,
}

/// Everything that one revolution hands to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State<const N: usize> {
    /// Seconds since the start.
    pub time: Lanes<N>,
    /// Revolutions since the start: the noise's address.
    pub revolution: [u64; N],
    /// Engine speed, rev/s; 0 is a dead engine.
    pub speed: Lanes<N>,
    /// Speed of the drive train as engine revolutions per second.
    pub wheel_speed: Lanes<N>,
    /// Combustible fuel in the crankcase film, kg.
    pub film_fuel: Lanes<N>,
    /// Oil in the crankcase film, kg.
    pub film_oil: Lanes<N>,
    /// Tank pressure above ambient, Pa.
    pub tank_pressure: Lanes<N>,
    /// Fuel left in the tank and its line, kg.
    pub tank_fuel: Lanes<N>,
    /// Fuel drawn from a pinched line since it was pinched, kg: the tube gives a little before it starves the jet.
    pub line_drawn: Lanes<N>,
    /// Head temperature, K.
    pub head_temperature: Lanes<N>,
    /// Crankcase temperature, K.
    pub crankcase_temperature: Lanes<N>,
    /// Plug element temperature, K.
    pub plug_temperature: Lanes<N>,
    /// Gas temperature in the tuned pipe, K.
    pub pipe_temperature: Lanes<N>,
    /// Charge left in the cylinder at exhaust opening.
    pub left: Charge<N>,
    /// Oil mist in the pipe, kg.
    pub pipe_mist: Lanes<N>,
    /// Oil on the pipe's walls, kg.
    pub pipe_oil: Lanes<N>,
    /// Damage: 1 is a lost engine.
    pub damage: Lanes<N>,
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
pub struct Controls<const N: usize> {
    /// Throttle above the idle stop, 0..1.
    pub throttle: Lanes<N>,
    /// High-speed needle, turns open.
    pub high_turns: Lanes<N>,
    /// Low-speed needle, turns open.
    pub low_turns: Lanes<N>,
    /// Idle stop, turns open.
    pub idle_turns: Lanes<N>,
    /// Share of the fuel line that is open: 0 pinched, 1 free.
    pub line_open: Lanes<N>,
    /// 1 with the glow lead on the plug.
    pub glow_lead: Lanes<N>,
    /// Speed held by a brake, rev/s; 0 for none.
    pub brake_speed: Lanes<N>,
    /// 1 in the car on the track, 0 on the stand.
    pub on_track: Lanes<N>,
}

impl<const N: usize> Controls<N> {
    /// Throttle shut, line free, no lead, at the given screws (one setting per lane) under one kind of load.
    pub fn new(settings: &[Setting; N], load: Load) -> Self {
        Self {
            throttle: Lanes::splat(0.0),
            high_turns: Lanes::each(|i| settings[i].high_turns),
            low_turns: Lanes::each(|i| settings[i].low_turns),
            idle_turns: Lanes::each(|i| settings[i].idle_turns),
            line_open: Lanes::splat(1.0),
            glow_lead: Lanes::splat(0.0),
            brake_speed: Lanes::splat(if let Load::Brake(speed) = load { speed } else { 0.0 }),
            on_track: Lanes::splat(f64::from(u8::from(load == Load::Track))),
        }
    }
}

/// The account of one revolution: what went in, what came out, and what can be seen of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Revolution<const N: usize> {
    /// Its duration, s.
    pub duration: Lanes<N>,
    /// Speed at its end, rev/s.
    pub speed: Lanes<N>,
    /// Air drawn in, kg.
    pub air_in: Lanes<N>,
    /// Combustible fuel metered, kg.
    pub fuel_in: Lanes<N>,
    /// Oil metered, kg.
    pub oil_in: Lanes<N>,
    /// Unburnt air out of the exhaust, kg.
    pub air_out: Lanes<N>,
    /// Unburnt fuel out of the exhaust, kg.
    pub fuel_out: Lanes<N>,
    /// Burnt gas out of the exhaust, kg.
    pub burnt_out: Lanes<N>,
    /// Air turned into burnt gas, kg.
    pub air_burnt: Lanes<N>,
    /// Fuel turned into burnt gas, kg.
    pub fuel_burnt: Lanes<N>,
    /// Oil that burnt, kg.
    pub oil_burnt: Lanes<N>,
    /// Oil that left the pipe, visible, kg.
    pub oil_out: Lanes<N>,
    /// Equivalence ratio metered by the carburettor (oil inert).
    pub metered_equivalence_ratio: Lanes<N>,
    /// Equivalence ratio in the cylinder.
    pub equivalence_ratio: Lanes<N>,
    /// Share of the charge that burnt.
    pub burnt_share: Lanes<N>,
    /// Burnt-gas fraction before the burn.
    pub burnt_fraction: Lanes<N>,
    /// The dilution limit it was held against.
    pub dilution_limit: Lanes<N>,
    /// Heat released, J.
    pub heat: Lanes<N>,
    /// Work of the gas, J.
    pub indicated_work: Lanes<N>,
    /// Work left for the shaft after friction and pumping, J.
    pub shaft_work: Lanes<N>,
    /// Phase error of the burn, degrees; positive is early.
    pub phase_error_deg: Lanes<N>,
    /// Detonation index: 0 is none.
    pub detonation: Lanes<N>,
    /// Delivery ratio.
    pub delivery_ratio: Lanes<N>,
    /// Rate at which the film leaves the walls, 1/s.
    pub film_release_rate: Lanes<N>,
    /// Share of the metering pressure spent on viscosity.
    pub viscous_share: Lanes<N>,
    /// Opacity of the plume, 0..1.
    pub opacity: Lanes<N>,
}
