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

/// The reliability curve of (confidence 0..1, right): `bins` bins of equal width from 0 to 1, a confidence on a border in the upper
/// one, 1 in the last; empty bins are left out.
pub fn reliability(said: &[(f64, bool)], bins: usize) -> Vec<Bin> {
    let place = |sure: f64| ((sure * bins as f64).floor().max(0.0) as usize).min(bins.saturating_sub(1));
    (0..bins)
        .filter_map(|bin| {
            let within: Vec<&(f64, bool)> = said.iter().filter(|(sure, _)| place(*sure) == bin).collect();
            let count = within.len();
            let percent = |sum: f64| 100.0 * sum / count as f64;
            (count > 0).then(|| Bin {
                count,
                sure_percent: percent(within.iter().map(|(sure, _)| sure).sum()),
                right_percent: percent(within.iter().map(|(_, right)| f64::from(u8::from(*right))).sum()),
            })
        })
        .collect()
}
