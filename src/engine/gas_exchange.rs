//! Fresh charge in, old charge out: perfect mixing (Hopkinson 1914), with the old gas weighed by its density.
//!
//! At delivery `SR` (scavenging volume per trapped volume) a share `exp(-SR)` of the old gas stays and a share
//! `(1 - exp(-SR))/SR` of the fresh charge is trapped. Hot burnt gas is thin, a charge that missed is dense, so after a miss the
//! cylinder keeps more of it: alternate firing follows from that. Whatever is not kept leaves, so mass closes to rounding.

use super::links::{Link, Sources};
use super::state::{Charge, ENTHALPY_ZERO, FRESH_CAPACITY};
use crate::lanes::{Lanes, Registers};
use crate::units::cubic_metre_from_ml;

/// Gas constant of the old charge, J/(kg K): near that of air.
const GAS_CONSTANT: f64 = 290.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct GasExchange {
    gain: f64,
    /// p V / R: kelvin times kg.
    volume_mass: f64,
    sealing: f64,
    noise: f64,
}

/// The charge trapped and the gas that left, kg.
#[derive(Clone, Copy, Debug)]
pub(super) struct Exchange<T> {
    pub trapped: Charge<T>,
    pub trapping_efficiency: T,
    pub out_air: T,
    pub out_fuel: T,
    pub out_burnt: T,
    /// Its enthalpy, J above the zero, fuel as vapour.
    pub out_enthalpy: T,
}

/// Share of the old gas that stays after `ratio` trapped volumes of fresh charge have mixed with it perfectly (Hopkinson 1914).
#[inline(always)]
pub fn kept_share<R: Registers>(ratio: Lanes<R>) -> Lanes<R> {
    (-ratio).exp()
}

/// Share of that fresh charge which is trapped, where `kept_share` of the old gas stays; `per_ratio` is 1 / ratio.
#[inline(always)]
pub fn trapping_efficiency<R: Registers>(per_ratio: Lanes<R>, kept_share: Lanes<R>) -> Lanes<R> {
    (1.0 - kept_share) * per_ratio
}

/// The old charge and the fresh one that sweeps it out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fresh<T> {
    /// What the last revolution left.
    pub old: Charge<T>,
    /// Dry air delivered, kg.
    pub air: T,
    /// Fuel delivered, kg.
    pub fuel: T,
    /// Its volume as it enters, in swept volumes.
    pub volume: T,
    /// Temperature of the fresh charge, K.
    pub fresh_temperature: T,
    /// Noise of the trapping, of unit deviation.
    pub jitter: T,
}

impl GasExchange {
    pub fn new(s: &Sources) -> Self {
        Self {
            gain: s.engine.geometry.scavenging_gain,
            volume_mass: cubic_metre_from_ml(
                s.air(Link::AirPressureToCylinder).pressure * s.engine.geometry.displacement_cm3,
            ) / GAS_CONSTANT,
            sealing: 1.0 - s.faults.sleeve_wear_share,
            noise: s.laws.film.trapping_noise,
        }
    }

    /// Scavenges the old charge.
    #[inline(always)]
    pub fn scavenge<R: Registers>(&self, inputs: Fresh<Lanes<R>>) -> Exchange<Lanes<R>> {
        let Fresh {
            old,
            air,
            fuel,
            volume,
            fresh_temperature,
            jitter,
        } = inputs;
        let ratio = (self.gain * volume).max(1e-6);
        let old_mass = (old.air + old.fuel + old.burnt).max(1e-12);
        let [per_ratio, per_old] = Lanes::recips([ratio, old.temperature * old_mass]);
        let kept_share = kept_share(ratio);
        let varied = (1.0 + self.noise * jitter).clamp(0.2, 1.8);
        let trapping_efficiency = (trapping_efficiency(per_ratio, kept_share) * varied * self.sealing).clamp(0.0, 1.0);
        // At exhaust opening the cylinder can hold only what ambient pressure holds at the old gas's temperature.
        let held = (self.volume_mass * per_old).min(1.0);
        let kept = kept_share * held;
        let fresh_air = trapping_efficiency * air;
        let fresh_fuel = trapping_efficiency * fuel;
        let fresh_capacity = FRESH_CAPACITY * (fresh_air + fresh_fuel);
        let fresh_in = FRESH_CAPACITY * (air + fuel);
        let old_capacity = old.capacity();
        let kept_capacity = kept * old_capacity;
        let trapped = Charge {
            air: kept * old.air + fresh_air,
            fuel: kept * old.fuel + fresh_fuel,
            burnt: kept * old.burnt,
            temperature: (kept_capacity * old.temperature + fresh_capacity * fresh_temperature)
                / (kept_capacity + fresh_capacity).max(1e-12),
        };
        Exchange {
            trapped,
            trapping_efficiency,
            out_air: old.air + air - trapped.air,
            out_fuel: old.fuel + fuel - trapped.fuel,
            out_burnt: old.burnt - trapped.burnt,
            out_enthalpy: (old_capacity - kept_capacity) * (old.temperature - ENTHALPY_ZERO)
                + (fresh_in - fresh_capacity) * (fresh_temperature - ENTHALPY_ZERO),
        }
    }
}
