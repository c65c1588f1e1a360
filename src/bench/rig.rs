//! One engine under its controls: the smallest thing that runs, revolution by revolution or for a while.

use crate::engine::params::Setting;
use crate::engine::state::{Controls, Load, Revolution, State};
use crate::engine::{Engine, Setup, at_rest};
use crate::lanes::Lanes;
use crate::noise::{Channel, Noise};

/// An engine, its state, and the hands on it.
#[derive(Clone, Copy, Debug)]
pub struct Rig {
    /// The engine, constant.
    pub engine: Engine<1>,
    /// Its state.
    pub state: State<1>,
    /// What the hands do.
    pub controls: Controls<1>,
    noise: Noise,
}

impl Rig {
    /// A warm engine on the stand, spinning at 15 000 rpm with the throttle shut.
    pub fn warm(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let engine = Engine::new(&[*setup]);
        Self {
            engine,
            state: engine.warm_state(250.0),
            controls: at_rest(setting, Load::Stand),
            noise: Noise::new(seed, 0, Channel::Engine),
        }
    }

    /// A stone-cold engine on the stand, just started: spun to 6000 rpm with the plug lit and the throttle shut.
    pub fn cold(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let mut rig = Self::warm(setup, setting, seed);
        rig.state = rig.engine.cold_state();
        rig.state.plug_temperature = Lanes([950.0]);
        rig.state.speed = Lanes([100.0]);
        rig
    }

    /// The same engine at another setting.
    pub fn with_setting(mut self, setting: Setting) -> Self {
        self.controls.high_turns = Lanes([setting.high_turns]);
        self.controls.low_turns = Lanes([setting.low_turns]);
        self.controls.idle_turns = Lanes([setting.idle_turns]);
        self
    }

    /// The same engine under another load; wheels stand still on the brake.
    pub fn with_load(mut self, load: Load) -> Self {
        self.controls.brake_speed = Lanes([if let Load::Brake(speed) = load { speed } else { 0.0 }]);
        self.controls.on_track = Lanes([f64::from(u8::from(load == Load::Track))]);
        self
    }

    /// One revolution.
    #[inline]
    pub fn turn(&mut self) -> Revolution<1> {
        self.engine.step(&mut self.state, &self.controls, &[self.noise])
    }

    /// Runs for `seconds` at `throttle`, showing each revolution to `watch` with the time since the call.
    pub fn hold(&mut self, throttle: f64, seconds: f64, mut watch: impl FnMut(f64, &Revolution<1>, &State<1>)) {
        self.controls.throttle = Lanes([throttle]);
        let start = self.state.time.0[0];
        loop {
            let revolution = self.turn();
            let elapsed = self.state.time.0[0] - start;
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
        self.state.speed.0[0] <= 0.0
    }

    /// Speed, rpm.
    pub fn rpm(&self) -> f64 {
        self.state.speed.0[0] * 60.0
    }
}
