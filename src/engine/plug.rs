//! The glow plug: warm from the head, from the catalysis of fuel vapour on its wire, and from firing; chilled by a wet charge.
//!
//! Catalysis needs vapour, not firing, and lights about 600 K: a plug that falls below goes out and the engine with it. A lead
//! lights it for starting.

use super::Setup;
use crate::lanes::Lanes;

#[derive(Clone, Copy, Debug)]
pub(super) struct Plug<const N: usize> {
    catalytic: Lanes<N>,
    light_off: Lanes<N>,
    width: Lanes<N>,
    firing: Lanes<N>,
    firing_speed: Lanes<N>,
    wet: Lanes<N>,
    lag: Lanes<N>,
    lead: Lanes<N>,
}

impl<const N: usize> Plug<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            catalytic: each(|s| {
                s.laws.plug.catalytic_rise_k * s.range.catalytic_factor * (1.0 - s.faults.plug_tired_share)
            }),
            light_off: each(|s| s.laws.plug.catalytic_light_off_k),
            width: each(|s| 1.0 / s.laws.plug.catalytic_width_k),
            firing: each(|s| s.laws.plug.firing_rise_k * s.range.firing_factor),
            firing_speed: each(|s| s.laws.plug.firing_rise_speed_k * s.range.firing_factor),
            wet: each(|s| s.laws.plug.wet_cooling_k * s.range.wet_cooling_factor),
            lag: each(|s| 1.0 / s.laws.plug.lag_s),
            lead: each(|s| s.laws.plug.lead_rise_k),
        }
    }

    /// Plug temperature after `duration` seconds; `wetness` is the share of the metered fuel that lands on walls times the
    /// fuel-air ratio.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn next_temperature(
        &self,
        temperature: Lanes<N>,
        head_temperature: Lanes<N>,
        burnt_share: Lanes<N>,
        wetness: Lanes<N>,
        speed: Lanes<N>,
        glow_lead: Lanes<N>,
        duration: Lanes<N>,
    ) -> Lanes<N> {
        let lit = ((temperature - self.light_off) * self.width).logistic();
        let firing = self.firing + self.firing_speed * (speed * (1.0 / 550.0)).sqrt();
        let target =
            head_temperature + self.catalytic * lit + burnt_share * firing + self.lead * glow_lead - self.wet * wetness;
        let weight = duration * self.lag;
        (temperature + target.max(250.0) * weight) / (weight + 1.0)
    }
}
