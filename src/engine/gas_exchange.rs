//! Fresh charge in, old charge out: perfect mixing (Hopkinson 1914), with the old gas weighed by its density.
//!
//! At delivery `SR` (scavenging volume per trapped volume) a share `exp(-SR)` of the old gas stays and a share
//! `(1 - exp(-SR))/SR` of the fresh charge is trapped. Hot burnt gas is thin, a charge that missed is dense, so after a miss the
//! cylinder keeps more of it: alternate firing follows from that. Whatever is not kept leaves, so mass closes to rounding.

use super::Setup;
use super::state::Charge;
use crate::lanes::Lanes;

/// Gas constant of the old charge, J/(kg K): near that of air.
const GAS_CONSTANT: f64 = 290.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct GasExchange<const N: usize> {
    gain: Lanes<N>,
    /// p V / R: kelvin times kg.
    volume_mass: Lanes<N>,
    sealing: Lanes<N>,
    noise: Lanes<N>,
}

/// The charge trapped and the gas that left, kg.
#[derive(Clone, Copy, Debug)]
pub(super) struct Exchange<const N: usize> {
    pub trapped: Charge<N>,
    pub trapping_efficiency: Lanes<N>,
    pub out_air: Lanes<N>,
    pub out_fuel: Lanes<N>,
    pub out_burnt: Lanes<N>,
}

/// Share of the old gas that stays after `ratio` trapped volumes of fresh charge have mixed with it perfectly (Hopkinson 1914).
#[inline(always)]
pub fn kept_share<const N: usize>(ratio: Lanes<N>) -> Lanes<N> {
    (-ratio).exp()
}

/// Share of that fresh charge which is trapped, where `kept_share` of the old gas stays; `ratio` above 0.
#[inline(always)]
pub fn trapping_efficiency<const N: usize>(ratio: Lanes<N>, kept_share: Lanes<N>) -> Lanes<N> {
    (1.0 - kept_share) / ratio
}

impl<const N: usize> GasExchange<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            gain: each(|s| s.engine.geometry.scavenging_gain),
            volume_mass: each(|s| s.air.pressure * s.engine.geometry.displacement_cm3 * 1e-6 / GAS_CONSTANT),
            sealing: each(|s| 1.0 - s.faults.sleeve_wear_share),
            noise: each(|s| s.laws.film.trapping_noise),
        }
    }

    /// Scavenges the `old` charge with `air` and `fuel`, kg, at `fresh_temperature`; `jitter` has unit deviation.
    #[inline(always)]
    pub fn scavenge(
        &self,
        old: &Charge<N>,
        air: Lanes<N>,
        fuel: Lanes<N>,
        delivery_ratio: Lanes<N>,
        fresh_temperature: Lanes<N>,
        jitter: Lanes<N>,
    ) -> Exchange<N> {
        let ratio = (self.gain * delivery_ratio).max(1e-6);
        let kept_share = kept_share(ratio);
        let varied = (1.0 + self.noise * jitter).clamp(0.2, 1.8);
        let trapping_efficiency = (trapping_efficiency(ratio, kept_share) * varied * self.sealing).clamp(0.0, 1.0);
        // At exhaust opening the cylinder can hold only what ambient pressure holds at the old gas's temperature.
        let old_mass = (old.air + old.fuel + old.burnt).max(1e-12);
        let held = (self.volume_mass / (old.temperature * old_mass)).min(1.0);
        let kept = kept_share * held;
        let kept_mass = kept * old_mass;
        let fresh_air = trapping_efficiency * air;
        let fresh_fuel = trapping_efficiency * fuel;
        let fresh_mass = fresh_air + fresh_fuel;
        let trapped = Charge {
            air: kept * old.air + fresh_air,
            fuel: kept * old.fuel + fresh_fuel,
            burnt: kept * old.burnt,
            temperature: (kept_mass * old.temperature + fresh_mass * fresh_temperature)
                / (kept_mass + fresh_mass).max(1e-12),
        };
        Exchange {
            trapped,
            trapping_efficiency,
            out_air: old.air + air - trapped.air,
            out_fuel: old.fuel + fuel - trapped.fuel,
            out_burnt: old.burnt - trapped.burnt,
        }
    }
}
