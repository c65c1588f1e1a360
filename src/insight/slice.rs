//! Draws from what rows leave open, one direction at a time, by slice sampling (Neal, "Slice sampling", Annals of Statistics 31, 2003).
//!
//! From a point that is within a slice (here: at which every row holds that has to, or at which a density is above a level) one goes to
//! a place drawn uniformly along a direction within the bounds; if that is not in the slice, the stretch is shortened to it and drawn
//! from again (Neal's shrinkage). However long or short a stretch is, such steps leave the wanted distribution as it is. Where all is
//! linear and normal, draws have the posterior's mean and covariance (a test holds them against the closed form).

use crate::noise::{Channel, Noise};

/// How far one may go from `from` along `direction` within `bounds`, backwards and forwards, in lengths of `direction`.
fn stretch(from: &[f64], direction: &[f64], bounds: &[(f64, f64)]) -> (f64, f64) {
    let mut ends = (f64::NEG_INFINITY, f64::INFINITY);
    for ((x, d), (low, high)) in from.iter().zip(direction).zip(bounds) {
        if *d != 0.0 {
            let (a, b) = ((low - x) / d, (high - x) / d);
            ends = (ends.0.max(a.min(b).min(0.0)), ends.1.min(a.max(b).max(0.0)));
        }
    }
    ends
}

/// The next point from `from`, which is in the slice, along `direction`; after `tries` places that are not in it, `from` itself.
/// `chance` is this step's own. Bounds that a direction leads towards have to be finite.
pub fn along(
    from: &[f64],
    direction: &[f64],
    bounds: &[(f64, f64)],
    chance: Noise,
    tries: u64,
    mut within: impl FnMut(&[f64]) -> bool,
) -> Vec<f64> {
    let (mut low, mut high) = stretch(from, direction, bounds);
    for k in 0..tries {
        let t = chance.between(k, low, high);
        let moved = from.iter().zip(direction).zip(bounds);
        let to: Vec<f64> = moved
            .map(|((x, d), (least, most))| {
                if *d == 0.0 {
                    *x
                } else {
                    (x + t * d).clamp(*least, *most)
                }
            })
            .collect();
        if within(&to) {
            return to;
        }
        if t < 0.0 {
            low = t;
        } else {
            high = t;
        }
    }
    from.to_vec()
}

/// The number of a step's draw, for [`Noise`]s that are addressed by it.
pub fn step_chance(seed: u64, chain: u64, step: u64) -> Noise {
    Noise::new(seed, chain * STEPS + step, Channel::Choice)
}

/// More steps than a chain ever makes.
const STEPS: u64 = 1 << 32;

#[cfg(test)]
mod tests {
    use nalgebra::{DMatrix, DVector};

    use super::*;
    use crate::insight::fit::covariance;

    #[test]
    fn draws_have_the_mean_and_covariance_of_the_closed_form() {
        // The belief about three unknowns, data that bind two of them together, their errors.
        let (believed, deviations) = ([0.0, 1.5, -1.0], [1.0, 0.5, 2.0]);
        let (data, errors) = ([1.2, -0.7], [0.4, 0.9]);
        let slopes = DMatrix::from_row_slice(2, 3, &[1.0, 1.0, 0.0, 0.5, -0.2, 0.6]);
        let weights = errors.map(|e: f64| 1.0 / (e * e));
        let pulls = deviations.map(|d: f64| 1.0 / (d * d));
        let covariance = covariance(&slopes, &weights, &pulls).unwrap();
        // Mean: believed + C·Jᵀ·W·(data - J·believed), Tarantola 2005, eq. 3.37.
        let at = DVector::from_column_slice(&believed);
        let misfit = DVector::from_column_slice(&data) - &slopes * &at;
        let weighed = DVector::from_fn(2, |i, _| weights[i] * misfit[i]);
        let mean = &at + &covariance * slopes.transpose() * weighed;
        let log_density = |x: &[f64]| {
            let x = DVector::from_column_slice(x);
            let (found, away) = (&slopes * &x, &x - &at);
            let rows: f64 = (0..2).map(|i| weights[i] * (data[i] - found[i]).powi(2)).sum();
            -0.5 * (rows + (0..3).map(|j| pulls[j] * away[j].powi(2)).sum::<f64>())
        };
        // Far enough away that nothing is cut off.
        let bounds: Vec<(f64, f64)> = (0..3)
            .map(|j| (believed[j] - 12.0 * deviations[j], believed[j] + 12.0 * deviations[j]))
            .collect();
        let mut directions: Vec<Vec<f64>> = (0..3)
            .map(|j| (0..3).map(|i| f64::from(u8::from(i == j))).collect())
            .collect();
        directions.extend((0..3).map(|j| covariance.column(j).iter().copied().collect()));
        const SWEEPS: u64 = 20_000;
        let mut point = believed.to_vec();
        let mut draws = Vec::new();
        for step in 0..SWEEPS * 6 {
            let chance = step_chance(3, 0, step);
            // The level of the slice: uniform below the density here.
            let level = log_density(&point) + chance.between(1_000, 0.0, 1.0).ln();
            let direction = &directions[(step % 6) as usize];
            point = along(&point, direction, &bounds, chance, 100, |x| log_density(x) >= level);
            if step % 6 == 5 {
                draws.push(point.clone());
            }
        }
        // Draws of a chain tell less than as many independent ones: the errors of means are those of batches of 200.
        let n = draws.len() as f64;
        for a in 0..3 {
            let mean_a = draws.iter().map(|x| x[a]).sum::<f64>() / n;
            let batches: Vec<f64> = draws
                .chunks(200)
                .map(|batch| batch.iter().map(|x| x[a]).sum::<f64>() / 200.0)
                .collect();
            let scatter = batches.iter().map(|b| (b - mean_a).powi(2)).sum::<f64>() / (batches.len() - 1) as f64;
            let error = (scatter / batches.len() as f64).sqrt();
            assert!(
                (mean_a - mean[a]).abs() < 4.0 * error,
                "mean {a}: {mean_a} ± {error}, {}",
                mean[a]
            );
            assert!(error < 0.05 * deviations[a], "{a}: ± {error}");
            for b in 0..3 {
                let mean_b = draws.iter().map(|x| x[b]).sum::<f64>() / n;
                let drawn = draws.iter().map(|x| (x[a] - mean_a) * (x[b] - mean_b)).sum::<f64>() / n;
                let of = (covariance[(a, a)] * covariance[(b, b)]).sqrt();
                assert!(
                    (drawn - covariance[(a, b)]).abs() < 0.05 * of,
                    "{a}, {b}: {drawn}, {}",
                    covariance[(a, b)]
                );
            }
        }
    }

    #[test]
    fn no_step_leaves_the_slice_or_the_bounds_and_unknowns_without_part_stay() {
        let mut point = vec![0.5, 0.5, 0.25];
        for step in 0..2000 {
            let direction = [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [1.0, 1.0, 0.0]][(step % 3) as usize];
            let within = |x: &[f64]| x[0] + x[1] <= 1.5;
            point = along(&point, &direction, &[(0.0, 1.0); 3], step_chance(1, 0, step), 8, within);
            assert!(
                within(&point) && point.iter().all(|x| (0.0..=1.0).contains(x)),
                "{point:?}"
            );
            assert_eq!(point[2], 0.25);
        }
        let shut = along(
            &point,
            &[1.0, 0.0, 0.0],
            &[(0.0, 1.0); 3],
            step_chance(1, 1, 0),
            8,
            |_| false,
        );
        assert_eq!(shut, point);
    }
}
