//! Where the heat goes: head and crankcase as lumped masses, the gas left in the cylinder, the gas in the pipe.
//!
//! The head takes a share of what burns (most near the hottest mixture, more at low speed, more when detonating), gives to the air
//! that passes and to the crankcase, and is cooled by the fuel that evaporates.

use super::links::{Link, Sources};
use crate::lanes::{Lanes, Registers};

/// Heat capacity of the cylinder's gas, J/(kg K).
const GAS_CAPACITY: f64 = 1_250.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Heat {
    share: f64,
    speed_fall: f64,
    mixture_fall: f64,
    least: f64,
    hottest: f64,
    detonation: f64,
    latent: f64,
    latent_crankcase: f64,
    friction_share: f64,
    exhaust_share: f64,
    pipe_share: f64,
    pipe_lag: f64,
    ambient: f64,
    pipe_ambient: f64,
    head_capacity: f64,
    still: f64,
    moving: f64,
    to_crankcase: f64,
    crankcase_capacity: f64,
    crankcase_to_air: f64,
    bench_air: f64,
}

/// What warms and cools head and crankcase in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Warmth<T> {
    /// Head, K.
    pub head: T,
    /// Crankcase, K.
    pub crankcase: T,
    /// Heat released, J.
    pub heat: T,
    /// Work lost in friction, J.
    pub friction_work: T,
    /// Whole blend metered, kg.
    pub fuel: T,
    /// Mixture in the cylinder.
    pub equivalence_ratio: T,
    /// Detonation index.
    pub detonation: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// Speed of the car, m/s.
    pub road_speed: T,
    /// 1 in the car, 0 on the stand.
    pub on_track: T,
    /// Duration, s.
    pub duration: T,
}

/// What warms the gas in the pipe.
#[derive(Clone, Copy, Debug)]
pub(super) struct PipeGas<T> {
    /// Pipe gas, K.
    pub pipe: T,
    /// Gas as the exhaust opens, K.
    pub exhaust: T,
    /// 0 for a standing engine.
    pub alive: T,
    /// Duration, s.
    pub duration: T,
}

impl Heat {
    pub fn new(s: &Sources) -> Self {
        Self {
            share: s.laws.heat.head_share,
            speed_fall: s.laws.heat.head_share_speed_fall,
            mixture_fall: s.laws.heat.head_share_mixture_fall * 4.0,
            least: s.laws.heat.head_share_least,
            hottest: s.laws.heat.hottest_equivalence_ratio,
            detonation: s.laws.heat.head_share_detonation,
            latent: {
                s.laws.heat.evaporation_share
                    * (1.0 - s.laws.heat.evaporation_crankcase_part)
                    * s.fuel(Link::FuelToLatentHeat).latent_heat
            },
            latent_crankcase: {
                s.laws.heat.evaporation_share
                    * s.laws.heat.evaporation_crankcase_part
                    * s.fuel(Link::FuelToLatentHeat).latent_heat
            },
            friction_share: s.laws.heat.friction_crankcase_share,
            exhaust_share: s.laws.heat.exhaust_heat_share,
            pipe_share: s.laws.heat.pipe_gas_share,
            pipe_lag: 1.0 / s.laws.heat.pipe_lag_s,
            ambient: s.air(Link::AirTemperatureToCooling).temperature,
            pipe_ambient: s.air(Link::AirTemperatureToPipe).temperature,
            head_capacity: 1.0 / s.engine.cooling.head_capacity_j_per_k,
            still: s.engine.cooling.head_still_air_w_per_k,
            moving: s.engine.cooling.head_moving_air_w_per_k / 10.0_f64.sqrt(),
            to_crankcase: s.engine.cooling.head_to_crankcase_w_per_k,
            crankcase_capacity: 1.0 / s.engine.cooling.crankcase_capacity_j_per_k,
            crankcase_to_air: s.engine.cooling.crankcase_to_air_w_per_k,
            bench_air: s.engine.cooling.bench_air_speed_m_per_s,
        }
    }

    /// Temperature of the charge once `heat` J have been released in `mass` kg that stood at `temperature`, as the exhaust opens.
    #[inline(always)]
    pub fn exhaust_temperature<R: Registers>(&self, temperature: Lanes<R>, heat: Lanes<R>, mass: Lanes<R>) -> Lanes<R> {
        (temperature + self.exhaust_share * heat / (mass.max(1e-9) * GAS_CAPACITY)).clamp(250.0, 2600.0)
    }

    /// Pipe gas after the revolution, K.
    #[inline(always)]
    pub fn next_pipe<R: Registers>(&self, inputs: PipeGas<Lanes<R>>) -> Lanes<R> {
        let PipeGas {
            pipe,
            exhaust,
            alive,
            duration,
        } = inputs;
        let weight = duration * self.pipe_lag;
        let target = self.pipe_ambient + (exhaust - self.pipe_ambient) * self.pipe_share * alive;
        (pipe + target * weight) / (weight + 1.0)
    }

    /// Head and crankcase temperatures after one revolution.
    #[inline(always)]
    pub fn next_solids<R: Registers>(&self, inputs: Warmth<Lanes<R>>) -> (Lanes<R>, Lanes<R>) {
        let Warmth {
            head,
            crankcase,
            heat,
            friction_work,
            fuel,
            equivalence_ratio,
            detonation,
            speed,
            road_speed,
            on_track,
            duration,
        } = inputs;
        let off = equivalence_ratio - self.hottest;
        let mixture = (1.0 - self.mixture_fall * off * off).max(self.least);
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
