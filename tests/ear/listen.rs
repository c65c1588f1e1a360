//! What an ear makes of a stretch of sound, from its samples alone: how loud each band is, how pulse follows pulse, how sharp it is.
//! The stretch is brought to unit loudness first, so loudness itself says nothing.

use std::f64::consts::{PI, TAU};

/// Centres of the bands, Hz: some two an octave.
const BANDS_HZ: [f64; 13] = [
    220.0, 310.0, 440.0, 620.0, 880.0, 1_250.0, 1_770.0, 2_500.0, 3_500.0, 5_000.0, 7_100.0, 10_000.0, 14_000.0,
];

/// A second-order filter (Bristow-Johnson's cookbook formulas).
struct Filter {
    b: [f64; 3],
    a: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl Filter {
    fn of(hz: f64, rate: f64, q: f64, band: bool) -> Self {
        let w = TAU * hz / rate;
        let (alpha, cos) = (w.sin() / (2.0 * q), w.cos());
        let a0 = 1.0 + alpha;
        let b = if band {
            [alpha, 0.0, -alpha]
        } else {
            [(1.0 + cos) / 2.0, -(1.0 + cos), (1.0 + cos) / 2.0]
        };
        Self {
            b: b.map(|b| b / a0),
            a: [-2.0 * cos / a0, (1.0 - alpha) / a0],
            x: [0.0; 2],
            y: [0.0; 2],
        }
    }

    fn next(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.b[1] * self.x[0] + self.b[2] * self.x[1]
            - self.a[0] * self.y[0]
            - self.a[1] * self.y[1];
        self.x = [x, self.x[0]];
        self.y = [y, self.y[0]];
        y
    }
}

/// What a small speaker gives: a Butterworth high-pass of the fourth order.
pub fn high_passed(samples: &[f64], rate: f64, hz: f64) -> Vec<f64> {
    let quality = |k: f64| 1.0 / (2.0 * (PI * k / 8.0).cos());
    let (mut a, mut b) = (
        Filter::of(hz, rate, quality(1.0), false),
        Filter::of(hz, rate, quality(3.0), false),
    );
    samples.iter().map(|x| b.next(a.next(*x))).collect()
}

fn mean_square(samples: &[f64]) -> f64 {
    samples.iter().map(|x| x * x).sum::<f64>() / samples.len().max(1) as f64
}

/// Similarity of a course with itself `lag` later, -1..1.
fn similarity(x: &[f64], lag: usize) -> f64 {
    if lag >= x.len() {
        return 0.0;
    }
    let mean = x.iter().sum::<f64>() / x.len() as f64;
    let (a, b) = (&x[..x.len() - lag], &x[lag..]);
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>();
    dot(a, b) / (dot(a, a) * dot(b, b)).sqrt().max(1e-30)
}

/// Samples that a loudness is averaged over before rhythm is looked for.
const COARSE: usize = 6;

/// The rhythm of a stretch: the firing rate found near the expected one, Hz, how alike successive pulses are, pulses two apart, and
/// how much pulses vary.
pub struct Rhythm {
    /// Mean, Hz.
    pub rate_hz: f64,
    /// From beginning to end, of the mean.
    pub drift: f64,
    alike: f64,
    alike_two: f64,
    variation: f64,
    alternation: f64,
}

/// Finds the rhythm: the loudness in frames of six periods, compared with itself.
pub fn rhythm(samples: &[f64], rate: f64, expected_hz: f64) -> Rhythm {
    let loud: Vec<f64> = samples.chunks(COARSE).map(|part| mean_square(part).sqrt()).collect();
    let coarse = rate / COARSE as f64;
    let period = coarse / expected_hz;
    let frame = (6.0 * period) as usize;
    let (mut found, mut alike, mut alike_two, mut energies) = (Vec::new(), 0.0, 0.0, Vec::new());
    for part in loud.chunks_exact(frame) {
        let lags = (period * 0.75) as usize..=(period * 1.3) as usize + 1;
        let lag = lags
            .max_by(|a, b| similarity(part, *a).total_cmp(&similarity(part, *b)))
            .unwrap();
        found.push(coarse / lag as f64);
        alike += similarity(part, lag);
        alike_two += similarity(part, 2 * lag);
        energies.push(part.chunks_exact(lag).map(mean_square).collect::<Vec<f64>>());
    }
    let frames = found.len() as f64;
    let mean = |values: &mut dyn Iterator<Item = f64>| {
        let (sum, count) = values.fold((0.0, 0.0), |(s, n), x| (s + x, n + 1.0));
        sum / f64::max(count, 1.0)
    };
    // Within a frame, so that a course over the whole stretch is no variation.
    let relative = |f: &dyn Fn(&[f64]) -> f64| {
        let of = |e: &Vec<f64>| f(e) / mean(&mut e.iter().copied()).max(1e-30);
        mean(&mut energies.iter().map(of))
    };
    let spread = |e: &[f64]| {
        let m = e.iter().sum::<f64>() / e.len() as f64;
        (e.iter().map(|x| (x - m) * (x - m)).sum::<f64>() / e.len() as f64).sqrt()
    };
    let alternating = |e: &[f64]| {
        let signed = e.iter().zip([1.0, -1.0].iter().cycle()).map(|(x, s)| x * s);
        signed.sum::<f64>().abs() / e.len() as f64
    };
    let half = found.len() / 2;
    let rate_hz = mean(&mut found.iter().copied());
    Rhythm {
        rate_hz,
        drift: (mean(&mut found[half..].iter().copied()) - mean(&mut found[..half].iter().copied())) / rate_hz,
        alike: alike / frames,
        alike_two: alike_two / frames,
        variation: relative(&spread),
        alternation: relative(&alternating),
    }
}

/// How many of the features are bands, from `lowest_hz` up: natural logarithms of energy at unit loudness.
pub fn bands(lowest_hz: f64) -> usize {
    BANDS_HZ.iter().filter(|hz| **hz >= lowest_hz).count()
}

/// All features of a stretch. `lowest_hz`: bands below are left out.
pub fn features(samples: &[f64], rate: f64, expected_hz: f64, lowest_hz: f64) -> Vec<f64> {
    let loudness = mean_square(samples).sqrt().max(1e-12);
    let x: Vec<f64> = samples.iter().map(|x| x / loudness).collect();
    let mut features: Vec<f64> = BANDS_HZ
        .iter()
        .filter(|hz| **hz >= lowest_hz)
        .map(|hz| {
            let mut filter = Filter::of(*hz, rate, 1.8, true);
            let band: Vec<f64> = x.iter().map(|x| filter.next(*x)).collect();
            (mean_square(&band) + 1e-9).ln()
        })
        .collect();
    let r = rhythm(&x, rate, expected_hz);
    let kurtosis = x.iter().map(|x| x.powi(4)).sum::<f64>() / x.len() as f64;
    features.extend([
        r.alike,
        r.alike - r.alike_two,
        (r.variation + 1e-3).ln(),
        (r.alternation + 1e-3).ln(),
        kurtosis.ln(),
    ]);
    features
}
