//! The point that what is wanted of many rows, all linear, and a pull of every unknown agree on: one Gauss-Newton step of a search, or of
//! a draw from what the rows leave open.
//!
//! Draws are made by randomised maximum likelihood (Oliver, He & Reynolds 1996; with derivatives that all draws share, Chen & Oliver
//! 2012): each begins at a draw of the unknowns from what is believed of them without rows, and is the point nearest to it, in units of
//! that belief, at which the rows are as wanted, each by a draw of its error. Where rows are linear and all is normal, such points are
//! draws from the posterior exactly (a test holds them against its closed form). Rows that ask for at least so much pull only while they
//! lack something.

use nalgebra::{DMatrix, DVector};

/// What rows want of a point, linear around the point where they were looked at.
pub struct Rows<'a> {
    /// Derivatives: a row each, by all unknowns.
    pub slopes: &'a DMatrix<f64>,
    /// What each lacks where it was looked at: wanted less found.
    pub lacks: &'a [f64],
    /// Weights of the squares of what is lacking: one over the variance of a row's error.
    pub weights: &'a [f64],
    /// Whether more than wanted is as good.
    pub at_least: &'a [bool],
    /// A row that lacks more is pulled with the same force.
    pub worst: f64,
}

/// Where each unknown would be without rows, and how strongly it is pulled there: one over the variance of what is believed of it.
pub struct Pull<'a> {
    /// The places.
    pub to: &'a [f64],
    /// The weights of the squares.
    pub weights: &'a [f64],
}

/// Rounds in which a solution comes to rest, at most: which rows pull, and which bounds hold, depends on it.
const ROUNDS: usize = 60;
/// Share of the way that is gone in a round.
const WAY: f64 = 0.7;

/// The point within `bounds` of the least sum of squares, with the rows as they were looked at in `from`.
pub fn nearest(rows: &Rows, pull: &Pull, from: &[f64], bounds: &[(f64, f64)]) -> Vec<f64> {
    let n = from.len();
    let mut step = DVector::<f64>::zeros(n);
    for j in 0..n {
        step[j] = from[j].clamp(bounds[j].0, bounds[j].1) - from[j];
    }
    for _ in 0..ROUNDS {
        let mut hessian = DMatrix::from_diagonal(&DVector::from_column_slice(pull.weights));
        let mut gradient = DVector::from_fn(n, |j, _| pull.weights[j] * (from[j] + step[j] - pull.to[j]));
        let predicted = rows.slopes * &step;
        for (i, lack) in rows.lacks.iter().enumerate() {
            let lack = lack - predicted[i];
            if lack > 0.0 || !rows.at_least[i] {
                let row = rows.slopes.row(i).transpose();
                hessian.ger(rows.weights[i], &row, &row, 1.0);
                gradient.axpy(-rows.weights[i] * lack.min(rows.worst), &row, 1.0);
            }
        }
        // Unknowns at a bound that want beyond it stay there.
        for j in 0..n {
            let x = from[j] + step[j];
            let (low, high) = bounds[j];
            if (x <= low + 1e-12 && gradient[j] > 0.0) || (x >= high - 1e-12 && gradient[j] < 0.0) {
                hessian.row_mut(j).fill(0.0);
                hessian.column_mut(j).fill(0.0);
                hessian[(j, j)] = 1.0;
                gradient[j] = 0.0;
            }
        }
        let Some(factor) = hessian.cholesky() else { break };
        let change = factor.solve(&gradient);
        let mut largest = 0.0_f64;
        for j in 0..n {
            let (low, high) = bounds[j];
            let next = (from[j] + step[j] - WAY * change[j]).clamp(low, high) - from[j];
            largest = largest.max((next - step[j]).abs());
            step[j] = next;
        }
        if largest < 1e-6 {
            break;
        }
    }
    from.iter().zip(step.iter()).map(|(x, s)| x + s).collect()
}

