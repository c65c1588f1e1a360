//! How much fuel one revolution meters: the two needles as annular gaps in series under the signal of the throat, the pipe's
//! pressure and the fuel's height.
//!
//! Each gap `h` of perimeter `b` and length `l` costs `12 mu l Q / (b h^3)` (plane Poiseuille flow) plus `rho/2 (Q / (Cd b h))^2`
//! (orifice). That both carry the same flow is the interaction of the needles: the high one is felt at idle through the small
//! share of the pressure it takes there, the low one hardly at all at full throttle, where the slide has lifted it out of the way.
//! Short tubes at these Reynolds numbers (some 10 to 300) lose discharge just so: Lichtarowicz, Duggins and Markland (1965).

use super::Setup;
use crate::lanes::Lanes;

/// Open area of a clean fuel line, m².
const LINE_AREA: f64 = 1.5e-6;
/// A foaming line passes this share of its fuel while a bubble is in it.
const FOAM_FLOW: f64 = 0.3;

/// The fuel side of the engine, derived once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Carburettor<const N: usize> {
    share_idle: Lanes<N>,
    share_reference: Lanes<N>,
    share_open: Lanes<N>,
    onset: Lanes<N>,
    span: Lanes<N>,
    pitch: Lanes<N>,
    travel: Lanes<N>,
    high: Needle<N>,
    low: Needle<N>,
    line_loss: Lanes<N>,
    /// Reciprocal of the fuel that a pinched line gives, 1/kg.
    line_store: Lanes<N>,
    cold: Liquid<N>,
    warmed: Liquid<N>,
    ambient_temperature: Lanes<N>,
    foam: Lanes<N>,
    idle_closed: Lanes<N>,
    idle_per_turn: Lanes<N>,
}

#[derive(Clone, Copy, Debug)]
struct Liquid<const N: usize> {
    density: Lanes<N>,
    viscosity: Lanes<N>,
}

#[derive(Clone, Copy, Debug)]
struct Needle<const N: usize> {
    gap_per_lift: Lanes<N>,
    /// 12 l / b.
    viscous: Lanes<N>,
    /// 1 / (2 (Cd b)^2).
    inertial: Lanes<N>,
}

impl<const N: usize> Needle<N> {
    /// Coefficients of the linear (per viscosity) and the squared (per density) loss at this lift.
    #[inline(always)]
    fn losses(&self, lift: Lanes<N>) -> (Lanes<N>, Lanes<N>) {
        let inverse_gap = 1.0 / (lift.max(2e-6) * self.gap_per_lift);
        let square = inverse_gap * inverse_gap;
        (self.viscous * square * inverse_gap, self.inertial * square)
    }
}

/// Volume flow Q, m³/s, that spends the pressure `drive` on a viscous loss and an inertial one: `linear Q + square Q² = drive`.
#[inline(always)]
pub fn volume_flow<const N: usize>(drive: Lanes<N>, linear: Lanes<N>, square: Lanes<N>) -> Lanes<N> {
    2.0 * drive / (linear + (linear * linear + 4.0 * square * drive).sqrt())
}

/// What one revolution meters.
#[derive(Clone, Copy, Debug)]
pub(super) struct Metered<const N: usize> {
    /// Whole blend, oil included, kg/s.
    pub flow: Lanes<N>,
    /// Share of the driving pressure spent on viscosity.
    pub viscous_share: Lanes<N>,
}

