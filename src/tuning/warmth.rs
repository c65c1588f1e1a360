//! How warm an engine comes in from laps on today's track: the state in which a practice is signed off.
//!
//! On a cold morning no lap brings a crankcase to the temperature of a summer's day, so the sign-off asks for what can be heard in
//! today's weather, not in that of the reference.

use crate::bench::manoeuvre::table;
use crate::bench::player::Unseen;
use crate::bench::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;

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
    /// Running temperature, as the checks outside a practice have it: head 100 °C, crankcase 60 °C, plug lit.
    pub const RUNNING: Self = Self {
        head: 373.15,
        crankcase: 333.15,
        plug: 1000.0,
        pipe: 600.0,
    };

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
            return Self::RUNNING;
        }
        let state = driven.state;
        Self {
            head: state.head_temperature,
            crankcase: state.crankcase_temperature,
            plug: state.plug_temperature,
            pipe: state.pipe_temperature,
        }
    }

    /// An engine on the stand as warm as that, with a full tank.
    pub fn rig(&self, setup: &Setup, setting: Setting, seed: u64) -> Rig {
        let mut rig = Rig::warm(setup, setting, seed);
        rig.state.head_temperature = self.head;
        rig.state.crankcase_temperature = self.crankcase;
        rig.state.plug_temperature = self.plug;
        rig.state.pipe_temperature = self.pipe;
        rig
    }
}