/// What rows of these slopes and weights, all linear, leave of the believed variances: the closed form of the posterior's covariance. None
/// where a pull is not positive.
pub fn covariance(slopes: &DMatrix<f64>, weights: &[f64], pull_weights: &[f64]) -> Option<DMatrix<f64>> {
    let weighed = DMatrix::from_fn(slopes.nrows(), slopes.ncols(), |i, j| weights[i] * slopes[(i, j)]);
    let information = DMatrix::from_diagonal(&DVector::from_column_slice(pull_weights)) + slopes.transpose() * weighed;
    information.cholesky().map(|factor| factor.inverse())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::Chance;
    use crate::noise::Channel;

    const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

    /// Three unknowns, two of which act only together on the first row.
    fn slopes() -> DMatrix<f64> {
        DMatrix::from_row_slice(4, 3, &[1.0, 1.0, 0.0, 0.5, -0.2, 2.0, 0.0, 0.0, 0.7, 1.5, 0.3, -0.4])
    }

    #[test]
    fn draws_have_the_mean_and_covariance_of_the_closed_form() {
        // Belief about nought and one and a half; data; errors.
        let (believed, deviations) = ([0.0, 1.5, -1.0], [1.0, 0.5, 2.0]);
        let (data, errors) = ([1.2, -0.7, 0.4, 2.0], [0.3, 0.5, 1.0, 0.8]);
        let slopes = slopes();
        let weights: Vec<f64> = errors.iter().map(|e: &f64| 1.0 / (e * e)).collect();
        let pulls: Vec<f64> = deviations.iter().map(|d: &f64| 1.0 / (d * d)).collect();
        let covariance = covariance(&slopes, &weights, &pulls).unwrap();
        // Mean: believed + C·Jᵀ·W·(data - J·believed), Tarantola 2005, eq. 3.37.
        let at = DVector::from_column_slice(&believed);
        let misfit = DVector::from_column_slice(&data) - &slopes * &at;
        let weighed = DVector::from_fn(4, |i, _| weights[i] * misfit[i]);
        let mean = &at + &covariance * slopes.transpose() * weighed;
        const DRAWS: u64 = 4000;
        // Looked at elsewhere than at the belief: where is of no matter.
        let from = [0.3, -0.4, 0.8];
        let found = &slopes * DVector::from_column_slice(&from);
        let draws: Vec<Vec<f64>> = (0..DRAWS)
            .map(|k| {
                let chance = Chance::new(7, k);
                let normal = |variable: usize, deviation| chance.normal(Channel::Choice, variable as u64, deviation);
                let to: Vec<f64> = (0..3).map(|j| believed[j] + normal(j, deviations[j])).collect();
                let lacks: Vec<f64> = (0..4).map(|i| data[i] + normal(3 + i, errors[i]) - found[i]).collect();
                let rows = Rows {
                    slopes: &slopes,
                    lacks: &lacks,
                    weights: &weights,
                    at_least: &[false; 4],
                    worst: f64::INFINITY,
                };
                nearest(
                    &rows,
                    &Pull {
                        to: &to,
                        weights: &pulls,
                    },
                    &from,
                    &[FREE; 3],
                )
            })
            .collect();
        let n = DRAWS as f64;
        for a in 0..3 {
            let mean_a = draws.iter().map(|x| x[a]).sum::<f64>() / n;
            let deviation = covariance[(a, a)].sqrt();
            // Four standard errors of a mean of so many.
            assert!(
                (mean_a - mean[a]).abs() < 4.0 * deviation / n.sqrt(),
                "mean {a}: {mean_a}, {}",
                mean[a]
            );
            for b in 0..3 {
                let mean_b = draws.iter().map(|x| x[b]).sum::<f64>() / n;
                let drawn = draws.iter().map(|x| (x[a] - mean_a) * (x[b] - mean_b)).sum::<f64>() / n;
                // The same of a covariance: its standard error is at most √2 times the deviations over √n.
                let error = (2.0 * covariance[(a, a)] * covariance[(b, b)] / n).sqrt();
                assert!(
                    (drawn - covariance[(a, b)]).abs() < 4.0 * error,
                    "{a}, {b}: {drawn}, {}",
                    covariance[(a, b)]
                );
            }
        }
        // The rows do tell something, and not everything.
        let left: Vec<f64> = (0..3).map(|j| covariance[(j, j)].sqrt() / deviations[j]).collect();
        assert!(left.iter().all(|share| (0.05..0.9).contains(share)), "{left:?}");
    }

    #[test]
    fn a_row_that_has_enough_does_not_pull_and_a_bound_is_not_passed() {
        let slopes = DMatrix::from_row_slice(1, 2, &[1.0, 0.0]);
        let nearest = |lack: f64, bounds: &[(f64, f64)]| {
            let rows = Rows {
                slopes: &slopes,
                lacks: &[lack],
                weights: &[1e6],
                at_least: &[true],
                worst: f64::INFINITY,
            };
            let pull = Pull {
                to: &[1.0, -1.0],
                weights: &[1.0, 1.0],
            };
            nearest(&rows, &pull, &[0.0, 0.0], bounds)
        };
        let close = |found: Vec<f64>, wanted: [f64; 2]| {
            let same = found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-4);
            assert!(same, "{found:?} instead of {wanted:?}");
        };
        close(nearest(-0.5, &[FREE; 2]), [1.0, -1.0]);
        close(nearest(2.0, &[FREE; 2]), [2.0, -1.0]);
        close(nearest(2.0, &[(-1.0, 1.5), (-0.2, 9.0)]), [1.5, -0.2]);
    }
}
