//! Visible smoke is oil mist, nothing else: methanol vapour does not scatter light.
//!
//! Oil that did not burn goes into the pipe, part of it onto the walls while the gas is slow; wide open the walls are swept clean
//! again. Opacity follows Beer and Lambert over a stated path through the plume, thinned as it spreads.

use super::Setup;
use crate::lanes::Lanes;

#[derive(Clone, Copy, Debug)]
pub(super) struct Smoke<const N: usize> {
    burnt: Lanes<N>,
    carry: Lanes<N>,
    clear: Lanes<N>,
    pipe_volume: Lanes<N>,
    ambient_density: Lanes<N>,
    /// Extinction times path over dilution, m³/kg.
    extinction: Lanes<N>,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Plume<const N: usize> {
    pub mist: Lanes<N>,
    pub wall: Lanes<N>,
    pub oil_burnt: Lanes<N>,
    pub oil_out: Lanes<N>,
    pub opacity: Lanes<N>,
}

impl<const N: usize> Smoke<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            burnt: each(|s| s.laws.smoke.oil_burnt_share),
            carry: each(|s| s.laws.smoke.carry_flow_cm3_per_s * 1e-6),
            clear: each(|s| 1.0 / (s.laws.smoke.wall_clear_s * 1e-3)),
            pipe_volume: each(|s| 1.0 / (s.engine.geometry.pipe_volume_cm3 * 1e-6)),
            ambient_density: each(|s| 1.0 / s.air.density),
            extinction: each(|s| {
                s.laws.smoke.extinction_m2_per_g * 1e3 * s.laws.smoke.path_cm * 1e-2 / s.laws.smoke.dilution
            }),
        }
    }

    /// One revolution: `oil` reaches the cylinder, of which `trapped` share stays and burns with `burnt_share`.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn plume(
        &self,
        mist: Lanes<N>,
        wall: Lanes<N>,
        oil: Lanes<N>,
        trapped: Lanes<N>,
        burnt_share: Lanes<N>,
        exhaust_mass: Lanes<N>,
        duration: Lanes<N>,
    ) -> Plume<N> {
        let oil_burnt = oil * trapped * burnt_share * self.burnt;
        let visible = oil - oil_burnt;
        let volume = exhaust_mass * self.ambient_density;
        let flow = volume / duration;
        let carried = visible * flow / (flow + self.carry).max(1e-12);
        let on_wall = wall + visible - carried;
        let next_wall = on_wall / (volume * self.clear + 1.0);
        let in_gas = mist + carried + on_wall - next_wall;
        let next_mist = in_gas / (volume * self.pipe_volume + 1.0);
        let oil_out = in_gas - next_mist;
        let opacity = 1.0 - (-(self.extinction * oil_out / volume.max(1e-12))).exp();
        Plume {
            mist: next_mist,
            wall: next_wall,
            oil_burnt,
            oil_out,
            opacity,
        }
    }
}
