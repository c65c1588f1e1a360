//! When a charge burns and what work it does.
//!
//! Heat is the equilibrium heat per kilogram of air (a function of the mixture, fitted per fuel). A share of it becomes work,
//! less at low speed where the walls have longer to take theirs, and less the further the burn strays from its best phase: late
//! when rich, diluted or fast (burning speed falls away from phi 1.1 and with dilution: Metghalchi and Keck 1982), early when
//! lean. A cold plug fires late; a hot one does not fire early (Raine and Thorwarth, SAE 2004-01-1407). Early beyond a margin is
//! detonation.

use super::Setup;
use crate::fluids::heat_release;
use crate::lanes::Lanes;

/// Speed to which phasing refers, rev/s.
const REFERENCE_SPEED: f64 = 500.0;
/// Burnt-gas fraction of a wide-open charge, to which phasing refers.
const REFERENCE_DILUTION: f64 = 0.25;

#[derive(Clone, Copy, Debug)]
pub(super) struct Combustion<const N: usize> {
    heat: [Lanes<N>; heat_release::K],
    efficiency: Lanes<N>,
    half_speed: Lanes<N>,
    per_phi: Lanes<N>,
    reference_phi: Lanes<N>,
    per_speed: Lanes<N>,
    low_speed_limit: Lanes<N>,
    per_dilution: Lanes<N>,
    quench: Lanes<N>,
    half_width: Lanes<N>,
    margin: Lanes<N>,
    margin_per_head: Lanes<N>,
    full_air: Lanes<N>,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Work<const N: usize> {
    pub heat: Lanes<N>,
    pub work: Lanes<N>,
    pub phase_error_deg: Lanes<N>,
    pub detonation: Lanes<N>,
}

impl<const N: usize> Combustion<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            heat: std::array::from_fn(|k| Lanes::each(|i| setups[i].heat.coefficients[k])),
            efficiency: each(|s| s.laws.combustion.best_efficiency),
            half_speed: each(|s| s.laws.combustion.efficiency_half_speed_rev_per_s),
            per_phi: each(|s| s.laws.combustion.phase_per_equivalence_ratio_deg),
            reference_phi: each(|s| s.laws.combustion.phase_reference_equivalence_ratio),
            per_speed: each(|s| s.laws.combustion.phase_per_speed_deg),
            low_speed_limit: each(|s| s.laws.combustion.phase_low_speed_limit),
            per_dilution: each(|s| s.laws.combustion.phase_per_dilution_deg),
            quench: each(|s| 1.0 / s.laws.combustion.plug_quench_k_per_deg),
            half_width: each(|s| 1.0 / s.laws.combustion.phase_half_width_deg),
            margin: each(|s| {
                let c = &s.laws.combustion;
                c.detonation_margin_deg
                    - c.detonation_per_compression_deg * (s.engine.geometry.compression_ratio - 9.0)
                    - c.detonation_per_nitro_deg * (s.fuel.blend.nitro_percent / 10.0)
            }),
            margin_per_head: each(|s| s.laws.combustion.detonation_per_head_deg / 10.0),
            full_air: each(|s| s.air.dry_density * s.engine.geometry.displacement_cm3 * 1e-6),
        }
    }

    /// Heat and work of `air` kg burning at `equivalence_ratio`.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn work(
        &self,
        air: Lanes<N>,
        trapped_air: Lanes<N>,
        equivalence_ratio: Lanes<N>,
        burnt_fraction: Lanes<N>,
        speed: Lanes<N>,
        plug_temperature: Lanes<N>,
        head_temperature: Lanes<N>,
    ) -> Work<N> {
        let heat = air * heat_release::per_kg_air(&self.heat, equivalence_ratio);
        let faster = (speed * (1.0 / REFERENCE_SPEED) - 1.0).max(-self.low_speed_limit);
        let phase_error_deg = self.per_phi * (self.reference_phi - equivalence_ratio)
            - self.per_speed * faster
            - self.per_dilution * (burnt_fraction - REFERENCE_DILUTION).max(0.0)
            - (900.0 - plug_temperature).max(0.0) * self.quench;
        let off = phase_error_deg * self.half_width;
        let efficiency = self.efficiency * speed / ((speed + self.half_speed) * (off * off + 1.0));
        let margin = self.margin - self.margin_per_head * (head_temperature - 383.15);
        let load = trapped_air / self.full_air;
        let detonation = (phase_error_deg - margin).max(0.0) * 0.1 * load * air / trapped_air.max(1e-12);
        Work {
            heat,
            work: heat * efficiency,
            phase_error_deg,
            detonation,
        }
    }
}
