//! How warm an engine comes in from laps on today's track: the state in which a practice is signed off.
//!
//! On a cold morning no lap brings a crankcase to the temperature of a summer's day, so the sign-off asks for what can be heard in
//! today's weather, not in that of the reference.

use crate::bench::manoeuvre::table;
use crate::bench::player::{Stand, Unseen};
use crate::bench::rig::{self, Rig};
use crate::engine::params::Setting;
use crate::engine::state::State;
use crate::engine::{Engine, Setup};

/// Laps after which head and crankcase have settled: some eighty seconds.
const LAPS: usize = 4;

/// Temperatures of an engine that has come in from laps, K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warmth {
    head: f64,
    crankcase: f64,
    plug: f64,
    pipe: f64,
}

impl Warmth {
    /// Running temperature, as the checks outside a practice have it.
    pub fn running(engine: &Engine) -> Self {
        Self::of(&engine.warm_state(0.0))
    }

    /// As warm as this.
    fn of(state: &State) -> Self {
        Self {
            head: state.head_temperature,
            crankcase: state.crankcase_temperature,
            plug: state.plug_temperature,
            pipe: state.pipe_temperature,
        }
    }

    /// An engine that has hardly run.
    #[cfg(test)]
    pub(super) const COLD: Self = Self {
        head: 310.0,
        crankcase: 295.0,
        plug: 1000.0,
        pipe: 400.0,
    };

    /// Drives the laps. An engine that dies on them is as warm as the reference engine.
    pub fn after_laps(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let mut driven = Rig::warm(setup, setting, seed);
        driven.play(&table::laps(LAPS), Unseen);
        if driven.stalled() {
            return Self::running(&driven.engine);
        }
        Self::of(&driven.state)
    }

    /// An engine on the stand as warm as that, with a full tank.
    pub fn stand(&self, engine: &Engine, setting: Setting, seed: u64) -> Stand {
        let mut stand = rig::warm(engine, setting, seed);
        stand.state.head_temperature = self.head;
        stand.state.crankcase_temperature = self.crankcase;
        stand.state.plug_temperature = self.plug;
        stand.state.pipe_temperature = self.pipe;
        stand
    }
}
