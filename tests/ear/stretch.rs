//! Stretches of sound of a rich, a clean, a lean and a detonating engine whose speeds are the same: on the brake because it holds
//! the speed, elsewhere because each stretch is taken where its mean speed comes nearest to one mark for all.

use needlebench::bench::manoeuvre::table::{self, Waits};
use needlebench::bench::manoeuvre::{Manoeuvre, Segment};
use needlebench::bench::player::{Now, Unseen};
use needlebench::bench::rig::Rig;
use needlebench::config::EngineModel;
use needlebench::engine::params::Setting;
use needlebench::engine::state::{Load, Revolution, State};
use needlebench::engine::{Engine, Setup};
use needlebench::sound::{RATE_HZ, Sound};

/// Turns off the reference on high and low needle.
pub const RICH: (f64, f64) = (0.5, 0.25);
pub const CLEAN: (f64, f64) = (0.0, 0.0);
pub const LEAN: (f64, f64) = (-0.25, -0.125);
pub const DETONATING: (f64, f64) = (-0.5, 0.0);

/// Where the ear listens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// Coming down from a burst, near the idle.
    AfterBurst,
    /// Picking up in a snap.
    Snap,
    /// Half throttle, held by the brake.
    Half,
    /// Full throttle, held by the brake.
    Full,
    /// The settled idle.
    Idle,
}

/// A stretch of sound.
pub struct Stretch {
    pub samples: Vec<f64>,
    /// Its mean speed as simulated, rev/s: how well speeds are matched; no ear is told.
    pub speed: f64,
    /// Mean detonation index.
    pub detonation: f64,
}

/// An engine at the ear.
pub struct Bench {
    setup: Setup,
    engine: Engine,
    reference: Setting,
    rated: f64,
    waits: Waits,
    /// Speed of its clean idle, rev/s.
    pub idle: f64,
}

impl Bench {
    pub fn new(model: &EngineModel, setup: &Setup) -> Self {
        let waits = Waits::rated(model.rated_rpm);
        let mut rig = Rig::warm(setup, model.reference, 1);
        rig.play(&table::settle(&waits), Unseen);
        Self {
            setup: *setup,
            engine: Engine::new(setup),
            reference: model.reference,
            rated: model.rated_rpm / 60.0,
            waits,
            idle: rig.state.speed,
        }
    }

    /// The mark of a place, rev/s, and the length of a stretch there, s.
    pub fn mark(&self, place: Where) -> (f64, f64) {
        match place {
            Where::AfterBurst => (self.idle * 1.3, 0.4),
            Where::Snap => (self.rated * 0.7, 0.2),
            Where::Half => (self.rated * 0.75, 0.5),
            Where::Full => (self.rated, 0.5),
            Where::Idle => (self.idle, 1.0),
        }
    }

    fn played(&self, place: Where) -> Manoeuvre {
        let (mark, length) = self.mark(place);
        let braked = |throttle, seconds| Segment::hold(throttle, seconds).load(Load::Brake(mark));
        match place {
            Where::AfterBurst => table::burst(&self.waits),
            Where::Snap => table::snap(&self.waits),
            Where::Half => Manoeuvre::from([braked(0.5, 8.0), braked(0.5, length)]),
            Where::Full => Manoeuvre::from([braked(1.0, 15.0), braked(1.0, length)]),
            Where::Idle => Manoeuvre::from([Segment::hold(0.0, length)]),
        }
    }

    /// From when on there is something to listen to, s.
    fn from(&self, place: Where) -> f64 {
        match place {
            Where::AfterBurst => self.waits.burst_s,
            Where::Snap => 5.0 + self.waits.snap_wait_s,
            Where::Half => 8.0,
            Where::Full => 15.0,
            Where::Idle => 0.0,
        }
    }

    /// The stretch of one seed at these turns off the reference.
    pub fn stretch(&self, place: Where, (high, low): (f64, f64), seed: u64) -> Stretch {
        let setting = Setting {
            high_turns: self.reference.high_turns + high,
            low_turns: self.reference.low_turns + low,
            ..self.reference
        };
        let stand = needlebench::bench::rig::warm(&self.engine, setting, seed);
        let mut rig = Rig::of(self.engine, stand);
        rig.play(&table::settle(&self.waits), Unseen);
        let start = rig.state.time;
        let (mark, length) = self.mark(place);
        // The turns since the start, which tell the mean speed of any stretch: once without sound, to find it.
        let mut turns: Vec<(f64, f64)> = Vec::new();
        let mut silent = rig;
        let _ = silent.play(&self.played(place), |_: &Now, r: &Revolution, s: &State| {
            turns.push((s.time - start - r.duration, r.duration));
        });
        let from = turns.iter().position(|(t, _)| *t >= self.from(place)).unwrap();
        let mean = |k: usize| {
            let end = turns[k].0 + length;
            let inside = turns[k..].iter().take_while(|(t, _)| *t < end);
            let (count, seconds) = inside.fold((0.0, 0.0), |(n, s), (_, d)| (n + 1.0, s + d));
            count / f64::max(seconds, length)
        };
        let last = turns.last().unwrap().0 - length;
        let begins = (from..turns.len()).take_while(|k| *k == from || turns[*k].0 <= last + 1e-3);
        let off = |k: &usize| (mean(*k) - mark).abs();
        let begin = begins.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
        let (begin, speed) = (turns[begin].0, mean(begin));
        // The pipe rings in for a moment before.
        let mut sound = Sound::new(RATE_HZ, &self.setup, seed);
        let mut buffer = vec![0.0; RATE_HZ as usize];
        let (mut samples, mut knocks) = (Vec::new(), Vec::new());
        let _ = rig.play(&self.played(place), |now: &Now, r: &Revolution, s: &State| {
            let at = s.time - start - r.duration;
            if at < begin - 0.1 || at > begin + length {
                return;
            }
            sound.hear(now.throttle, r, s);
            let count = sound.take(&mut buffer);
            if at >= begin {
                samples.extend(buffer[..count].iter().map(|x| f64::from(*x)));
                knocks.push(r.detonation);
            }
        });
        samples.truncate((length * f64::from(RATE_HZ)) as usize);
        Stretch {
            samples,
            speed,
            detonation: knocks.iter().sum::<f64>() / knocks.len() as f64,
        }
    }
}
