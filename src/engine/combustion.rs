//! When a charge burns and what work it does.
//!
//! Heat is the equilibrium heat per kilogram of air (a function of the mixture, fitted per fuel). Its work is the Otto cycle's over
//! the trapped stroke, times a diagram factor, less what the walls took early, less the further the burn strays from its best
//! phase: late when rich, lean, diluted or fast, by the square of the distance from the fastest mixture with a coefficient for each side
//! (burning speed falls away from phi 1.1 and with dilution: Metghalchi and Keck 1982), earliest at that mixture. A cold plug fires late; a hot one does not fire early (Raine and Thorwarth, SAE 2004-01-1407). A hot charge lights
//! itself: the rate of self-ignition by its own hot residue, `r = r0 exp(E/T0 - E/T)`, adds to the plug's, and advances the burn
//! by `r/(1 + r)` of a span (active thermo-atmosphere combustion: Onishi et al., SAE 790501). Early beyond a margin is detonation.

use super::links::{Link, Sources};
use crate::fluids::heat_release;
use crate::lanes::{Lanes, Registers, ln, powf};
use crate::units::cubic_metre_from_ml;

/// Speed to which phasing refers, rev/s.
const REFERENCE_SPEED: f64 = 500.0;
/// Trapped charge temperature to which the ignition delays refer, K.
const SELF_IGNITION_REFERENCE: f64 = 600.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Combustion {
    heat: [f64; heat_release::K],
    efficiency: f64,
    wall_early: f64,
    self_lit_at_zero: f64,
    activation: f64,
    hot_advance: f64,
    per_phi: f64,
    reference_phi: f64,
    fastest: f64,
    per_lean: f64,
    per_speed: f64,
    low_speed_limit: f64,
    per_dilution: f64,
    reference_dilution: f64,
    reference_plug: f64,
    quench: f64,
    half_width: f64,
    knock: f64,
    margin: f64,
    margin_per_head: f64,
    margin_per_charge: f64,
    /// 1/kg.
    per_full_air: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Work<T> {
    pub heat: T,
    /// How well it is phased, 0..1.
    pub phasing: T,
    /// How early it is, in half widths of the phasing.
    pub early: T,
    pub phase_error_deg: T,
    pub detonation: T,
}

/// A charge as it burns.
#[derive(Clone, Copy, Debug)]
pub(super) struct Burning<T> {
    /// Air that burns, kg.
    pub air: T,
    /// Mixture in the cylinder, as it sets the heat.
    pub mixture_for_heat: T,
    /// Mixture in the cylinder, as it sets the speed of burning.
    pub mixture_for_phase: T,
    /// Burnt-gas fraction before the burn.
    pub burnt_fraction: T,
    /// Trapped charge, K.
    pub charge_temperature: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// Plug, K.
    pub plug_temperature: T,
    /// Head, K.
    pub head_temperature: T,
}

impl Combustion {
    pub fn new(s: &Sources) -> Self {
        Self {
            heat: s.heat(Link::FuelToHeat).coefficients,
            efficiency: s.laws.combustion.diagram_factor
                * otto_efficiency(
                    s.engine.geometry.compression_ratio,
                    s.engine.geometry.trapped_stroke_share,
                    s.laws.combustion.cycle_exponent,
                ),
            wall_early: s.laws.combustion.wall_heat_early_part,
            self_lit_at_zero: ln(s.laws.combustion.self_ignition_ratio)
                + s.laws.combustion.self_ignition_activation_k / SELF_IGNITION_REFERENCE,
            activation: s.laws.combustion.self_ignition_activation_k,
            hot_advance: s.laws.combustion.hot_advance_deg,
            per_phi: s.laws.combustion.phase_per_equivalence_ratio_deg,
            reference_phi: s.laws.combustion.phase_reference_equivalence_ratio,
            per_lean: s.laws.combustion.phase_per_leanness_deg,
            fastest: s.laws.combustion.phase_of_fastest_burn_deg,
            per_speed: s.laws.combustion.phase_per_speed_deg,
            low_speed_limit: s.laws.combustion.phase_low_speed_limit,
            per_dilution: s.laws.combustion.phase_per_dilution_deg,
            reference_dilution: s.laws.combustion.reference_dilution,
            reference_plug: s.laws.firing.reference_plug_k,
            quench: 1.0 / s.laws.combustion.plug_quench_k_per_deg,
            half_width: 1.0 / s.laws.combustion.phase_half_width_deg,
            knock: s.laws.combustion.detonation_per_deg,
            margin: {
                let c = &s.laws.combustion;
                c.detonation_margin_deg
                    - c.detonation_per_compression_deg * (s.engine.geometry.compression_ratio - 9.0)
                    - c.detonation_per_nitro_deg * (s.fuel(Link::FuelToKnock).blend.nitro_percent / 10.0)
            },
            margin_per_head: s.laws.combustion.detonation_per_head_deg / 10.0,
            margin_per_charge: s.laws.combustion.detonation_per_charge_deg / 10.0,
            per_full_air: 1.0
                / (s.air(Link::AirDensityToCharge).dry_density
                    * cubic_metre_from_ml(s.engine.geometry.displacement_cm3)),
        }
    }

    /// Heat and work of the burn.
    #[inline(always)]
    pub fn work<R: Registers>(&self, inputs: Burning<Lanes<R>>) -> Work<Lanes<R>> {
        let Burning {
            air,
            mixture_for_heat,
            mixture_for_phase,
            burnt_fraction,
            charge_temperature,
            speed,
            plug_temperature,
            head_temperature,
        } = inputs;
        let heat = air * heat_release::per_kg_air(&self.heat, mixture_for_heat);
        let faster = (speed * (1.0 / REFERENCE_SPEED) - 1.0).max(-self.low_speed_limit);
        // Two ways to ignition, the plug and the charge itself: their rates add, and the faster one times the burn.
        let self_lit = (self.self_lit_at_zero - self.activation / charge_temperature).logistic();
        let off_mixture = mixture_for_phase - self.reference_phi;
        let (richer, leaner) = (off_mixture.max(0.0), off_mixture.min(0.0));
        let phase_error_deg = self.fastest
            - self.per_phi * richer * richer
            - self.per_lean * leaner * leaner
            - self.per_speed * faster
            - self.per_dilution * (burnt_fraction - self.reference_dilution).max(0.0)
            - (self.reference_plug - plug_temperature).max(0.0) * self.quench
            + self.hot_advance * self_lit;
        let off = phase_error_deg * self.half_width;
        let margin = self.margin
            - self.margin_per_head * (head_temperature - 383.15)
            - self.margin_per_charge * (charge_temperature - 400.0);
        // Of a full charge of trapped air, the share that burns.
        let load = air * self.per_full_air;
        let detonation = (phase_error_deg - margin).max(0.0) * self.knock * load;
        Work {
            heat,
            phasing: (off * off + 1.0).recip(),
            early: off,
            phase_error_deg,
            detonation,
        }
    }

    /// Work of the gas, J, of a burn that loses `wall` J to the walls.
    #[inline(always)]
    pub fn indicated<R: Registers>(&self, heat: Lanes<R>, phasing: Lanes<R>, wall: Lanes<R>) -> Lanes<R> {
        self.efficiency * phasing * (heat - self.wall_early * wall)
    }
}

/// Efficiency of the Otto cycle over the stroke that the exhaust port leaves, `1 - r^(1 - gamma)`.
pub fn otto_efficiency(compression_ratio: f64, trapped_stroke_share: f64, exponent: f64) -> f64 {
    1.0 - powf(1.0 + trapped_stroke_share * (compression_ratio - 1.0), 1.0 - exponent)
}
