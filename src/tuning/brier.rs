//! How good stated probabilities were: the Brier score over several answers (Brier 1950, the sum over all of them), and how often what
//! was said with so much confidence was so (the reliability curve, in bins of equal width).

use serde::Serialize;

/// The score of probabilities given to answers of which number `happened` came true: 0 is best, 2 worst.
pub fn score(given: &[f64], happened: Option<usize>) -> f64 {
    given
        .iter()
        .enumerate()
        .map(|(answer, p)| {
            let came = f64::from(u8::from(happened == Some(answer)));
            (p - came) * (p - came)
        })
        .sum()
}

/// A bin of the reliability curve that holds something.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bin {
    /// How many were said with such confidence.
    pub count: usize,
    /// Mean confidence of these, percent.
    pub sure_percent: f64,
    /// How many of these were right, percent.
    pub right_percent: f64,
}

/// The reliability curve of (confidence in percent, right): `bins` bins of equal width from 0 to 100 %, a confidence on a border in the
/// lower one; empty bins are left out.
pub fn reliability(said: &[(u8, bool)], bins: usize) -> Vec<Bin> {
    let place = |sure_percent: u8| (usize::from(sure_percent) * bins).div_ceil(100).clamp(1, bins) - 1;
    (0..bins)
        .filter_map(|bin| {
            let within: Vec<&(u8, bool)> = said.iter().filter(|(sure, _)| place(*sure) == bin).collect();
            let count = within.len();
            let mean = |sum: f64| sum / count as f64;
            (count > 0).then(|| Bin {
                count,
                sure_percent: mean(within.iter().map(|(sure, _)| f64::from(*sure)).sum()),
                right_percent: 100.0 * mean(within.iter().map(|(_, right)| f64::from(u8::from(*right))).sum()),
            })
        })
        .collect()
}
