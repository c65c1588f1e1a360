//! What is played: the sound of an engine that follows a manoeuvre at a setting, from the moment that is listened to.

use crate::bench::manoeuvre::{Manoeuvre, Mark};
use crate::bench::player::{Now, Observer, Play, play};
use crate::bench::rig;
use crate::engine::params::Setting;
use crate::engine::state::{Revolution, State};
use crate::engine::{Engine, Setup};
use crate::sound::Sound;

/// A clip begins and ends softly, s.
const FADE_S: f64 = 0.02;
/// Before what is listened to so much is rendered as well, s: what rings in the pipe from before belongs to it, and is gone in a tenth of that.
const RINGS_S: f64 = 0.5;

/// Samples of -1 to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    /// Samples per second.
    pub rate_hz: u32,
    /// The samples.
    pub samples: Vec<f32>,
    /// Whether the engine still ran at its end.
    pub ran: bool,
}

/// Listens to what is marked.
struct Ear {
    sound: Sound,
    samples: Vec<f32>,
    /// When it begins to listen, s on the engine's clock.
    from: f64,
    ran: bool,
}

impl Ear {
    fn drain(&mut self, keep: bool) {
        let mut block = [0.0_f32; 512];
        loop {
            let taken = self.sound.take(&mut block);
            if taken == 0 {
                return;
            }
            if keep {
                self.samples.extend_from_slice(&block[..taken]);
            }
        }
    }
}

impl Observer for Ear {
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
        if state.time >= self.from {
            self.sound.hear(now.throttle, revolution, state);
            self.drain(now.mark != Mark::Prepare);
        }
        self.ran = revolution.speed > 0.0;
    }
}

/// The marked part of a manoeuvre by a warm engine, as long as it is to be to the sample: whole revolutions are cut, so that no length
/// tells one setting from another.
pub fn clip(setup: &Setup, setting: Setting, manoeuvre: Manoeuvre, seed: u64, rate_hz: u32) -> Clip {
    let engine = Engine::new(setup);
    let from = rig::warm(&engine, setting, seed);
    let seconds = |marked: bool| -> f64 {
        let part = manoeuvre
            .segments()
            .iter()
            .filter(|s| (s.mark != Mark::Prepare) == marked);
        part.map(|s| s.longest_s).sum()
    };
    let (before_s, marked_s) = (seconds(false), seconds(true));
    let sound = Sound::new(rate_hz, setup, seed);
    let rate = sound.rate_hz();
    let watch = Ear {
        sound,
        samples: Vec::with_capacity((rate * (marked_s + 0.1)) as usize),
        from: from.state.time + before_s - RINGS_S,
        ran: true,
    };
    let mut played = play(&engine, [Play { from, manoeuvre, watch }]);
    let ear = played.swap_remove(0).watch;
    let mut samples = ear.samples;
    samples.resize((rate * marked_s) as usize, 0.0);
    fade(&mut samples, (FADE_S * rate) as usize);
    Clip {
        rate_hz,
        samples,
        ran: ear.ran,
    }
}

/// Raises the beginning and lowers the end, each along half a cosine.
fn fade(samples: &mut [f32], length: usize) {
    let length = length.min(samples.len() / 2).max(1);
    let last = samples.len().saturating_sub(1);
    for k in 0..length.min(samples.len()) {
        let gain = (0.5 - 0.5 * (std::f64::consts::PI * k as f64 / length as f64).cos()) as f32;
        samples[k] *= gain;
        samples[last - k] *= gain;
    }
}
