//! How much fuel one revolution meters: the two needles as annular gaps in series under the signal of the throat, the pipe's
//! pressure and the fuel's height.
//!
//! Each gap `h` of perimeter `b` and length `l` costs `12 mu l Q / (b h^3)` (plane Poiseuille flow) plus `rho/2 (Q / (Cd b h))^2`
//! (orifice). A gap grows with the lift `x` by its taper, the low needle's a little faster by its rounded tip: `h = g x (1 + x/f)`.
//! That both carry the same flow is the interaction of the needles: the high one is felt at idle through the small share of the
//! pressure it takes there, the low one by under a percent an eighth of a turn wide open, where the slide has lifted it.
//! Short tubes at these Reynolds numbers (some 10 to 300) lose discharge just so: Lichtarowicz, Duggins and Markland (1965).

use super::links::{Link, Sources};
use super::openings::Gaps;
use crate::lanes::{Lanes, Registers};
use crate::units::{kilogram_from_mg, metre_from_mm, square_metre_from_mm2};

/// The fuel side of the engine, derived once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Carburettor {
    share_idle: f64,
    share_reference: f64,
    share_open: f64,
    onset: f64,
    span: f64,
    pitch: f64,
    travel: f64,
    high: Needle,
    low: Needle,
    line_loss: f64,
    /// Reciprocal of the fuel that a pinched line gives, 1/kg.
    line_store: f64,
    liquid: Liquid,
    jet_warming: f64,
    /// kg/s.
    exchange: f64,
    body: f64,
    ambient_temperature: f64,
    foam: f64,
    foam_flow: f64,
    idle_closed: f64,
    idle_per_turn: f64,
}

/// The blend about 20 °C: its solvent decides how it changes.
#[derive(Clone, Copy, Debug)]
struct Liquid {
    density: f64,
    /// Change of density per kelvin.
    swelling: f64,
    viscosity: f64,
    /// Coefficients by which the reciprocal of the viscosity grows with temperature and its square.
    thinning: [f64; 2],
}

/// Temperature at which the liquid's coefficients hold, K, and the two others through which its viscosity passes.
const LIQUID_TEMPERATURE: f64 = 293.15;
const LIQUID_STEPS: [f64; 2] = [-20.0, 30.0];

#[derive(Clone, Copy, Debug)]
struct Needle {
    gap_per_lift: f64,
    /// Reciprocal of the lift at which a rounded tip doubles the gap, 1/m; 0 without one.
    flare: f64,
    /// 12 l / b.
    viscous: f64,
    /// 1 / (2 (Cd b)^2).
    inertial: f64,
}

impl Needle {
    /// Gap at this lift, m.
    #[inline(always)]
    fn gap<R: Registers>(&self, lift: Lanes<R>) -> Lanes<R> {
        let lift = lift.max(2e-6);
        lift * self.gap_per_lift * (lift * self.flare + 1.0)
    }

    /// Coefficients of the linear (per viscosity) and the squared (per density) loss of a gap.
    #[inline(always)]
    fn losses<R: Registers>(&self, inverse_gap: Lanes<R>) -> (Lanes<R>, Lanes<R>) {
        let square = inverse_gap * inverse_gap;
        (self.viscous * square * inverse_gap, self.inertial * square)
    }
}

/// Volume flow Q, m³/s, that spends the pressure `drive` on a viscous loss and an inertial one: `linear Q + square Q² = drive`.
#[inline(always)]
pub fn volume_flow<R: Registers>(drive: Lanes<R>, linear: Lanes<R>, square: Lanes<R>) -> Lanes<R> {
    thinned_flow(drive, linear, square, Lanes::of(drive.registers(), 1.0)).0
}

/// The same for a liquid whose `linear` loss is less by its `fluidity`, and the share of the drive that this loss takes.
#[inline(always)]
fn thinned_flow<R: Registers>(
    drive: Lanes<R>,
    linear: Lanes<R>,
    square: Lanes<R>,
    fluidity: Lanes<R>,
) -> (Lanes<R>, Lanes<R>) {
    let root = (linear * linear + 4.0 * square * drive * (fluidity * fluidity)).sqrt();
    let twice_per_sum = 2.0 / (linear + root);
    (drive * fluidity * twice_per_sum, linear * twice_per_sum)
}