impl<const N: usize> Carburettor<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        let liquid = |warming: fn(&Setup) -> f64| Liquid {
            density: Lanes::each(|i| setups[i].fuel.density(setups[i].air.temperature + warming(&setups[i]))),
            viscosity: Lanes::each(|i| {
                setups[i]
                    .fuel
                    .viscosity(setups[i].air.temperature + warming(&setups[i]))
            }),
        };
        Self {
            share_idle: each(|s| s.engine.carburettor.signal_share_idle),
            share_reference: each(|s| 1.0 / s.engine.carburettor.signal_reference_opening),
            share_open: each(|s| s.engine.carburettor.signal_share_open),
            onset: each(|s| s.engine.carburettor.signal_onset_opening),
            span: each(|s| 1.0 / s.engine.carburettor.signal_span_opening),
            pitch: each(|s| s.engine.carburettor.needle_pitch_mm * 1e-3),
            travel: each(|s| s.engine.carburettor.slide_travel_mm * 1e-3),
            high: Needle {
                gap_per_lift: each(|s| s.engine.carburettor.high_gap_per_lift),
                viscous: each(|s| 12.0 * s.engine.carburettor.high_length_mm / s.engine.carburettor.high_perimeter_mm),
                inertial: each(|s| {
                    let width =
                        s.engine.carburettor.discharge_coefficient * s.engine.carburettor.high_perimeter_mm * 1e-3;
                    0.5 / (width * width)
                }),
            },
            low: Needle {
                gap_per_lift: each(|s| s.engine.carburettor.low_gap_per_lift),
                viscous: each(|s| 12.0 * s.engine.carburettor.low_length_mm / s.engine.carburettor.low_perimeter_mm),
                inertial: each(|s| {
                    let width =
                        s.engine.carburettor.discharge_coefficient * s.engine.carburettor.low_perimeter_mm * 1e-3;
                    0.5 / (width * width)
                }),
            },
            line_loss: each(|s| {
                let area = LINE_AREA * s.engine.geometry.displacement_cm3 / 3.5 * (1.0 - s.faults.line_blocked_share);
                0.5 / (area * area)
            }),
            line_store: each(|s| 1e6 / s.engine.carburettor.line_store_mg),
            cold: liquid(|_| 0.0),
            warmed: liquid(|s| s.engine.carburettor.jet_warming_k),
            ambient_temperature: each(|s| s.air.temperature),
            foam: each(|s| s.faults.foam_share),
            idle_closed: each(|s| s.engine.carburettor.idle_opening_closed),
            idle_per_turn: each(|s| s.engine.carburettor.idle_opening_per_turn),
        }
    }

    /// Slide opening (share of its travel) for a throttle of 0..1 above the idle stop.
    #[inline(always)]
    pub fn slide(&self, throttle: Lanes<N>, idle_turns: Lanes<N>) -> Lanes<N> {
        let idle = (self.idle_closed + self.idle_per_turn * idle_turns).clamp(0.005, 0.5);
        idle + (1.0 - idle) * throttle
    }

    /// Share of the metered flow that the line lets through: an elastic tube, pinched, still gives a little fuel as its own
    /// pressure falls, so the jet starves over a second or two at idle and at once wide open.
    #[inline(always)]
    pub fn line_gives(&self, drawn: Lanes<N>, open: Lanes<N>) -> Lanes<N> {
        (1.0 - drawn * self.line_store).max(0.0).max(open)
    }

    /// Fuel metered under the throat's `depression` and `feed_pressure` (tank and height), Pa; `dice` is uniform in 0..1.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn meter(
        &self,
        slide: Lanes<N>,
        depression: Lanes<N>,
        feed_pressure: Lanes<N>,
        crankcase_temperature: Lanes<N>,
        high_turns: Lanes<N>,
        low_turns: Lanes<N>,
        line_open: Lanes<N>,
        dice: Lanes<N>,
    ) -> Metered<N> {
        let share = self.share_idle * (slide * self.share_reference).min(2.0)
            + self.share_open * ((slide - self.onset) * self.span).smoothstep();
        let drive = (depression * share + feed_pressure).max(0.0);
        let warm = ((crankcase_temperature - self.ambient_temperature) * (1.0 / 40.0)).clamp(0.0, 1.5);
        let density = self.cold.density + (self.warmed.density - self.cold.density) * warm;
        let viscosity = self.cold.viscosity + (self.warmed.viscosity - self.cold.viscosity) * warm;
        let (high_viscous, high_inertial) = self.high.losses(high_turns * self.pitch);
        let (low_viscous, low_inertial) = self.low.losses(low_turns * self.pitch + slide * self.travel);
        let linear = viscosity * (high_viscous + low_viscous);
        let square = density * (high_inertial + low_inertial + self.line_loss);
        let volume = volume_flow(drive, linear, square);
        let foaming = dice.if_less(self.foam, Lanes::splat(FOAM_FLOW), Lanes::splat(1.0));
        Metered {
            flow: density * volume * foaming * line_open,
            viscous_share: linear * volume / drive.max(1e-9),
        }
    }
}
