//! Ears that record: what a run sounds like, as the bytes of a WAV file.

use needlebench::bench::player::{Now, Observer};
use needlebench::engine::Setup;
use needlebench::engine::state::{Revolution, State};
use needlebench::sound::{RATE_HZ, Sound, Wav, WavError};

use super::bar::Bar;

/// Samples taken at a time: more than any revolution gives.
const BLOCK: usize = RATE_HZ as usize;

/// Ears with a recorder.
pub struct Recorder {
    sound: Sound,
    block: Vec<f32>,
    wav: Wav,
    bar: Bar,
    /// On the engine's clock, s.
    start: f64,
    longest: f64,
}

impl Recorder {
    /// Before a run that begins at `start` on the engine's clock and lasts no longer than `longest`, s.
    pub fn new(setup: &Setup, seed: u64, start: f64, longest: f64) -> Self {
        Self {
            sound: Sound::new(RATE_HZ, setup, seed),
            block: vec![0.0; BLOCK],
            wav: Wav::default(),
            bar: Bar::new("Sound"),
            start,
            longest,
        }
    }

    /// The file's bytes.
    pub fn bytes(&self) -> Result<Vec<u8>, WavError> {
        self.wav.bytes(RATE_HZ)
    }
}

impl Observer for Recorder {
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
        self.sound.hear(now.throttle, revolution, state);
        let count = self.sound.take(&mut self.block);
        self.wav.add(&self.block[..count]);
        self.bar.show((state.time - self.start) / self.longest);
    }
}
