//! Visible smoke is oil mist, nothing else: methanol vapour does not scatter light.
//!
//! Oil that did not burn goes into the pipe, part of it onto the walls while the gas is slow; wide open the walls are swept clean
//! again. A standing engine's pipe airs itself. Opacity follows Beer and Lambert over a stated path through the plume, thinned as it
//! spreads.

use super::links::{Link, Sources};
use crate::lanes::{Lanes, Registers};
use crate::units::cubic_metre_from_ml;

#[derive(Clone, Copy, Debug)]
pub(super) struct Smoke {
    burnt: f64,
    carry: f64,
    clear: f64,
    /// m³/s.
    draught: f64,
    pipe_volume: f64,
    ambient_density: f64,
    /// Extinction times path over dilution, m³/kg.
    extinction: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Plume<T> {
    pub mist: T,
    pub wall: T,
    pub oil_burnt: T,
    pub oil_out: T,
    pub opacity: T,
}

/// Oil and gas on their way out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Oil<T> {
    /// Oil mist in the pipe, kg.
    pub mist: T,
    /// Oil on the pipe's walls, kg.
    pub wall: T,
    /// Oil that reaches the cylinder, kg.
    pub oil: T,
    /// Share of the fresh charge that is trapped.
    pub trapped: T,
    /// Share of the charge that burnt.
    pub burnt_share: T,
    /// Gas that leaves, kg.
    pub exhaust_mass: T,
    /// Engine speed, rev/s.
    pub speed: T,
    /// 0 for a standing engine.
    pub alive: T,
    /// Duration, s.
    pub duration: T,
}

impl Smoke {
    pub fn new(s: &Sources) -> Self {
        Self {
            burnt: s.laws.smoke.oil_burnt_share,
            carry: cubic_metre_from_ml(s.laws.smoke.carry_flow_cm3_per_s),
            clear: 1.0 / (s.laws.smoke.wall_clear_s * 1e-3),
            draught: cubic_metre_from_ml(s.engine.geometry.pipe_volume_cm3) / s.laws.smoke.draught_s,
            pipe_volume: 1.0 / (cubic_metre_from_ml(s.engine.geometry.pipe_volume_cm3)),
            ambient_density: 1.0 / s.air(Link::AirDensityToPlume).density,
            extinction: {
                s.laws.smoke.extinction_m2_per_g * 1e3 * s.laws.smoke.path_cm * 1e-2 / s.laws.smoke.dilution
            },
        }
    }

    /// One revolution of the plume.
    #[inline(always)]
    pub fn plume<R: Registers>(&self, inputs: Oil<Lanes<R>>) -> Plume<Lanes<R>> {
        let Oil {
            mist,
            wall,
            oil,
            trapped,
            burnt_share,
            exhaust_mass,
            speed,
            alive,
            duration,
        } = inputs;
        let oil_burnt = oil * trapped * burnt_share * self.burnt;
        let visible = oil - oil_burnt;
        let exhaust = exhaust_mass * self.ambient_density;
        // A standing engine's pipe airs itself, too gently to tear oil from its walls.
        let volume = exhaust + (1.0 - alive) * duration * self.draught;
        let flow = exhaust * speed;
        let [per_flow, per_volume, of_wall, of_mist] = Lanes::recips([
            (flow + self.carry).max(1e-12),
            volume.max(1e-12),
            exhaust * self.clear + 1.0,
            volume * self.pipe_volume + 1.0,
        ]);
        let carried = visible * flow * per_flow;
        let on_wall = wall + visible - carried;
        let next_wall = on_wall * of_wall;
        let in_gas = mist + carried + on_wall - next_wall;
        let next_mist = in_gas * of_mist;
        let oil_out = in_gas - next_mist;
        let opacity = 1.0 - (-(self.extinction * oil_out * per_volume)).exp();
        Plume {
            mist: next_mist,
            wall: next_wall,
            oil_burnt,
            oil_out,
            opacity,
        }
    }
}
