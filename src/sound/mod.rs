//! What the engine sounds like a metre away: one implementation for page, file and tests, made of nothing but what each simulated
//! revolution did.
//!
//! [`Sound::hear`] is shown a revolution and renders it: the cylinder blows down into the tuned pipe (`pipe`, `exhaust`), the carburettor
//! draws (`intake`), the burn and its knocking hit the block (`metal`). Pressures are in pascals at a metre; one gain and
//! a limiter make samples of them. Whoever listens takes samples at a pace of their own.

mod exhaust;
mod intake;
mod limiter;
mod metal;
mod pipe;
mod ring;
mod wav;

use crate::engine::Setup;
use crate::engine::state::{Revolution, State};
use crate::noise::{Channel, Noise};
use exhaust::Exhaust;
use intake::Intake;
use metal::Metal;
use ring::Ring;
pub use wav::{Wav, WavError};

/// Samples per second, unless another rate is asked for.
pub const RATE_HZ: u32 = 48_000;
/// Lowest and highest rate; others are taken as the nearer of them.
pub const RATES_HZ: std::ops::RangeInclusive<u32> = 8_000..=192_000;
/// Samples that wait to be taken: no more than this, s; older ones are let go.
pub const LONGEST_WAIT_S: f64 = 2.0;
/// Pressure that becomes a sample of 1, Pa.
const FULL_SCALE: f64 = 13.0;
/// Below this the ear hears nothing, and a small speaker gives nothing: a first-order high-pass, Hz.
const LOWEST_HZ: f64 = 30.0;

/// A revolution as the parts of the sound take it: every number finite and within its range, whatever was handed in.
#[derive(Clone, Copy, Debug, Default)]
struct Turn {
    /// Throttle above the idle stop, 0..1.
    throttle: f64,
    /// Its length in samples.
    samples: f64,
    /// Rev/s during it.
    speed: f64,
    /// Gas in the cylinder as the exhaust opens, kg and K.
    gas: f64,
    gas_temperature: f64,
    /// Fresh charge that the crankcase pushes in, kg.
    fresh: f64,
    /// Air drawn in, kg.
    air: f64,
    /// Heat released, J.
    heat: f64,
    /// How early the burn was, in half widths of the best phase.
    early: f64,
    /// Detonation index.
    detonation: f64,
    /// Gas in the pipe, K.
    pipe_temperature: f64,
}

/// The sound of one engine. It allocates in [`Sound::new`] alone.
#[derive(Clone, Debug)]
pub struct Sound {
    rate: f64,
    per_half_width: f64,
    exhaust: Exhaust,
    intake: Intake,
    metal: Metal,
    noise: Noise,
    /// Samples rendered since the start: the noise's address.
    count: u64,
    /// From the revolution's beginning to its first sample, in samples.
    ahead: f64,
    last: Turn,
    low: f64,
    low_weight: f64,
    ring: Ring,
}

/// `x` within its range; what is no number is the lower end.
fn within(x: f64, low: f64, high: f64) -> f64 {
    if x > low { x.min(high) } else { low }
}

/// Nothing instead of next to nothing: numbers too small for the processor's fast ways cost it a hundred times the time.
#[inline(always)]
fn settled(x: f64) -> f64 {
    if x.abs() < 1e-9 { 0.0 } else { x }
}

impl Sound {
    /// An engine that stands, in silence; `seed` is that of its hiss.
    pub fn new(rate_hz: u32, setup: &Setup, seed: u64) -> Self {
        let rate = f64::from(rate_hz.clamp(*RATES_HZ.start(), *RATES_HZ.end()));
        Self {
            rate,
            per_half_width: 1.0 / setup.laws.combustion.phase_half_width_deg,
            exhaust: Exhaust::new(rate, setup),
            intake: Intake::new(rate, setup),
            metal: Metal::new(rate, setup),
            noise: Noise::new(seed, 0, Channel::Sound),
            count: 0,
            ahead: 0.0,
            last: Turn {
                pipe_temperature: setup.air.temperature,
                gas_temperature: setup.air.temperature,
                ..Turn::default()
            },
            low: 0.0,
            low_weight: std::f64::consts::TAU * LOWEST_HZ / rate,
            ring: Ring::new((rate * LONGEST_WAIT_S) as usize),
        }
    }

    /// Samples per second.
    pub fn rate_hz(&self) -> f64 {
        self.rate
    }

    /// A revolution, with the throttle during it and the state after it: what an observer sees. An engine that stands is heard as
    /// such.
    pub fn hear(&mut self, throttle: f64, revolution: &Revolution, state: &State) {
        let duration = within(revolution.duration, 0.0, 1.0);
        // A standing engine draws no air.
        if revolution.air_in.is_nan() || revolution.air_in <= 0.0 || duration < 1e-4 {
            return self.still(duration);
        }
        let gas = state.left.air + state.left.fuel + state.left.burnt;
        let turn = Turn {
            throttle: within(throttle, 0.0, 1.0),
            samples: duration * self.rate,
            speed: 1.0 / duration,
            gas: within(gas, 0.0, 1e-4),
            gas_temperature: within(revolution.exhaust_temperature, 200.0, 4000.0),
            fresh: within(revolution.air_in + revolution.fuel_in, 0.0, 1e-4),
            air: within(revolution.air_in, 0.0, 1e-4),
            heat: within(revolution.heat, 0.0, 1e4),
            early: within(revolution.phase_error_deg * self.per_half_width, -10.0, 10.0),
            detonation: within(revolution.detonation, 0.0, 10.0),
            pipe_temperature: within(state.pipe_temperature, 200.0, 2000.0),
        };
        self.exhaust.turn(&turn);
        self.intake.turn(&turn);
        self.metal.turn(&turn);
        self.last = turn;
        let per_sample = 1.0 / turn.samples;
        while self.ahead < turn.samples {
            self.sample(self.ahead * per_sample);
            self.ahead += 1.0;
        }
        self.ahead -= turn.samples;
    }

    /// The engine stands: time passes, and what rings dies away. Never longer than samples can wait, [`LONGEST_WAIT_S`].
    pub fn still(&mut self, seconds: f64) {
        let samples = within(seconds, 0.0, LONGEST_WAIT_S) * self.rate;
        let quiet = Turn {
            samples: samples.max(1.0),
            pipe_temperature: self.last.pipe_temperature,
            gas_temperature: self.last.gas_temperature,
            ..Turn::default()
        };
        self.exhaust.turn(&quiet);
        self.intake.turn(&quiet);
        self.metal.turn(&quiet);
        while self.ahead < samples {
            // Held as the ports have just closed.
            self.sample(0.0);
            self.ahead += 1.0;
        }
        self.ahead -= samples;
    }

    /// Samples that wait to be taken.
    pub fn ready(&self) -> usize {
        self.ring.ready()
    }

    /// Takes the oldest samples, as many as are there and have room; how many that was.
    pub fn take(&mut self, out: &mut [f32]) -> usize {
        self.ring.take(out)
    }

    /// One sample, `phase` of the revolution (0..1) after the exhaust port has closed.
    #[inline(always)]
    fn sample(&mut self, phase: f64) {
        let (hiss, rattle) = self.noise.two_bells(self.count);
        self.count += 1;
        let pressure =
            self.exhaust.sample(phase, hiss) + self.intake.sample(phase, rattle) + self.metal.sample(phase, rattle);
        let level = pressure * (1.0 / FULL_SCALE);
        self.low = settled(self.low + (level - self.low) * self.low_weight);
        self.ring.push(limiter::limited(level - self.low) as f32);
    }
}
