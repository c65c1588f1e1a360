//! Damage by cause: detonation, an overheated head, over-revving without load, full load on a cold engine, and too little oil.
//!
//! Knock harms by the heat it leaves, so what counts is knock that is held: a few beats while the throttle opens are an annoyance, seconds of
//! it at speed are holes (acceleration knock and constant-speed knock: Heywood 1988, section 9.6, from memory).
//! Each cause is kept apart, as a share of the engine's life; 1 in all is a lost engine. Knocking, cold and thin oil count only above
//! part throttle (cold already below), where pressures are high; revving counts by the square of the mean piston speed's excess over what the rod bears.
//! All rates are assumed; what matters is their order: a second of hard detonation costs more than a minute a little too lean, a minute
//! of wheels-up full throttle a little, a pinch test nothing.

use super::links::Sources;
use super::state::Damage;
use crate::lanes::{Lanes, Registers};
use crate::units::kelvin_from_celsius;

#[derive(Clone, Copy, Debug)]
pub(super) struct Wear {
    detonation: f64,
    /// Reciprocal of the time in which knock heats what it strikes, 1/s.
    knock: f64,
    head_limit: f64,
    overheat: f64,
    /// Reciprocal of the speed at which the rod begins to wear, s.
    rod_speed: f64,
    rod: f64,
    cold: f64,
    cold_below: f64,
    cold_span: f64,
    gentle: f64,
    cold_load: f64,
    oil_needed: f64,
    thin_oil: f64,
}

/// What wears the engine in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strain<T> {
    /// Detonation index.
    pub detonation: T,
    /// The same, held over the last seconds.
    pub knock: T,
    /// Head, K.
    pub head: T,
    /// Crankcase, K.
    pub crankcase: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// Air that burns, over a full charge of ambient air: what a missed revolution traps presses on nothing.
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
        let w = &s.laws.wear;
        let displacement = s.engine.geometry.displacement_cm3;
        Self {
            detonation: w.detonation_per_s,
            knock: 1.0 / w.knock_heats_s,
            head_limit: kelvin_from_celsius(w.head_limit_c),
            overheat: w.overheat_per_s / 10.0,
            rod_speed: 2.0 * s.engine.geometry.bore() / w.rod_piston_speed_m_per_s,
            rod: w.rod_per_s,
            cold: w.cold_load_per_s,
            cold_below: kelvin_from_celsius(w.cold_below_c),
            cold_span: 1.0 / w.cold_span_k,
            gentle: w.gentle_load_share,
            cold_load: w.cold_load_share,
            oil_needed: 1.0 / (w.thin_oil_mg_per_cm3 * 1e-6 * displacement),
            thin_oil: w.thin_oil_per_s,
        }
    }

    /// Detonation index held over the last seconds, after one revolution.
    #[inline(always)]
    pub fn knock<R: Registers>(&self, before: Lanes<R>, detonation: Lanes<R>, duration: Lanes<R>) -> Lanes<R> {
        before + (detonation - before) * (duration * self.knock).min(1.0)
    }

    /// Damage after one revolution.
    #[inline(always)]
    pub fn damage<R: Registers>(&self, before: &Damage<Lanes<R>>, inputs: Strain<Lanes<R>>) -> Damage<Lanes<R>> {
        let Strain {
            detonation,
            knock,
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
        let at_load = load.if_less(self.gentle, 0.0, 1.0);
        let unoiled = (1.0 - oil * self.oil_needed).max(0.0);
        let over = (speed * self.rod_speed - 1.0).max(0.0);
        let seconds = duration * alive;
        Damage {
            detonation: before.detonation + self.detonation * knock * detonation * at_load * seconds,
            overheating: before.overheating + self.overheat * (head - self.head_limit).max(0.0) * seconds,
            thin_oil: before.thin_oil + self.thin_oil * unoiled * hard * seconds,
            revving: before.revving + self.rod * over * over * seconds,
            cold_running: before.cold_running + self.cold * coldness * (load - self.cold_load).max(0.0) * seconds,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lanes::one;

    /// Constant-speed and acceleration knock: Heywood 1988, section 9.6, from memory.
    #[test]
    fn knock_that_is_held_harms_more_than_as_much_of_it_in_bursts() {
        // Of the constants only knock's matter here.
        let wear = Wear {
            detonation: 0.1,
            knock: 0.5,
            head_limit: 420.0,
            overheat: 0.0,
            rod_speed: 0.0,
            rod: 0.0,
            cold: 0.0,
            cold_below: 300.0,
            cold_span: 0.1,
            gentle: 0.3,
            cold_load: 0.2,
            oil_needed: 0.0,
            thin_oil: 0.0,
        };
        let beat_s = 0.002;
        let harm = |bursts: u32, burst_s: f64, between_s: f64| {
            let (mut knock, mut harm) = (0.0, 0.0);
            for _ in 0..bursts {
                for (index, seconds) in [(0.2, burst_s), (0.0, between_s)] {
                    for _ in 0..(seconds / beat_s) as u32 {
                        knock = wear.knock(one(knock), one(index), one(beat_s)).number();
                        let strain = Strain {
                            detonation: one(index),
                            knock: one(knock),
                            head: one(380.0),
                            crankcase: one(340.0),
                            speed: one(500.0),
                            load: one(0.8),
                            oil: one(1.0),
                            alive: one(1.0),
                            duration: one(beat_s),
                        };
                        let unharmed = Damage::default().each(|share| one(*share));
                        harm += wear.damage(&unharmed, strain).detonation.number();
                    }
                }
            }
            harm
        };
        let (held, in_bursts) = (harm(1, 12.0, 0.0), harm(24, 0.5, 6.0));
        assert!((0.02..0.1).contains(&held), "{held}");
        assert!(in_bursts < 0.3 * held, "{in_bursts} in bursts, {held} held");
    }
}
