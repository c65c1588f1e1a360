//! How much air one revolution draws: the slide's orifice feeding a pump whose ports and tuned pipe set what it could take.
//!
//! The pump behind an orifice follows the flow factor `psi = sqrt(2 p (1 - p))` (incompressible with downstream density), joined
//! at `p = 1/2` in value and slope to choked flow. Against the isentropic orifice (gamma 1.4; Heywood 1988, appendix C) the
//! crankcase pressure comes out at most 3.3 % high; `tests/laws` measures it.

use super::links::{Link, Sources};
use crate::lanes::{Lanes, Registers};
use crate::units::{cubic_metre_from_ml, kelvin_from_celsius, square_metre_from_mm2};

/// Specific gas constant of dry air, J/(kg K).
const GAS_CONSTANT: f64 = 287.05;

/// The air side of the engine, derived once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Breathing {
    open_area: f64,
    exponent: f64,
    leak_area: f64,
    /// 1/m².
    filter_area: f64,
    /// sqrt(R T) / displacement.
    swallowing: f64,
    port_delivery: f64,
    cutoff: f64,
    pipe_gain: f64,
    pipe_tuned: f64,
    pipe_half_width: f64,
    pipe_reference: f64,
    /// Dry air in a swept volume of ambient air, kg.
    full_charge: f64,
    ambient_pressure: f64,
    /// 1/K.
    ambient_temperature: f64,
}

/// What one revolution draws.
#[derive(Clone, Copy, Debug)]
pub(super) struct Intake<T> {
    /// Delivered volume at ambient density per swept volume.
    pub delivery_ratio: T,
    /// Crankcase pressure at the end of suction over ambient pressure.
    pub pressure_ratio: T,
    /// Pressure below ambient at the throat, Pa.
    pub depression: T,
    /// Dry air delivered in this revolution, kg.
    pub air: T,
}

/// Crankcase pressure ratio of a pump whose orifice has flow number `s = Cd A sqrt(R T) / (n V lambda)`, given as `flow / demand`.
#[inline(always)]
pub fn pump_pressure_ratio<R: Registers>(flow: Lanes<R>, demand: Lanes<R>) -> Lanes<R> {
    // `s / sqrt 2` while choked, else `2 s² / (2 s² + 1)`: one division for both, and none before it for the flow number.
    let twice_square = flow * flow * 2.0;
    let square = demand * demand;
    let choked = flow * std::f64::consts::FRAC_1_SQRT_2;
    twice_square.if_less(square, choked, twice_square) / twice_square.if_less(square, demand, twice_square + square)
}

/// What the throat sees in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Throat<T> {
    /// Engine speed, rev/s, above 0.
    pub speed: T,
    /// Duration of the revolution, s.
    pub duration: T,
    /// Flow area of the throat, m².
    pub area: T,
    /// Gas in the pipe, K: sets the tuned speed.
    pub pipe_temperature: T,
    /// Mixture in the crankcase, K: a hot one is thin.
    pub mixture_temperature: T,
}

impl Breathing {
    pub fn new(s: &Sources) -> Self {
        Self {
            open_area: square_metre_from_mm2(s.engine.carburettor.throttle_flow_area_mm2),
            exponent: s.engine.carburettor.throttle_exponent,
            leak_area: square_metre_from_mm2(s.faults.air_leak_mm2),
            filter_area: {
                let open = square_metre_from_mm2(s.engine.carburettor.throttle_flow_area_mm2);
                1.0 / (s.engine.carburettor.clean_filter_area_ratio * open * (1.0 - s.faults.filter_blocked_share))
            },
            swallowing: {
                (GAS_CONSTANT * s.air(Link::AirTemperatureToThroat).temperature).sqrt()
                    / (cubic_metre_from_ml(s.engine.geometry.displacement_cm3))
            },
            port_delivery: s.engine.geometry.port_delivery_ratio,
            cutoff: 1.0 / s.engine.geometry.port_cutoff_rev_per_s,
            pipe_gain: s.engine.geometry.pipe_gain,
            pipe_tuned: s.engine.geometry.pipe_tuned_rev_per_s,
            pipe_half_width: 1.0 / s.engine.geometry.pipe_half_width_rev_per_s,
            pipe_reference: 1.0 / kelvin_from_celsius(s.engine.geometry.pipe_reference_temperature_c),
            full_charge: cubic_metre_from_ml(s.engine.geometry.displacement_cm3)
                * s.air(Link::AirDensityToCharge).dry_density,
            ambient_pressure: s.air(Link::AirPressureToThroat).pressure,
            ambient_temperature: 1.0 / s.air(Link::AirTemperatureToCharge).temperature,
        }
    }

    /// Flow area behind the filter, the slide open by that share of its travel, and of a leak, m².
    #[inline(always)]
    pub fn area<R: Registers>(&self, slide: Lanes<R>) -> Lanes<R> {
        let throat = self.open_area * slide.powf(self.exponent);
        let ratio = throat * self.filter_area;
        throat / (ratio * ratio + 1.0).sqrt() + self.leak_area
    }

    /// The air drawn.
    #[inline(always)]
    pub fn intake<R: Registers>(&self, inputs: Throat<Lanes<R>>) -> Intake<Lanes<R>> {
        let Throat {
            speed,
            duration,
            area,
            pipe_temperature,
            mixture_temperature,
        } = inputs;
        let tuned = self.pipe_tuned * (pipe_temperature * self.pipe_reference).sqrt();
        let off_tune = (speed - tuned) * self.pipe_half_width;
        let relative = speed * self.cutoff;
        let third = relative * relative * relative;
        // Resonance and cut-off are fractions, `over / under` in all; the pump asks for the reciprocal.
        let resonance = off_tune * off_tune + 1.0;
        let (over, under) = (
            (resonance + self.pipe_gain) * self.port_delivery,
            resonance * (third * third + 1.0),
        );
        // The pump takes a volume of mixture at its own temperature: a hot one is thin, and asks less of the throat.
        let warmth = mixture_temperature * self.ambient_temperature;
        let ports = over / (under * warmth);
        let pressure_ratio = pump_pressure_ratio(area * self.swallowing * duration * (under * warmth), over);
        let delivery_ratio = ports * pressure_ratio;
        Intake {
            delivery_ratio,
            pressure_ratio,
            depression: self.ambient_pressure * (1.0 - pressure_ratio),
            air: delivery_ratio * self.full_charge,
        }
    }
}
