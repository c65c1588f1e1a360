//! The tank: pressure from the pipe, lagging by the air space it has to fill, and the height of what fuel is left.
//!
//! Pipe pressure grows with the square of the exhaust's mass flow and with its temperature (loss through the stinger).

use super::Setup;
use crate::lanes::Lanes;

const GRAVITY: f64 = 9.806_65;
const REFERENCE_PRESSURE: f64 = 101_325.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Tank<const N: usize> {
    capacity: Lanes<N>,
    height_empty: Lanes<N>,
    height_span: Lanes<N>,
    /// Pa per (kg/s)² and kelvin.
    pipe_loss: Lanes<N>,
    lag: Lanes<N>,
    fuel_density: Lanes<N>,
}

impl<const N: usize> Tank<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            capacity: each(|s| s.engine.tank.volume_ml * 1e-6 * s.fuel.density(s.air.temperature)),
            height_empty: each(|s| s.engine.tank.height_empty_mm * 1e-3),
            height_span: each(|s| s.engine.tank.height_span_mm * 1e-3),
            pipe_loss: each(|s| {
                let flow = s.engine.tank.nominal_exhaust_flow_g_per_s * 1e-3;
                let temperature = s.engine.geometry.pipe_reference_temperature_c + 273.15;
                s.engine.tank.pressure_wide_open_kpa * 1e3 * (1.0 - s.faults.pressure_line_leak_share)
                    / (flow * flow * temperature)
                    * (REFERENCE_PRESSURE / s.air.pressure)
            }),
            lag: each(|s| s.engine.tank.pressure_lag_s),
            fuel_density: each(|s| s.fuel.density(s.air.temperature)),
        }
    }

    /// Fuel of a full tank, kg.
    pub fn capacity(&self) -> Lanes<N> {
        self.capacity
    }

    /// Pressure that drives fuel to the jet besides the throat's, Pa: the tank's and the fuel's height.
    #[inline(always)]
    pub fn feed_pressure(&self, tank_pressure: Lanes<N>, fuel_left: Lanes<N>) -> Lanes<N> {
        let level = (fuel_left / self.capacity).clamp(0.0, 1.0);
        tank_pressure + self.fuel_density * GRAVITY * (self.height_empty + self.height_span * level)
    }

    /// 1 while there is fuel to draw, 0 when the pick-up sucks air.
    #[inline(always)]
    pub fn wet(&self, fuel_left: Lanes<N>) -> Lanes<N> {
        (fuel_left * 2e5).clamp(0.0, 1.0)
    }

    /// Tank pressure after `duration` seconds of `exhaust_flow` kg/s.
    #[inline(always)]
    pub fn next_pressure(
        &self,
        pressure: Lanes<N>,
        fuel_left: Lanes<N>,
        exhaust_flow: Lanes<N>,
        pipe_temperature: Lanes<N>,
        duration: Lanes<N>,
    ) -> Lanes<N> {
        let target = self.pipe_loss * exhaust_flow * exhaust_flow * pipe_temperature;
        let air_space = (1.0 - fuel_left / self.capacity).max(0.2);
        let weight = duration / (self.lag * air_space);
        (pressure + target * weight) / (weight + 1.0)
    }
}
