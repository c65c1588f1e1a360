//! One engine under its controls: the smallest thing that runs, revolution by revolution or for a while.

use crate::engine::params::Setting;
use crate::engine::state::{Controls, Load, Revolution, State};
use crate::engine::{Engine, Setup};
use crate::noise::{Channel, Noise};

/// An engine, its state, and the hands on it.
#[derive(Clone, Copy, Debug)]
pub struct Rig {
    /// The engine, constant.
    pub engine: Engine,
    /// Its state.
    pub state: State,
    /// What the hands do.
    pub controls: Controls,
    noise: Noise,
}

impl Rig {
    /// A warm engine on the stand, spinning at 15 000 rpm with the throttle shut.
    pub fn warm(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let engine = Engine::new(setup);
        Self {
            engine,
            state: engine.warm_state(250.0),
            controls: Controls::new(setting, Load::Stand),
            noise: Noise::new(seed, 0, Channel::Engine),
        }
    }

    /// A stone-cold engine on the stand, just started: spun to 6000 rpm with the plug lit and the throttle shut.
    pub fn cold(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let mut rig = Self::warm(setup, setting, seed);
        rig.state = rig.engine.cold_state();
        rig.state.plug_temperature = 950.0;
        rig.state.speed = 100.0;
        rig
    }

    /// The same engine at another setting.
    pub fn with_setting(mut self, setting: Setting) -> Self {
        self.controls.set(setting);
        self
    }

    /// The same engine under another load; wheels stand still on the brake.
    pub fn with_load(mut self, load: Load) -> Self {
        self.controls.drive(load);
        self
    }

    /// One revolution.
    #[inline]
    pub fn turn(&mut self) -> Revolution {
        self.engine.step(&mut self.state, &self.controls, self.noise)
    }

    /// Runs for `seconds` at `throttle`, showing each revolution to `watch` with the time since the call.
    pub fn hold(&mut self, throttle: f64, seconds: f64, mut watch: impl FnMut(f64, &Revolution, &State)) {
        self.controls.throttle = throttle;
        let start = self.state.time;
        loop {
            let revolution = self.turn();
            let elapsed = self.state.time - start;
            watch(elapsed, &revolution, &self.state);
            if elapsed >= seconds {
                return;
            }
        }
    }

    /// Runs for `seconds` at `throttle`, unwatched.
    pub fn pass(&mut self, throttle: f64, seconds: f64) {
        self.hold(throttle, seconds, |_, _, _| {});
    }

    /// Whether the engine has stopped.
    pub fn stalled(&self) -> bool {
        self.state.speed <= 0.0
    }

    /// Speed, rpm.
    pub fn rpm(&self) -> f64 {
        self.state.speed * 60.0
    }
}