/// Slide opening (share of its travel) that the idle stop leaves at so many turns: never quite shut, never more than half.
#[inline(always)]
pub fn idle_opening<R: Registers>(closed: f64, per_turn: f64, turns: Lanes<R>) -> Lanes<R> {
    (closed + per_turn * turns).clamp(0.005, 0.5)
}

/// What one revolution meters.
#[derive(Clone, Copy, Debug)]
pub(super) struct Metered<T> {
    /// Whole blend, oil included, kg/s.
    pub flow: T,
    /// Share of the driving pressure spent on viscosity.
    pub viscous_share: T,
    /// Fuel at the jet, K.
    pub temperature: T,
}

/// What draws fuel through the needles in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Signal<T> {
    /// The way of the fuel.
    pub gaps: Gaps<T>,
    /// Pressure below ambient at the throat, Pa.
    pub depression: T,
    /// Tank pressure and height of the fuel, Pa.
    pub feed_pressure: T,
    /// Fuel in the tank, K.
    pub tank_temperature: T,
    /// Crankcase, K: warms the carburettor's body and with it the fuel.
    pub crankcase_temperature: T,
    /// Share of the fuel that the line lets through.
    pub line_open: T,
    /// Uniform in 0..1: whether a bubble is in the line.
    pub dice: T,
}

impl Carburettor {
    pub fn new(s: &Sources) -> Self {
        let (dense, thin) = (s.fuel(Link::FuelToDensity), s.fuel(Link::FuelToViscosity));
        let viscosity = thin.viscosity(LIQUID_TEMPERATURE);
        let [a, b] = LIQUID_STEPS;
        let [at_a, at_b] = LIQUID_STEPS.map(|step| viscosity / thin.viscosity(LIQUID_TEMPERATURE + step) - 1.0);
        Self {
            share_idle: s.engine.carburettor.signal_share_idle,
            share_reference: 1.0 / s.engine.carburettor.signal_reference_opening,
            share_open: s.engine.carburettor.signal_share_open,
            onset: s.engine.carburettor.signal_onset_opening,
            span: 1.0 / s.engine.carburettor.signal_span_opening,
            pitch: metre_from_mm(s.engine.carburettor.needle_pitch_mm),
            travel: metre_from_mm(s.engine.carburettor.slide_travel_mm),
            high: Needle {
                gap_per_lift: s.engine.carburettor.high_gap_per_lift,
                flare: 0.0,
                viscous: 12.0 * s.engine.carburettor.high_length_mm / s.engine.carburettor.high_perimeter_mm,
                inertial: {
                    let width = s.engine.carburettor.discharge_coefficient
                        * metre_from_mm(s.engine.carburettor.high_perimeter_mm);
                    0.5 / (width * width)
                },
            },
            low: Needle {
                gap_per_lift: s.engine.carburettor.low_gap_per_lift,
                flare: 1.0 / metre_from_mm(s.engine.carburettor.low_flare_mm),
                viscous: 12.0 * s.engine.carburettor.low_length_mm / s.engine.carburettor.low_perimeter_mm,
                inertial: {
                    let width = s.engine.carburettor.discharge_coefficient
                        * metre_from_mm(s.engine.carburettor.low_perimeter_mm);
                    0.5 / (width * width)
                },
            },
            line_loss: {
                let area =
                    square_metre_from_mm2(s.engine.carburettor.line_area_mm2) * (1.0 - s.faults.line_blocked_share);
                0.5 / (area * area)
            },
            line_store: 1.0 / kilogram_from_mg(s.engine.carburettor.line_store_mg),
            liquid: Liquid {
                density: dense.density(LIQUID_TEMPERATURE),
                swelling: (dense.density(LIQUID_TEMPERATURE + 20.0) - dense.density(LIQUID_TEMPERATURE - 20.0)) / 40.0,
                viscosity,
                thinning: [
                    (at_a * b * b - at_b * a * a) / (a * b * (b - a)),
                    (at_b * a - at_a * b) / (a * b * (b - a)),
                ],
            },
            jet_warming: s.engine.carburettor.jet_warming_k,
            exchange: kilogram_from_mg(s.engine.carburettor.jet_exchange_mg_per_s),
            body: s.engine.carburettor.body_warming_share,
            ambient_temperature: s.air(Link::AirTemperatureToJet).temperature,
            foam: s.faults.foam_share,
            foam_flow: s.engine.carburettor.foam_flow_share,
            idle_closed: s.engine.carburettor.idle_opening_closed,
            idle_per_turn: s.engine.carburettor.idle_opening_per_turn,
        }
    }

