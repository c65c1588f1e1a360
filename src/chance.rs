//! Chance for distributions that take as many random numbers as they like: one generator for each (seed, episode, channel,
//! variable), over the addressed noise. So a value drawn does not depend on what else is drawn, how often, or in which order.
//!
//! The generator is what rand and rand_distr ask for. Uniform draws have the same bits on every system; a normal one beyond 3.6
//! deviations takes the system's logarithm.

use std::convert::Infallible;

use rand::TryRng;
use rand::rand_core::utils::fill_bytes_via_next_word;
use rand_distr::{Distribution, StandardNormal, Uniform};

use crate::noise::{Channel, Noise};

/// The chance of one episode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chance {
    seed: u64,
    episode: u64,
}

impl Chance {
    /// The chance of `episode` under `seed`.
    pub fn new(seed: u64, episode: u64) -> Self {
        Self { seed, episode }
    }

    /// The generator of one variable.
    pub fn of(self, channel: Channel, variable: u64) -> Generator {
        let address = Noise::new(self.seed, self.episode, channel).bits(variable);
        Generator {
            noise: Noise::new(address, 0, channel),
            next: 0,
        }
    }

    /// Uniform in `low..=high`; `low` where that is no range.
    pub fn uniform(self, channel: Channel, variable: u64, low: f64, high: f64) -> f64 {
        Uniform::new_inclusive(low, high).map_or(low, |within| within.sample(&mut self.of(channel, variable)))
    }

    /// Normal, with mean 0 and this deviation.
    pub fn normal(self, channel: Channel, variable: u64, deviation: f64) -> f64 {
        let standard: f64 = StandardNormal.sample(&mut self.of(channel, variable));
        deviation * standard
    }
}

/// Random numbers for one variable, one after the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Generator {
    noise: Noise,
    next: u64,
}

impl TryRng for Generator {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        self.try_next_u64().map(|word| (word >> 32) as u32)
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        let word = self.noise.bits(self.next);
        self.next = self.next.wrapping_add(1);
        Ok(word)
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        fill_bytes_via_next_word(bytes, || self.try_next_u64())
    }
}

#[cfg(test)]
mod tests {
    use rand::Rng;

    use super::*;

    /// Mean, deviation and correlation of neighbours of 20 000 values.
    fn moments(value: impl Fn(u64) -> f64) -> (f64, f64, f64) {
        let values: Vec<f64> = (0..20_000).map(value).collect();
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let variance = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n;
        let beside = values.windows(2).map(|w| (w[0] - mean) * (w[1] - mean)).sum::<f64>() / n;
        (mean, variance.sqrt(), beside / variance)
    }

    #[test]
    fn variables_seeds_and_episodes_draw_independently_of_one_another() {
        // Uniform in ±1 has deviation 1/√3 (and a normal one of deviation 2 has 2).
        type Draw = fn(u64) -> f64;
        let draws: [(&str, f64, Draw); 4] = [
            ("variables", 1.0 / 3.0_f64.sqrt(), |i| {
                Chance::new(1, 2).uniform(Channel::Hidden, i, -1.0, 1.0)
            }),
            ("seeds", 1.0 / 3.0_f64.sqrt(), |i| {
                Chance::new(i, 0).uniform(Channel::Hidden, 3, -1.0, 1.0)
            }),
            ("episodes", 2.0, |i| Chance::new(1, i).normal(Channel::Gun, 3, 2.0)),
            ("readings", 2.0, |i| Chance::new(9, 0).normal(Channel::Pitch, i, 2.0)),
        ];
        for (name, expected, draw) in draws {
            let (mean, deviation, beside) = moments(draw);
            assert!(mean.abs() < 0.03 * expected, "{name}: mean {mean}");
            assert!(
                (deviation / expected - 1.0).abs() < 0.03,
                "{name}: deviation {deviation}"
            );
            assert!(beside.abs() < 0.03, "{name}: neighbours correlate by {beside}");
        }
        // The same address in two channels: their product has no mean.
        let (mean, ..) = moments(|i| {
            Chance::new(1, 0).normal(Channel::Gun, i, 1.0) * Chance::new(1, 0).normal(Channel::Pinch, i, 1.0)
        });
        assert!(mean.abs() < 0.03, "channels correlate by {mean}");
    }

    #[test]
    fn an_address_gives_the_same_numbers_however_many_are_taken_elsewhere() {
        let chance = Chance::new(7, 3);
        let alone = chance.uniform(Channel::Hidden, 5, 0.0, 1.0);
        let mut other = chance.of(Channel::Hidden, 4);
        for _ in 0..1000 {
            other.next_u64();
        }
        assert_eq!(chance.uniform(Channel::Hidden, 5, 0.0, 1.0), alone);
        let mut words = chance.of(Channel::Hidden, 5);
        let mut bytes = [0; 20];
        chance.of(Channel::Hidden, 5).fill_bytes(&mut bytes);
        assert_eq!(bytes[..8], words.next_u64().to_le_bytes());
        assert_eq!(bytes[8..16], words.next_u64().to_le_bytes());
    }

    #[test]
    fn what_is_no_range_draws_its_lower_end() {
        let chance = Chance::new(1, 0);
        for (low, high) in [(0.5, 0.5), (0.5, 0.1), (0.5, f64::NAN), (0.5, f64::INFINITY)] {
            assert_eq!(chance.uniform(Channel::Hidden, 0, low, high), 0.5);
        }
    }
}
