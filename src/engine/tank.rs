//! The tank: pressure from the pipe, lagging by the air space it has to fill, and the height of what fuel is left.
//!
//! Pipe pressure grows with the square of the exhaust's mass flow and with its temperature (loss through the stinger).

use super::links::{Link, Sources};
use crate::lanes::{Lanes, Registers};
use crate::units::{cubic_metre_from_ml, kelvin_from_celsius, kilogram_from_g, metre_from_mm, pascal_from_kpa};

const GRAVITY: f64 = 9.806_65;
const REFERENCE_PRESSURE: f64 = 101_325.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Tank {
    capacity: f64,
    /// 1/kg.
    per_capacity: f64,
    height_empty: f64,
    height_span: f64,
    /// Pa per (kg/s)² and kelvin.
    pipe_loss: f64,
    lag: f64,
    fuel_density: f64,
    ambient: f64,
    warming: f64,
    warming_lag: f64,
}

/// What fills the tank with pressure.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<T> {
    /// Tank pressure, Pa above ambient.
    pub pressure: T,
    /// Fuel in the tank, K.
    pub temperature: T,
    /// Crankcase beside it, K.
    pub crankcase: T,
    /// Fuel left, kg.
    pub fuel_left: T,
    /// Exhaust, kg/s.
    pub exhaust_flow: T,
    /// Pipe gas, K.
    pub pipe_temperature: T,
    /// Duration, s.
    pub duration: T,
}

impl Tank {
    pub fn new(s: &Sources) -> Self {
        Self {
            capacity: cubic_metre_from_ml(s.engine.tank.volume_ml)
                * s.fuel(Link::FuelToDensity)
                    .density(s.air(Link::AirTemperatureToJet).temperature),
            per_capacity: 1.0
                / (cubic_metre_from_ml(s.engine.tank.volume_ml)
                    * s.fuel(Link::FuelToDensity)
                        .density(s.air(Link::AirTemperatureToJet).temperature)),
            height_empty: metre_from_mm(s.engine.tank.height_empty_mm),
            height_span: metre_from_mm(s.engine.tank.height_span_mm),
            pipe_loss: {
                let flow = kilogram_from_g(s.engine.tank.nominal_exhaust_flow_g_per_s);
                let temperature = kelvin_from_celsius(s.engine.geometry.pipe_reference_temperature_c);
                pascal_from_kpa(s.engine.tank.pressure_wide_open_kpa) * (1.0 - s.faults.pressure_line_leak_share)
                    / (flow * flow * temperature)
                    * (REFERENCE_PRESSURE / s.air(Link::AirPressureToTank).pressure)
            },
            lag: s.engine.tank.pressure_lag_s,
            fuel_density: s
                .fuel(Link::FuelToDensity)
                .density(s.air(Link::AirTemperatureToJet).temperature),
            ambient: s.air(Link::AirTemperatureToJet).temperature,
            warming: s.engine.tank.warming_share,
            warming_lag: 1.0 / s.engine.tank.warming_lag_s,
        }
    }

    /// Fuel of a full tank, kg.
    pub fn capacity(&self) -> f64 {
        self.capacity
    }

    /// Pressure that drives fuel to the jet besides the throat's, Pa: the tank's and the fuel's height.
    #[inline(always)]
    pub fn feed_pressure<R: Registers>(&self, tank_pressure: Lanes<R>, fuel_left: Lanes<R>) -> Lanes<R> {
        let level = (fuel_left * self.per_capacity).clamp(0.0, 1.0);
        tank_pressure + self.fuel_density * GRAVITY * (self.height_empty + self.height_span * level)
    }

    /// Fuel temperature in the long run beside a crankcase at this temperature, K.
    #[inline(always)]
    pub fn warm<R: Registers>(&self, crankcase: Lanes<R>) -> Lanes<R> {
        self.ambient + self.warming * (crankcase - self.ambient)
    }

    /// 1 while there is fuel to draw, 0 when the pick-up sucks air.
    #[inline(always)]
    pub fn wet<R: Registers>(&self, fuel_left: Lanes<R>) -> Lanes<R> {
        (fuel_left * 2e5).clamp(0.0, 1.0)
    }

    /// Pressure, Pa, and temperature of the fuel, K, after the revolution.
    #[inline(always)]
    pub fn next<R: Registers>(&self, inputs: Line<Lanes<R>>) -> (Lanes<R>, Lanes<R>) {
        let Line {
            pressure,
            temperature,
            crankcase,
            fuel_left,
            exhaust_flow,
            pipe_temperature,
            duration,
        } = inputs;
        let target = self.pipe_loss * exhaust_flow * exhaust_flow * pipe_temperature;
        let air_space = (1.0 - fuel_left * self.per_capacity).max(0.2);
        let lag = self.lag * air_space;
        let weight = duration * self.warming_lag;
        let [per_lag, cooled] = Lanes::recips([duration + lag, weight + 1.0]);
        (
            (pressure * lag + target * duration) * per_lag,
            (temperature + weight * self.warm(crankcase)) * cooled,
        )
    }
}
