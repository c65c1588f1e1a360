//! The noise by address against what chance would do: uniform by Pearson's test, neighbours independent by the serial test (Knuth, The
//! Art of Computer Programming 2, 3.3.2), each address counted along a revolution, an episode, a seed and a channel.

use needlebench::noise::{Channel, Noise};
use statrs::distribution::{ChiSquared, ContinuousCDF};

const DRAWS: u64 = 65_536;

/// A way to walk through addresses.
type Walk = (&'static str, fn(u64) -> f64);

const WALKS: [Walk; 4] = [
    ("revolutions", |i| Noise::new(1, 2, Channel::Engine).uniform(i)),
    ("episodes", |i| Noise::new(1, i, Channel::Engine).uniform(3)),
    ("seeds", |i| Noise::new(i, 2, Channel::Engine).uniform(3)),
    ("channels", |i| {
        let all = [Channel::Engine, Channel::Hidden, Channel::Gun, Channel::Pinch];
        Noise::new(1, 2, all[(i % 4) as usize]).uniform(i / 4)
    }),
];

/// Whether counts that should be equal lie within what chance does in all but one of a million such tests.
fn even(counts: &[u64], what: &str) {
    let all: u64 = counts.iter().sum();
    let expected = all as f64 / counts.len() as f64;
    let chi2: f64 = counts.iter().map(|n| (*n as f64 - expected).powi(2) / expected).sum();
    let law = ChiSquared::new(counts.len() as f64 - 1.0).unwrap();
    let (least, most) = (law.inverse_cdf(5e-7), law.inverse_cdf(1.0 - 5e-7));
    assert!(
        (least..most).contains(&chi2),
        "{what}: {chi2} is not in {least}..{most}"
    );
}

#[test]
fn the_noise_is_uniform_along_every_address() {
    for (what, draw) in WALKS {
        let mut counts = [0; 256];
        for i in 0..DRAWS {
            counts[(256.0 * draw(i)) as usize] += 1;
        }
        even(&counts, what);
    }
}

#[test]
fn neighbouring_addresses_are_independent() {
    for (what, draw) in WALKS {
        for apart in [1, 2, 7] {
            let mut counts = [0; 256];
            for i in 0..DRAWS {
                let pair = [draw(8 * i), draw(8 * i + apart)].map(|x| (16.0 * x) as usize);
                counts[16 * pair[0] + pair[1]] += 1;
            }
            even(&counts, what);
        }
    }
}

#[test]
fn the_test_itself_sees_what_is_not_even() {
    let mut counts = [256; 256];
    counts[0] = 400;
    assert!(std::panic::catch_unwind(|| even(&counts, "skewed")).is_err());
    // Too even is no chance either.
    assert!(std::panic::catch_unwind(|| even(&[256; 256], "regular")).is_err());
}
