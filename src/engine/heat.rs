//! Where the heat goes: head and crankcase as lumped masses, the gas left in the cylinder, the gas in the pipe.
//!
//! The head takes a share of what burns (most near the hottest mixture, more at low speed, more when detonating), gives to the air
//! that passes and to the crankcase, and is cooled by the fuel that evaporates.

use super::Setup;
use crate::lanes::Lanes;

/// Heat capacity of the cylinder's gas, J/(kg K).
const GAS_CAPACITY: f64 = 1_250.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Heat<const N: usize> {
    share: Lanes<N>,
    speed_fall: Lanes<N>,
    mixture_fall: Lanes<N>,
    hottest: Lanes<N>,
    detonation: Lanes<N>,
    latent: Lanes<N>,
    latent_crankcase: Lanes<N>,
    friction_share: Lanes<N>,
    exhaust_share: Lanes<N>,
    pipe_lag: Lanes<N>,
    ambient: Lanes<N>,
    head_capacity: Lanes<N>,
    still: Lanes<N>,
    moving: Lanes<N>,
    to_crankcase: Lanes<N>,
    crankcase_capacity: Lanes<N>,
    crankcase_to_air: Lanes<N>,
    bench_air: Lanes<N>,
}

impl<const N: usize> Heat<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            share: each(|s| s.laws.heat.head_share),
            speed_fall: each(|s| s.laws.heat.head_share_speed_fall),
            mixture_fall: each(|s| s.laws.heat.head_share_mixture_fall * 4.0),
            hottest: each(|s| s.laws.heat.hottest_equivalence_ratio),
            detonation: each(|s| s.laws.heat.head_share_detonation),
            latent: each(|s| {
                s.laws.heat.evaporation_share * (1.0 - s.laws.heat.evaporation_crankcase_part) * s.fuel.latent_heat
            }),
            latent_crankcase: each(|s| {
                s.laws.heat.evaporation_share * s.laws.heat.evaporation_crankcase_part * s.fuel.latent_heat
            }),
            friction_share: each(|s| s.laws.heat.friction_crankcase_share),
            exhaust_share: each(|s| s.laws.heat.exhaust_heat_share),
            pipe_lag: each(|s| 1.0 / s.laws.heat.pipe_lag_s),
            ambient: each(|s| s.air.temperature),
            head_capacity: each(|s| 1.0 / s.engine.cooling.head_capacity_j_per_k),
            still: each(|s| s.engine.cooling.head_still_air_w_per_k),
            moving: each(|s| s.engine.cooling.head_moving_air_w_per_k / 10.0_f64.sqrt()),
            to_crankcase: each(|s| s.engine.cooling.head_to_crankcase_w_per_k),
            crankcase_capacity: each(|s| 1.0 / s.engine.cooling.crankcase_capacity_j_per_k),
            crankcase_to_air: each(|s| s.engine.cooling.crankcase_to_air_w_per_k),
            bench_air: each(|s| s.engine.cooling.bench_air_speed_m_per_s),
        }
    }

    /// Temperature of the charge once `heat` J have been released in `mass` kg that stood at `temperature`, as the exhaust opens.
    #[inline(always)]
    pub fn exhaust_temperature(&self, temperature: Lanes<N>, heat: Lanes<N>, mass: Lanes<N>) -> Lanes<N> {
        (temperature + self.exhaust_share * heat / (mass.max(1e-9) * GAS_CAPACITY)).clamp(250.0, 2600.0)
    }

    /// Pipe gas after `duration` seconds of gas at `exhaust` K.
    #[inline(always)]
    pub fn next_pipe(&self, pipe: Lanes<N>, exhaust: Lanes<N>, alive: Lanes<N>, duration: Lanes<N>) -> Lanes<N> {
        let weight = duration * self.pipe_lag;
        let target = self.ambient + (exhaust - self.ambient) * 0.6 * alive;
        (pipe + target * weight) / (weight + 1.0)
    }

    /// Head and crankcase temperatures after one revolution.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn next_solids(
        &self,
        head: Lanes<N>,
        crankcase: Lanes<N>,
        heat: Lanes<N>,
        friction_work: Lanes<N>,
        fuel: Lanes<N>,
        equivalence_ratio: Lanes<N>,
        detonation: Lanes<N>,
        speed: Lanes<N>,
        road_speed: Lanes<N>,
        on_track: Lanes<N>,
        duration: Lanes<N>,
    ) -> (Lanes<N>, Lanes<N>) {
        let off = equivalence_ratio - self.hottest;
        let mixture = (1.0 - self.mixture_fall * off * off).max(0.3);
        let slow = (self.speed_fall + 1.0) / (self.speed_fall * speed * (1.0 / 500.0) + 1.0);
        let into_head = heat * self.share * mixture * slow * (self.detonation * detonation + 1.0) - fuel * self.latent;
        let wind = self.bench_air + (road_speed - self.bench_air) * on_track;
        let head_to_air = self.still + self.moving * wind.max(0.0).sqrt();
        let step = duration * self.head_capacity;
        let next_head = (head
            + into_head * self.head_capacity
            + step * (head_to_air * self.ambient + self.to_crankcase * crankcase))
            / (step * (head_to_air + self.to_crankcase) + 1.0);
        let into_crankcase = friction_work * self.friction_share - fuel * self.latent_crankcase;
        let step = duration * self.crankcase_capacity;
        let next_crankcase = (crankcase
            + into_crankcase * self.crankcase_capacity
            + step * (self.crankcase_to_air * self.ambient + self.to_crankcase * head))
            / (step * (self.crankcase_to_air + self.to_crankcase) + 1.0);
        (next_head.clamp(200.0, 900.0), next_crankcase.clamp(200.0, 700.0))
    }
}
