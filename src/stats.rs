//! Statistics of samples: moments, quantiles, and intervals for a mean and for a share. Distributions are those of a library
//! (statrs); `tests/reference` holds them against another one's.

use statrs::distribution::{Beta, ContinuousCDF, StudentsT};

/// Mean and spread of a sample.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    /// How many.
    pub count: usize,
    /// Their mean; not a number for none.
    pub mean: f64,
    /// Their variance, of a sample (divided by one less than their number); none below two.
    pub variance: Option<f64>,
}

/// An interval, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Interval {
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

impl Moments {
    /// Of some values, summed in their order.
    pub fn of(values: impl IntoIterator<Item = f64> + Clone) -> Self {
        let (mut count, mut sum) = (0_usize, 0.0);
        for value in values.clone() {
            count += 1;
            sum += value;
        }
        let mean = sum / count as f64;
        let squares: f64 = values.into_iter().map(|value| (value - mean) * (value - mean)).sum();
        Self {
            count,
            mean,
            variance: (count > 1).then(|| squares / (count - 1) as f64),
        }
    }

    /// The interval in which the mean of what was sampled lies with this confidence, if values are normal or many: the mean give or
    /// take Student's t times the standard error. None below two values.
    pub fn interval(&self, confidence: f64) -> Option<Interval> {
        let error = (self.variance? / self.count as f64).sqrt();
        let wide = student_t_quantile(0.5 + 0.5 * confidence, (self.count - 1) as f64) * error;
        Some(Interval {
            low: self.mean - wide,
            high: self.mean + wide,
        })
    }
}

/// The value below which a Student t variable with `freedom` degrees of freedom stays with this probability, strictly between 0 and 1.
pub fn student_t_quantile(probability: f64, freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::NAN, |t| t.inverse_cdf(probability))
}

/// The interval of a share of which `successes` of `of` trials are known: Clopper and Pearson (Biometrika 26 (1934) 404-413), which
/// covers at least with this confidence however small the numbers. Everything from 0 to 1 without a trial.
pub fn share_interval(successes: usize, of: usize, confidence: f64) -> Interval {
    let (k, n) = (successes as f64, of as f64);
    let tail = 0.5 * (1.0 - confidence);
    let beta = |a: f64, b: f64, p: f64| Beta::new(a, b).map_or(f64::NAN, |beta| beta.inverse_cdf(p));
    Interval {
        low: if successes == 0 {
            0.0
        } else {
            beta(k, n - k + 1.0, tail)
        },
        high: if successes == of {
            1.0
        } else {
            beta(k + 1.0, n - k, 1.0 - tail)
        },
    }
}

/// The value at a share of a sorted sample, between neighbours in a straight line; none of an empty one.
pub fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let at = share.clamp(0.0, 1.0) * last as f64;
    let below = at.floor() as usize;
    let (low, high) = (sorted[below], sorted[(below + 1).min(last)]);
    Some(low + (high - low) * (at - below as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_of_a_few_numbers() {
        let moments = Moments::of([2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]);
        assert_eq!((moments.count, moments.mean), (8, 5.0));
        assert!((moments.variance.unwrap() - 32.0 / 7.0).abs() < 1e-12);
        assert_eq!(Moments::of([3.0]).variance, None);
        assert_eq!(Moments::of([3.0]).interval(0.95), None);
        assert!(Moments::of([]).mean.is_nan());
    }

    #[test]
    fn quantiles_lie_between_neighbours() {
        assert_eq!(quantile(&[1.0, 2.0, 4.0], 0.5), Some(2.0));
        assert_eq!(quantile(&[1.0, 2.0, 4.0], 0.75), Some(3.0));
        assert_eq!(quantile(&[1.0, 2.0, 4.0], 1.0), Some(4.0));
        assert_eq!(quantile(&[], 0.5), None);
    }

    #[test]
    fn a_share_never_leaves_its_range() {
        assert_eq!(share_interval(0, 0, 0.95), Interval { low: 0.0, high: 1.0 });
        let none = share_interval(0, 10, 0.95);
        // 1 - 0.025^(1/10).
        assert!(
            none.low == 0.0 && (none.high - (1.0 - 0.025_f64.powf(0.1))).abs() < 1e-9,
            "{none:?}"
        );
        let all = share_interval(10, 10, 0.95);
        assert!(
            all.high == 1.0 && (all.low - 0.025_f64.powf(0.1)).abs() < 1e-9,
            "{all:?}"
        );
    }
}
