//! The glow plug: warm from the head, from the catalysis of fuel vapour on its wire, and from firing; chilled by a wet charge.
//!
//! Catalysis needs vapour, not firing, and lights about 600 K: a plug that falls below goes out and the engine with it. A lead
//! lights it for starting.

use super::links::Sources;
use crate::lanes::{Lanes, Registers};

#[derive(Clone, Copy, Debug)]
pub(super) struct Plug {
    catalytic: f64,
    light_off: f64,
    width: f64,
    firing: f64,
    firing_speed: f64,
    wet: f64,
    lag: f64,
    lead: f64,
}

/// What warms and cools the plug in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wire<T> {
    /// Plug, K.
    pub temperature: T,
    /// Head, K.
    pub head_temperature: T,
    /// Share of the charge that burnt.
    pub burnt_share: T,
    /// Share of the metered fuel that lands on walls, times the fuel-air ratio.
    pub wetness: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// 1 with the lead on.
    pub glow_lead: T,
    /// 0 for a standing engine.
    pub alive: T,
    /// Duration, s.
    pub duration: T,
}

impl Plug {
    pub fn new(s: &Sources) -> Self {
        Self {
            catalytic: { s.laws.plug.catalytic_rise_k * s.range.catalytic_factor * (1.0 - s.faults.plug_tired_share) },
            light_off: s.laws.plug.catalytic_light_off_k,
            width: 1.0 / s.laws.plug.catalytic_width_k,
            firing: s.laws.plug.firing_rise_k * s.range.firing_factor,
            firing_speed: s.laws.plug.firing_rise_speed_k * s.range.firing_factor,
            wet: s.laws.plug.wet_cooling_k * s.range.wet_cooling_factor,
            lag: 1.0 / s.laws.plug.lag_s,
            lead: s.laws.plug.lead_rise_k,
        }
    }

    /// Plug temperature after the revolution.
    #[inline(always)]
    pub fn next_temperature<R: Registers>(&self, inputs: Wire<Lanes<R>>) -> Lanes<R> {
        let Wire {
            temperature,
            head_temperature,
            burnt_share,
            wetness,
            speed,
            glow_lead,
            alive,
            duration,
        } = inputs;
        let weight = duration * self.lag;
        // The logistic curve of its temperature, and what stays of the old one.
        let unlit = ((self.light_off - temperature) * self.width).exp();
        let [lit, stays] = Lanes::recips([unlit + 1.0, weight + 1.0]);
        let firing = self.firing + self.firing_speed * (speed * (1.0 / 550.0)).sqrt();
        // Without vapour there is nothing to catalyse.
        let target = head_temperature + self.catalytic * lit * alive + burnt_share * firing + self.lead * glow_lead
            - self.wet * wetness;
        (temperature + target.max(250.0) * weight) * stays
    }
}