    /// Slide opening (share of its travel) for a throttle of 0..1 above the idle stop.
    #[inline(always)]
    pub fn slide<R: Registers>(&self, throttle: Lanes<R>, idle_turns: Lanes<R>) -> Lanes<R> {
        let idle = idle_opening(self.idle_closed, self.idle_per_turn, idle_turns);
        idle + (1.0 - idle) * throttle
    }

    /// Share of the metered flow that the line lets through: an elastic tube, pinched, still gives a little fuel as its own
    /// pressure falls, so the jet starves over a second or two at idle and at once wide open.
    #[inline(always)]
    pub fn line_gives<R: Registers>(&self, drawn: Lanes<R>, open: Lanes<R>) -> Lanes<R> {
        (1.0 - drawn * self.line_store).max(0.0).max(open)
    }

    /// The way of the fuel with the slide open by that share of its travel and the needles by so many turns.
    #[inline(always)]
    pub fn gaps<R: Registers>(&self, slide: Lanes<R>, high_turns: Lanes<R>, low_turns: Lanes<R>) -> Gaps<Lanes<R>> {
        let [per_high_gap, per_low_gap] = Lanes::recips([
            self.high.gap(high_turns * self.pitch),
            self.low.gap(low_turns * self.pitch + slide * self.travel),
        ]);
        let (high_viscous, high_inertial) = self.high.losses(per_high_gap);
        let (low_viscous, low_inertial) = self.low.losses(per_low_gap);
        let inertial = high_inertial + low_inertial;
        Gaps {
            share: self.share_idle * (slide * self.share_reference).min(2.0)
                + self.share_open * ((slide - self.onset) * self.span).smoothstep(),
            viscous: high_viscous + low_viscous,
            inertial,
            per_inertial: inertial.recip(),
        }
    }

    /// Fuel metered.
    #[inline(always)]
    pub fn meter<R: Registers>(&self, inputs: Signal<Lanes<R>>) -> Metered<Lanes<R>> {
        let Signal {
            gaps,
            depression,
            feed_pressure,
            tank_temperature,
            crankcase_temperature,
            line_open,
            dice,
        } = inputs;
        let drive = (depression * gaps.share + feed_pressure).max(0.0);
        // The warm body warms what passes, by the flow that would pass without viscosity, which is near enough.
        let body = self.ambient_temperature + self.body * (crankcase_temperature - self.ambient_temperature);
        let passing = (drive * self.liquid.density * gaps.per_inertial).sqrt();
        let exchanged = self.exchange / (self.exchange + passing).max(1e-12);
        let temperature = tank_temperature + exchanged * (body - tank_temperature) + self.jet_warming;
        let off = temperature - LIQUID_TEMPERATURE;
        let density = self.liquid.density + self.liquid.swelling * off;
        let fluidity = (off * (self.liquid.thinning[0] + off * self.liquid.thinning[1]) + 1.0).max(0.2);
        let square = density * (gaps.inertial + self.line_loss);
        let (volume, viscous_share) = thinned_flow(drive, self.liquid.viscosity * gaps.viscous, square, fluidity);
        let foaming = dice.if_less(self.foam, self.foam_flow, 1.0);
        Metered {
            flow: density * volume * foaming * line_open,
            viscous_share,
            temperature,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::thinned_flow;
    use crate::lanes::one;

    #[test]
    fn a_thinned_liquid_spends_the_drive_on_both_losses() {
        for fluidity in [0.2, 1.0, 1.7] {
            let (drive, linear, square) = (3000.0, 4e10, 2e17);
            let (flow, share) = thinned_flow(one(drive), one(linear), one(square), one(fluidity));
            let (flow, viscous) = (flow.number(), linear / fluidity * flow.number());
            assert!(
                ((viscous + square * flow * flow) / drive - 1.0).abs() < 1e-14,
                "{fluidity}"
            );
            assert!((share.number() - viscous / drive).abs() < 1e-14, "{fluidity}");
        }
    }
}
