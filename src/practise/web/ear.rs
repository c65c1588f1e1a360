//! What of every revolution reaches somebody at the page: its sound, and its smoke.

use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::practise::session::Session;
use crate::sound::Sound;
use crate::units::mg_from_kilogram;

/// Ears and eyes.
#[derive(Clone, Debug)]
pub(super) struct Ear {
    sound: Sound,
    /// Nobody listens: it passes too quickly.
    deaf: bool,
    /// How loud the last sample was let through.
    loud: f64,
    /// Samples of time that has passed, whole and in parts.
    owed: f64,
    out: Vec<f32>,
    /// Time, opacity times time, oil.
    seen: [f64; 3],
    last: Plume,
}

/// Smoke as one sees it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Plume {
    /// Opacity of the plume, 0..1.
    pub opacity: f64,
    /// Oil mist that came, mg/s.
    pub puff: f64,
}

impl Ear {
    /// At the engine of a practice as it stands.
    pub fn of(session: &Session, rate_hz: u32) -> Self {
        Self {
            sound: Sound::new(rate_hz, &session.episode().hidden.setup, session.seed),
            deaf: false,
            loud: 1.0,
            owed: 0.0,
            out: Vec::new(),
            seen: [0.0; 3],
            last: Plume::default(),
        }
    }

    /// `ms` have passed for whoever listens, at so loud a level in the end.
    pub fn passed(&mut self, ms: f64, loud: f64) {
        self.owed += ms * 1e-3 * self.sound.rate_hz();
        let count = self.owed as usize;
        self.owed -= count as f64;
        let begin = self.out.len();
        self.out.resize(begin + count, 0.0);
        let taken = if self.deaf {
            0
        } else {
            self.sound.take(&mut self.out[begin..])
        };
        let step = (loud - self.loud) / count.max(1) as f64;
        for (at, sample) in self.out[begin..begin + taken].iter_mut().enumerate() {
            *sample *= (self.loud + step * (at + 1) as f64) as f32;
        }
        if count > 0 {
            self.loud = loud;
        }
    }

    /// Whether anybody listens from now on. Ears that close do so once the last sound has been faded out, and let go what waits.
    pub fn listen(&mut self, listens: bool) {
        let deaf = !listens && self.loud == 0.0;
        if deaf && !self.deaf {
            let mut waste = [0.0; 256];
            while self.sound.take(&mut waste) > 0 {}
        }
        self.deaf = deaf;
    }

    /// Takes what can be played.
    pub fn take(&mut self) -> Vec<f32> {
        std::mem::take(&mut self.out)
    }

    /// The smoke since it was last looked at.
    pub fn plume(&mut self) -> Plume {
        let [time, opacity, oil] = std::mem::take(&mut self.seen);
        if time > 0.0 {
            self.last = Plume {
                opacity: opacity / time,
                puff: oil / time,
            };
        }
        self.last
    }
}

impl Observer for &mut Ear {
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
        let duration = revolution.duration;
        self.seen[0] += duration;
        self.seen[1] += revolution.opacity * duration;
        self.seen[2] += mg_from_kilogram(revolution.oil_out);
        if !self.deaf {
            self.sound.hear(now.throttle, revolution, state);
        }
    }
}
