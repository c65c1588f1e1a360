//! Damage: detonation, an overheated head, over-revving without load, full load on a cold engine, and too little oil.
//!
//! One figure, 1 meaning a lost engine. All rates are assumed; what matters is their order: a second of hard detonation costs more
//! than a minute a little too lean.

use super::Setup;
use crate::lanes::Lanes;

#[derive(Clone, Copy, Debug)]
pub(super) struct Wear<const N: usize> {
    detonation: Lanes<N>,
    head_limit: Lanes<N>,
    overheat: Lanes<N>,
    overspeed_limit: Lanes<N>,
    overspeed: Lanes<N>,
    cold: Lanes<N>,
    oil_needed: Lanes<N>,
    thin_oil: Lanes<N>,
}

impl<const N: usize> Wear<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            detonation: each(|s| s.laws.wear.detonation_per_s),
            head_limit: each(|s| s.laws.wear.head_limit_c + 273.15),
            overheat: each(|s| s.laws.wear.overheat_per_s / 10.0),
            overspeed_limit: each(|s| s.laws.wear.overspeed_rpm / 60.0),
            overspeed: each(|s| s.laws.wear.overspeed_per_s * 60.0 / 1000.0),
            cold: each(|s| s.laws.wear.cold_load_per_s),
            oil_needed: each(|s| 1.0 / (s.laws.wear.thin_oil_mg_per_cm3 * 1e-6 * s.engine.geometry.displacement_cm3)),
            thin_oil: each(|s| s.laws.wear.thin_oil_per_s),
        }
    }

    /// Damage added in one revolution.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn damage(
        &self,
        detonation: Lanes<N>,
        head: Lanes<N>,
        crankcase: Lanes<N>,
        speed: Lanes<N>,
        load: Lanes<N>,
        oil: Lanes<N>,
        alive: Lanes<N>,
        duration: Lanes<N>,
    ) -> Lanes<N> {
        let coldness = ((323.15 - crankcase) * (1.0 / 30.0)).clamp(0.0, 1.0);
        let hard = (load - 0.4).max(0.0);
        let unoiled = (1.0 - oil * self.oil_needed).max(0.0);
        let rate = self.detonation * detonation
            + self.overheat * (head - self.head_limit).max(0.0)
            + self.overspeed * (speed - self.overspeed_limit).max(0.0)
            + self.cold * coldness * hard
            + self.thin_oil * unoiled * hard;
        rate * duration * alive
    }
}
