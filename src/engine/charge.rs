//! The fresh charge on its way from the carburettor into the cylinder: one temperature, warmed by crankcase and crown, cooled by its
//! own fuel evaporating.
//!
//! `T_mixture = T_air + e_c (T_crankcase - T_air) - cooling`, `T_entering = T_mixture + e_p (T_crown - T_mixture)`. A gas can be
//! cooled by a liquid no further than to its wet bulb; for methanol in air that lies `0.72 (T - 253 K)` below its own temperature
//! (from saturation, latent heat and heat capacity at 20 and 60 °C; a test computes it), approached as `a m/(a + m)`. What the air
//! cannot give, the walls give. Fuel that arrives liquid evaporates on the hot walls and in the charge, in the same account, so every
//! latent heat is charged once. Range: crankcase 250-420 K, crown 250-700 K. Leaves out the spray's droplet sizes and the time that
//! evaporation takes.

use super::links::{Link, Sources};
use super::state::{ENTHALPY_ZERO, FRESH_CAPACITY};
use crate::lanes::{Lanes, Registers};

/// Wet bulb of air over methanol: its depression per kelvin of dry bulb above a zero, K.
pub const WET_BULB_SLOPE: f64 = 0.72;
/// That zero, K.
pub const WET_BULB_ZERO: f64 = 253.0;
/// Coldest that drops can make a charge, K (assumed; methanol's wet bulb in dry air of -20 °C is some 250 K).
const COLDEST: f64 = 240.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Charging {
    crankcase_warming: f64,
    crown_warming: f64,
    /// Per kilogram of combustible fuel, J/kg.
    latent: f64,
    vapour_wall: f64,
    /// Shares of the drops' latent heat from crown and from head.
    drops_crown: f64,
    drops_head: f64,
    ambient: f64,
}

/// What comes in, masses in kg.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stream<T> {
    /// Crankcase, K.
    pub crankcase: T,
    /// Piston crown, K.
    pub crown: T,
    /// Dry air.
    pub air: T,
    /// Fuel that vaporises in the crankcase.
    pub vapour: T,
    /// All fuel that reaches the cylinder, vapour or not.
    pub fuel: T,
}

/// What arrives.
#[derive(Clone, Copy, Debug)]
pub(super) struct FreshCharge<T> {
    /// Temperature of the mixture in the crankcase, K.
    pub mixture: T,
    /// As it enters the cylinder, K.
    pub entering: T,
    /// Once the liquid that it brings has taken its latent heat, K: an account, not a temperature that a thermometer would read.
    pub dried: T,
    /// Heat taken from the crankcase, J.
    pub from_crankcase: T,
    /// Heat taken from the crown, J.
    pub from_crown: T,
    /// Heat taken from head and liner, J.
    pub from_head: T,
}

impl Charging {
    pub fn new(s: &Sources) -> Self {
        let fuel = s.fuel(Link::FuelToLatentHeat);
        Self {
            crankcase_warming: s.laws.heat.crankcase_charge_heating,
            crown_warming: s.laws.heat.crown_charge_heating,
            latent: fuel.latent_heat / (1.0 - fuel.oil_mass_fraction),
            vapour_wall: s.laws.heat.vapour_wall_share,
            drops_crown: s.laws.heat.droplet_wall_share * s.laws.heat.crown_part,
            drops_head: s.laws.heat.droplet_wall_share * (1.0 - s.laws.heat.crown_part),
            ambient: s.air(Link::AirTemperatureToCharge).temperature,
        }
    }

    /// Latent heat of `fuel` kg, J.
    #[inline(always)]
    pub fn latent<R: Registers>(&self, fuel: Lanes<R>) -> Lanes<R> {
        self.latent * fuel
    }

    /// Enthalpy of what comes in, J above [`ENTHALPY_ZERO`]: air and fuel at the day's temperature, the fuel counted as vapour.
    #[inline(always)]
    pub fn enthalpy_in<R: Registers>(&self, air: Lanes<R>, fuel: Lanes<R>) -> Lanes<R> {
        (FRESH_CAPACITY * (self.ambient - ENTHALPY_ZERO)) * (air + fuel)
    }

    /// The charge's way into the cylinder.
    #[inline(always)]
    pub fn arrive<R: Registers>(&self, inputs: Stream<Lanes<R>>) -> FreshCharge<Lanes<R>> {
        let Stream {
            crankcase,
            crown,
            air,
            vapour,
            fuel,
        } = inputs;
        let capacity = ((air + fuel) * FRESH_CAPACITY).max(1e-9);
        let warmed = self.crankcase_warming * (crankcase - self.ambient);
        let drying = vapour * self.latent;
        let dry_bulb = self.ambient + warmed;
        let most = WET_BULB_SLOPE * (dry_bulb - WET_BULB_ZERO).max(1.0);
        // Half the harmonic mean of what drying asks and the way to the wet bulb: the former as long as it is small.
        let asked = drying * (1.0 - self.vapour_wall);
        let [per_capacity, per_reach] = Lanes::recips([capacity, asked + most * capacity]);
        let cooling = asked * most * per_reach;
        let mixture = dry_bulb - cooling;
        let by_crown = self.crown_warming * (crown - mixture);
        let entering = mixture + by_crown;
        let drops = (fuel - vapour) * self.latent;
        let on_crown = drops * self.drops_crown;
        let on_head = drops * self.drops_head;
        // What a flooded charge is too cold to dry is left to head and liner.
        let dried = entering - (drops - on_crown - on_head) * per_capacity;
        let lacks = (COLDEST - dried).max(0.0);
        FreshCharge {
            mixture,
            entering,
            dried: dried + lacks,
            from_crankcase: capacity * (warmed - cooling) + drying,
            from_crown: capacity * by_crown + on_crown,
            from_head: on_head + capacity * lacks,
        }
    }
}
