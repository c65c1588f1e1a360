//! The solids: crown, head and crankcase as lumped masses, and the gas in the pipe.
//!
//! The crown takes its part of the walls' heat and of the charge's latent heat, and gives to the crankcase through liner and oil; the
//! head takes the rest, gives to the air that passes and to the crankcase; friction warms both. Every joule that leaves one arrives
//! in another or in the air, so the account closes. Each stays within what the laws around it are good for: an engine that is motored
//! in the cold, flooded with methanol, would evaporate its crown down to less than 200 K, and what keeps it there is told as the air's.

use super::links::{Link, Sources};
use crate::lanes::{Lanes, Registers};

#[derive(Clone, Copy, Debug)]
pub(super) struct Heat {
    friction_share: f64,
    pipe_lag: f64,
    pipe_share: f64,
    ambient: f64,
    pipe_ambient: f64,
    /// One over its heat capacity, K/J; so for head and crankcase.
    crown_capacity: f64,
    /// Its heat capacity, J/K; so for head and crankcase.
    crown_holds: f64,
    crown_to_crankcase: f64,
    head_capacity: f64,
    head_holds: f64,
    still: f64,
    moving: f64,
    to_crankcase: f64,
    crankcase_capacity: f64,
    crankcase_holds: f64,
    crankcase_to_air: f64,
    bench_air: f64,
    standing_share: f64,
}

/// What warms and cools the solids in one revolution; heats in J, temperatures in K.
#[derive(Clone, Copy, Debug)]
pub(super) struct Warmth<T> {
    /// Head.
    pub head: T,
    /// Crankcase.
    pub crankcase: T,
    /// Crown.
    pub crown: T,
    /// Heat of the gas to the crown.
    pub into_crown: T,
    /// Heat of the gas to head and liner.
    pub into_head: T,
    /// Heat that the charge took from the crown.
    pub from_crown: T,
    /// Heat that the charge took from head and liner.
    pub from_head: T,
    /// Heat that the charge took from the crankcase.
    pub from_crankcase: T,
    /// Friction.
    pub friction_work: T,
    /// Speed of the car, m/s.
    pub road_speed: T,
    /// 1 in the car, 0 on the stand.
    pub on_track: T,
    /// 0 for a standing engine.
    pub alive: T,
    /// Duration, s.
    pub duration: T,
}

/// The solids after a revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Solids<T> {
    pub head: T,
    pub crankcase: T,
    pub crown: T,
    /// Heat given to the air around, J.
    pub cooling: T,
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
        let c = &s.engine.cooling;
        Self {
            friction_share: s.laws.heat.friction_crankcase_share,
            pipe_lag: 1.0 / s.laws.heat.pipe_lag_s,
            pipe_share: s.laws.heat.pipe_gas_share,
            ambient: s.air(Link::AirTemperatureToCooling).temperature,
            pipe_ambient: s.air(Link::AirTemperatureToPipe).temperature,
            crown_capacity: 1.0 / c.crown_capacity_j_per_k,
            crown_holds: c.crown_capacity_j_per_k,
            crown_to_crankcase: c.crown_to_crankcase_w_per_k,
            head_capacity: 1.0 / c.head_capacity_j_per_k,
            head_holds: c.head_capacity_j_per_k,
            still: c.head_still_air_w_per_k,
            moving: c.head_moving_air_w_per_k / 10.0_f64.sqrt(),
            to_crankcase: c.head_to_crankcase_w_per_k,
            crankcase_capacity: 1.0 / c.crankcase_capacity_j_per_k,
            crankcase_holds: c.crankcase_capacity_j_per_k,
            crankcase_to_air: c.crankcase_to_air_w_per_k,
            bench_air: c.bench_air_speed_m_per_s,
            standing_share: s.laws.heat.standing_cooling_share,
        }
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

    /// Crown, head and crankcase after one revolution.
    #[inline(always)]
    pub fn next_solids<R: Registers>(&self, inputs: Warmth<Lanes<R>>) -> Solids<Lanes<R>> {
        let Warmth {
            head,
            crankcase,
            crown,
            into_crown,
            into_head,
            from_crown,
            from_head,
            from_crankcase,
            friction_work,
            road_speed,
            on_track,
            alive,
            duration,
        } = inputs;
        // Each is stepped implicitly in its own temperature, and what it then gives is what the next one gets.
        let passed = self.crown_to_crankcase * duration;
        let low_friction = friction_work * self.friction_share;
        // The fan is switched off with the engine, and nothing stirs the air any more.
        let wind = (self.bench_air + (road_speed - self.bench_air) * on_track) * alive;
        let stirred = duration * (self.standing_share + alive * (1.0 - self.standing_share));
        let to_air = (self.still + self.moving * wind.max(0.0).sqrt()) * stirred;
        let to_crankcase = self.to_crankcase * duration;
        let crankcase_to_air = self.crankcase_to_air * stirred;
        let [of_crown, of_head, of_crankcase] = Lanes::recips([
            passed * self.crown_capacity + 1.0,
            (to_air + to_crankcase) * self.head_capacity + 1.0,
            crankcase_to_air * self.crankcase_capacity + 1.0,
        ]);
        let next_crown = (crown + (into_crown - from_crown + passed * crankcase) * self.crown_capacity) * of_crown;
        let crown_gives = passed * (next_crown - crankcase);
        let into_head = into_head - from_head + friction_work - low_friction;
        let next_head =
            (head + (into_head + to_air * self.ambient + to_crankcase * crankcase) * self.head_capacity) * of_head;
        let head_gives = to_crankcase * (next_head - crankcase);
        let into_crankcase = low_friction + crown_gives + head_gives - from_crankcase;
        let next_crankcase =
            (crankcase + (into_crankcase + crankcase_to_air * self.ambient) * self.crankcase_capacity) * of_crankcase;
        let head = next_head.clamp(200.0, 900.0);
        let crankcase = next_crankcase.clamp(200.0, 700.0);
        let crown = next_crown.clamp(200.0, 1200.0);
        let kept_out = (next_head - head) * self.head_holds
            + (next_crankcase - crankcase) * self.crankcase_holds
            + (next_crown - crown) * self.crown_holds;
        Solids {
            head,
            crankcase,
            crown,
            cooling: to_air * (next_head - self.ambient)
                + crankcase_to_air * (next_crankcase - self.ambient)
                + kept_out,
        }
    }
}
