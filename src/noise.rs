//! Noise addressed by number, never streamed: the same (seed, episode, revolution, channel) gives the same value wherever and
//! in whatever order it is asked for. So every tuner meets the same engine on the same day, in any lane and on any thread.
//!
//! The mixer is the finaliser of SplitMix64 (Steele, Lea and Flood 2014) over a Weyl sequence; it passes for noise on an engine,
//! not for cryptography.

const WEYL: u64 = 0x9e37_79b9_7f4a_7c15;

/// What a value is for: values of different channels are independent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u64)]
pub enum Channel {
    /// The engine's variation from revolution to revolution.
    Engine = 1,
    /// What is hidden at the start of an episode.
    Hidden = 2,
    /// A human reading the temperature gun.
    Gun = 3,
    /// A random choice made by a strategy or a search.
    Choice = 4,
    /// Bubbles in the fuel line.
    Foam = 5,
    /// An ear comparing the pitch before and after the line is pinched.
    Pinch = 6,
    /// An ear telling the pitch of an idle.
    Pitch = 7,
    /// A thumb on a stopwatch.
    Stopwatch = 8,
    /// The hiss of air and the rattle of parts in the engine's sound.
    Sound = 9,
}

/// Noise of one channel of one episode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Noise(u64);

#[inline(always)]
fn mix(mut x: u64) -> u64 {
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

impl Noise {
    /// The noise of `channel` in `episode` under `seed`.
    pub fn new(seed: u64, episode: u64, channel: Channel) -> Self {
        Self(mix(
            mix(mix(seed.wrapping_add(WEYL)).wrapping_add(episode)).wrapping_add((channel as u64).wrapping_mul(WEYL))
        ))
    }

    /// 64 random bits at `index`.
    #[inline(always)]
    pub fn bits(self, index: u64) -> u64 {
        mix(self.0.wrapping_add(index.wrapping_mul(WEYL)))
    }

    /// Uniform in 0..1 (never 1) at `index`.
    #[inline(always)]
    pub fn uniform(self, index: u64) -> f64 {
        (self.bits(index) >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Uniform in `low..high` at `index`.
    pub fn between(self, index: u64, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform(index)
    }

    /// Two independent bell-shaped values at `index`.
    #[inline(always)]
    pub fn two_bells(self, index: u64) -> (f64, f64) {
        (bell(self.bits(index << 1)), bell(self.bits((index << 1) | 1)))
    }

    /// Noise of another channel of the same seed and episode, for what follows from a channel's own course.
    pub fn branch(self, channel: Channel) -> Self {
        Self(mix(self.0.wrapping_add((channel as u64).wrapping_mul(WEYL))))
    }

    /// Bell-shaped with mean 0 and standard deviation 1, within ±3.47, at `index`.
    pub fn bell(self, index: u64) -> f64 {
        bell(self.bits(index))
    }
}

/// Sum of the four 16-bit quarters (Irwin-Hall, n = 4), scaled to unit deviation: close to normal to beyond two deviations and
/// without the far tails that no engine shows.
#[inline(always)]
fn bell(bits: u64) -> f64 {
    let sum = (bits & 0xffff) + ((bits >> 16) & 0xffff) + ((bits >> 32) & 0xffff) + (bits >> 48);
    // The sum is an integer below 2^18: exact in a double by the exponent trick, which vectorises everywhere.
    let sum = f64::from_bits(sum | 4_503_599_627_370_496.0_f64.to_bits()) - 4_503_599_627_370_496.0;
    // Each quarter is uniform on 0..65535: mean 32767.5, variance (65536² - 1)/12.
    (sum - 4.0 * 32_767.5) * (1.0 / 37_837.226_9)
}

/// A whole number that a float holds, nearest for others; 0..2^52.
#[inline(always)]
pub fn whole(x: f64) -> u64 {
    // Adding 2^52 leaves the nearest integer in the low bits, without the conversion that only some processors do in lanes.
    const INTEGER: f64 = 4_503_599_627_370_496.0;
    (x + INTEGER).to_bits() - INTEGER.to_bits()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bell_has_zero_mean_unit_deviation_and_bounded_tails() {
        let noise = Noise::new(7, 3, Channel::Engine);
        let n = 200_000;
        let (mut sum, mut squares, mut largest) = (0.0, 0.0, 0.0_f64);
        for i in 0..n {
            let x = noise.bell(i);
            sum += x;
            squares += x * x;
            largest = largest.max(x.abs());
        }
        let (mean, variance) = (sum / n as f64, squares / n as f64);
        assert!(
            mean.abs() < 0.01 && (variance - 1.0).abs() < 0.01 && largest < 3.48,
            "{mean} {variance} {largest}"
        );
    }

    #[test]
    fn neighbouring_addresses_are_uncorrelated() {
        let values = |noise: Noise| (0..50_000).map(move |i| noise.bell(i));
        let correlate = |a: Noise, b: Noise, lag: usize| {
            values(a).zip(values(b).skip(lag)).map(|(x, y)| x * y).sum::<f64>() / (50_000 - lag) as f64
        };
        let base = Noise::new(1, 0, Channel::Engine);
        for other in [
            Noise::new(1, 1, Channel::Engine),
            Noise::new(2, 0, Channel::Engine),
            Noise::new(1, 0, Channel::Gun),
        ] {
            assert!(correlate(base, other, 0).abs() < 0.02);
        }
        for lag in 1..5 {
            assert!(correlate(base, base, lag).abs() < 0.02, "lag {lag}");
        }
    }
}
