//! Damage: detonation, an overheated head, over-revving without load, full load on a cold engine, and too little oil.
//!
//! One figure, 1 meaning a lost engine. All rates are assumed; what matters is their order: a second of hard detonation costs more
//! than a minute a little too lean.

use super::links::Sources;
use crate::lanes::{Lanes, Registers};
use crate::units::{kelvin_from_celsius, rev_per_second_from_rpm};

#[derive(Clone, Copy, Debug)]
pub(super) struct Wear {
    detonation: f64,
    head_limit: f64,
    overheat: f64,
    overspeed_limit: f64,
    overspeed: f64,
    cold: f64,
    cold_below: f64,
    cold_span: f64,
    gentle: f64,
    oil_needed: f64,
    thin_oil: f64,
}

/// What wears the engine in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strain<T> {
    /// Detonation index.
    pub detonation: T,
    /// Head, K.
    pub head: T,
    /// Crankcase, K.
    pub crankcase: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// Trapped air over a full charge of ambient air.
    pub load: T,
    /// Oil that reaches the cylinder, kg.
    pub oil: T,
    /// 0 for a standing engine.
    pub alive: T,
    /// Duration, s.
    pub duration: T,
}

impl Wear {
    pub fn new(s: &Sources) -> Self {
        Self {
            detonation: s.laws.wear.detonation_per_s,
            head_limit: kelvin_from_celsius(s.laws.wear.head_limit_c),
            overheat: s.laws.wear.overheat_per_s / 10.0,
            overspeed_limit: rev_per_second_from_rpm(s.laws.wear.overspeed_rpm),
            overspeed: s.laws.wear.overspeed_per_s * 60.0 / 1000.0,
            cold: s.laws.wear.cold_load_per_s,
            cold_below: kelvin_from_celsius(s.laws.wear.cold_below_c),
            cold_span: 1.0 / s.laws.wear.cold_span_k,
            gentle: s.laws.wear.gentle_load_share,
            oil_needed: 1.0 / (s.laws.wear.thin_oil_mg_per_cm3 * 1e-6 * s.engine.geometry.displacement_cm3),
            thin_oil: s.laws.wear.thin_oil_per_s,
        }
    }

    /// Damage added in one revolution.
    #[inline(always)]
    pub fn damage<R: Registers>(&self, inputs: Strain<Lanes<R>>) -> Lanes<R> {
        let Strain {
            detonation,
            head,
            crankcase,
            speed,
            load,
            oil,
            alive,
            duration,
        } = inputs;
        let coldness = ((self.cold_below - crankcase) * self.cold_span).clamp(0.0, 1.0);
        let hard = (load - self.gentle).max(0.0);
        let unoiled = (1.0 - oil * self.oil_needed).max(0.0);
        let rate = self.detonation * detonation
            + self.overheat * (head - self.head_limit).max(0.0)
            + self.overspeed * (speed - self.overspeed_limit).max(0.0)
            + self.cold * coldness * hard
            + self.thin_oil * unoiled * hard;
        rate * duration * alive
    }
}
