//! One engine under its controls, for whoever wants just one: a revolution, a while at one throttle, or a manoeuvre as far as wanted.

use super::manoeuvre::{Manoeuvre, Segment};
use super::player::{Cursor, Now, Observer, Pace, Player, Stand};
use crate::engine::params::Setting;
use crate::engine::state::{Controls, Load, Revolution, State};
use crate::engine::{Engine, Setup};
use crate::noise::{Channel, Noise};
use crate::units::rpm_from_rev_per_second;

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

/// A warm engine on the stand, spinning at 15 000 rpm with the throttle shut.
pub fn warm(engine: &Engine, setting: Setting, seed: u64) -> Stand {
    Stand {
        state: engine.warm_state(250.0),
        controls: Controls::new(setting, Load::Stand),
        noise: Noise::new(seed, 0, Channel::Engine),
    }
}

/// A stone-cold engine on the stand, just started: spun to 6000 rpm with the plug lit and the throttle shut.
pub fn cold(engine: &Engine, setting: Setting, seed: u64) -> Stand {
    let mut stand = warm(engine, setting, seed);
    stand.state = engine.cold_state();
    stand.state.plug_temperature = 950.0;
    stand.state.speed = 100.0;
    stand
}

impl Rig {
    /// A warm engine on the stand, spinning at 15 000 rpm with the throttle shut.
    pub fn warm(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let engine = Engine::new(setup);
        Self::of(engine, warm(&engine, setting, seed))
    }

    /// A stone-cold engine on the stand, just started: spun to 6000 rpm with the plug lit and the throttle shut.
    pub fn cold(setup: &Setup, setting: Setting, seed: u64) -> Self {
        let engine = Engine::new(setup);
        Self::of(engine, cold(&engine, setting, seed))
    }

    /// An engine where it stands.
    pub fn of(engine: Engine, stand: Stand) -> Self {
        Self {
            engine,
            state: stand.state,
            controls: stand.controls,
            noise: stand.noise,
        }
    }

    /// Where it stands.
    pub fn stand(&self) -> Stand {
        Stand {
            state: self.state,
            controls: self.controls,
            noise: self.noise,
        }
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

    /// Follows `manoeuvre` from `cursor` up to the time `until` on the engine's clock, s, or to its end if that comes first; whoever
    /// watches is shown every revolution, and comes back.
    pub fn advance<O: Observer>(&mut self, manoeuvre: &Manoeuvre, cursor: &mut Cursor, until: f64, watch: O) -> O {
        let player = Player::at(&self.engine, manoeuvre, *cursor, until, watch);
        let mut runs = [self.stand().with(player)];
        self.engine.play(&mut runs);
        let [run] = runs;
        let (stand, player) = Stand::parted(run);
        (self.state, self.controls) = (stand.state, stand.controls);
        *cursor = player.cursor();
        player.watch
    }

    /// Plays a whole manoeuvre.
    pub fn play<O: Observer>(&mut self, manoeuvre: &Manoeuvre, watch: O) -> O {
        self.advance(manoeuvre, &mut Cursor::new(Pace::Own), f64::INFINITY, watch)
    }

    /// Runs for `seconds` at `throttle`, showing each revolution to `watch` with the time since the call.
    pub fn hold(&mut self, throttle: f64, seconds: f64, mut watch: impl FnMut(f64, &Revolution, &State)) {
        let held = Manoeuvre::from([Segment::hold(throttle, seconds)]);
        let watch = |now: &Now, r: &Revolution, s: &State| watch(now.seconds, r, s);
        let _ = self.play(&held, watch);
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
        rpm_from_rev_per_second(self.state.speed)
    }
}
