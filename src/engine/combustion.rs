//! When a charge burns and what work it does.
//!
//! Heat is the equilibrium heat per kilogram of air (a function of the mixture, fitted per fuel). A share of it becomes work,
//! less at low speed where the walls have longer to take theirs, and less the further the burn strays from its best phase: late
//! when rich, diluted or fast (burning speed falls away from phi 1.1 and with dilution: Metghalchi and Keck 1982), early when
//! lean. A cold plug fires late; a hot one does not fire early (Raine and Thorwarth, SAE 2004-01-1407). Early beyond a margin is
//! detonation.

use super::links::{Link, Sources};
use crate::fluids::heat_release;
use crate::lanes::{Lanes, Registers};
use crate::units::cubic_metre_from_ml;

/// Speed to which phasing refers, rev/s.
const REFERENCE_SPEED: f64 = 500.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Combustion {
    heat: [f64; heat_release::K],
    efficiency: f64,
    half_speed: f64,
    per_phi: f64,
    reference_phi: f64,
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
    full_air: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Work<T> {
    pub heat: T,
    pub work: T,
    pub phase_error_deg: T,
    pub detonation: T,
}

/// A charge as it burns.
#[derive(Clone, Copy, Debug)]
pub(super) struct Burning<T> {
    /// Air that burns, kg.
    pub air: T,
    /// Air trapped, kg.
    pub trapped_air: T,
    /// Mixture in the cylinder, as it sets the heat.
    pub mixture_for_heat: T,
    /// Mixture in the cylinder, as it sets the speed of burning.
    pub mixture_for_phase: T,
    /// Burnt-gas fraction before the burn.
    pub burnt_fraction: T,
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
            efficiency: s.laws.combustion.best_efficiency,
            half_speed: s.laws.combustion.efficiency_half_speed_rev_per_s,
            per_phi: s.laws.combustion.phase_per_equivalence_ratio_deg,
            reference_phi: s.laws.combustion.phase_reference_equivalence_ratio,
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
            full_air: cubic_metre_from_ml(
                s.air(Link::AirDensityToCharge).dry_density * s.engine.geometry.displacement_cm3,
            ),
        }
    }

    /// Heat and work of the burn.
    #[inline(always)]
    pub fn work<R: Registers>(&self, inputs: Burning<Lanes<R>>) -> Work<Lanes<R>> {
        let Burning {
            air,
            trapped_air,
            mixture_for_heat,
            mixture_for_phase,
            burnt_fraction,
            speed,
            plug_temperature,
            head_temperature,
        } = inputs;
        let heat = air * heat_release::per_kg_air(&self.heat, mixture_for_heat);
        let faster = (speed * (1.0 / REFERENCE_SPEED) - 1.0).max(-self.low_speed_limit);
        let phase_error_deg = self.per_phi * (self.reference_phi - mixture_for_phase)
            - self.per_speed * faster
            - self.per_dilution * (burnt_fraction - self.reference_dilution).max(0.0)
            - (self.reference_plug - plug_temperature).max(0.0) * self.quench;
        let off = phase_error_deg * self.half_width;
        let efficiency = self.efficiency * speed / ((speed + self.half_speed) * (off * off + 1.0));
        let margin = self.margin - self.margin_per_head * (head_temperature - 383.15);
        let load = trapped_air / self.full_air;
        let detonation = (phase_error_deg - margin).max(0.0) * self.knock * load * air / trapped_air.max(1e-12);
        Work {
            heat,
            work: heat * efficiency,
            phase_error_deg,
            detonation,
        }
    }
}
