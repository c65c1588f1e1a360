//! How much air one revolution draws: the slide's orifice feeding a pump whose ports and tuned pipe set what it could take.
//!
//! The pump behind an orifice follows the flow factor `psi = sqrt(2 p (1 - p))` (incompressible with downstream density), joined
//! at `p = 1/2` in value and slope to choked flow. Against the isentropic orifice (gamma 1.4; Heywood 1988, appendix C) the
//! crankcase pressure comes out at most 3.3 % high; `tests/laws` measures it.

use super::Setup;
use crate::lanes::Lanes;

/// Specific gas constant of dry air, J/(kg K).
const GAS_CONSTANT: f64 = 287.05;
/// Air temperature to which delivered mass refers, K.
const REFERENCE_TEMPERATURE: f64 = 293.15;
/// Flow area of a clean filter, in units of the open throttle's: it matters little until it is blocked.
const CLEAN_FILTER_AREA: f64 = 5.0;

/// The air side of the engine, derived once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Breathing<const N: usize> {
    open_area: Lanes<N>,
    exponent: Lanes<N>,
    leak_area: Lanes<N>,
    filter_area: Lanes<N>,
    /// sqrt(R T) / displacement.
    swallowing: Lanes<N>,
    port_delivery: Lanes<N>,
    cutoff: Lanes<N>,
    pipe_gain: Lanes<N>,
    pipe_tuned: Lanes<N>,
    pipe_half_width: Lanes<N>,
    pipe_reference: Lanes<N>,
    /// Dry air in a swept volume of ambient air, kg.
    full_charge: Lanes<N>,
    /// Factor by which walls that heat a cold charge more soften p/T towards p/sqrt(T).
    softening: Lanes<N>,
    ambient_pressure: Lanes<N>,
    thinning: Lanes<N>,
}

/// What one revolution draws.
#[derive(Clone, Copy, Debug)]
pub(super) struct Intake<const N: usize> {
    /// Delivered volume at ambient density per swept volume.
    pub delivery_ratio: Lanes<N>,
    /// Crankcase pressure at the end of suction over ambient pressure.
    pub pressure_ratio: Lanes<N>,
    /// Pressure below ambient at the throat, Pa.
    pub depression: Lanes<N>,
    /// Dry air delivered in this revolution, kg.
    pub air: Lanes<N>,
}

/// Crankcase pressure ratio of a pump whose orifice has flow number `s = Cd A sqrt(R T) / (n V lambda)`.
#[inline(always)]
pub fn pump_pressure_ratio<const N: usize>(s: Lanes<N>) -> Lanes<N> {
    let twice_square = s * s * 2.0;
    twice_square.if_less(
        1.0,
        s * std::f64::consts::FRAC_1_SQRT_2,
        twice_square / (twice_square + 1.0),
    )
}

impl<const N: usize> Breathing<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            open_area: each(|s| s.engine.carburettor.throttle_flow_area_mm2 * 1e-6),
            exponent: each(|s| s.engine.carburettor.throttle_exponent),
            leak_area: each(|s| s.faults.air_leak_mm2 * 1e-6),
            filter_area: each(|s| {
                let open = s.engine.carburettor.throttle_flow_area_mm2 * 1e-6;
                CLEAN_FILTER_AREA * open * (1.0 - s.faults.filter_blocked_share)
            }),
            swallowing: each(|s| {
                (GAS_CONSTANT * s.air.temperature).sqrt() / (s.engine.geometry.displacement_cm3 * 1e-6)
            }),
            port_delivery: each(|s| s.engine.geometry.port_delivery_ratio),
            cutoff: each(|s| 1.0 / s.engine.geometry.port_cutoff_rev_per_s),
            pipe_gain: each(|s| s.engine.geometry.pipe_gain),
            pipe_tuned: each(|s| s.engine.geometry.pipe_tuned_rev_per_s),
            pipe_half_width: each(|s| 1.0 / s.engine.geometry.pipe_half_width_rev_per_s),
            pipe_reference: each(|s| 1.0 / (s.engine.geometry.pipe_reference_temperature_c + 273.15)),
            full_charge: each(|s| s.engine.geometry.displacement_cm3 * 1e-6 * s.air.dry_density),
            softening: each(|s| (s.air.temperature / REFERENCE_TEMPERATURE).sqrt()),
            ambient_pressure: each(|s| s.air.pressure),
            thinning: each(|s| s.laws.heat.crankcase_thinning),
        }
    }

    /// The air drawn at `speed` (rev/s, positive) with the slide open to the share `slide`.
    #[inline(always)]
    pub fn intake(
        &self,
        speed: Lanes<N>,
        slide: Lanes<N>,
        pipe_temperature: Lanes<N>,
        crankcase_temperature: Lanes<N>,
    ) -> Intake<N> {
        let tuned = self.pipe_tuned * (pipe_temperature * self.pipe_reference).sqrt();
        let off_tune = (speed - tuned) * self.pipe_half_width;
        let relative = speed * self.cutoff;
        let third = relative * relative * relative;
        let ports = self.port_delivery * (self.pipe_gain / (off_tune * off_tune + 1.0) + 1.0) / (third * third + 1.0);
        let throat = self.open_area * slide.powf_lanes(self.exponent);
        let ratio = throat / self.filter_area;
        let area = throat / (ratio * ratio + 1.0).sqrt() + self.leak_area;
        let pressure_ratio = pump_pressure_ratio(area * self.swallowing / (speed * ports));
        let delivery_ratio = ports * pressure_ratio;
        // Linear about 60 °C: within 0.2 % of the power law over the range a crankcase sees.
        let thinned = 1.0 - self.thinning * (crankcase_temperature * (1.0 / 333.15) - 1.0);
        let softened = self.softening * thinned.clamp(0.7, 1.4);
        Intake {
            delivery_ratio,
            pressure_ratio,
            // A charge thinned by the walls asks less of the throat: its depression goes with the square of the mass flow.
            depression: self.ambient_pressure * (1.0 - pressure_ratio) * softened * softened,
            air: delivery_ratio * self.full_charge * softened,
        }
    }
}
