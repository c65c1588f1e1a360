//! Which screw is for what: the relative gain array (E. H. Bristol, IEEE Trans. Automatic Control 11 (1966) 133-134). An element says how
//! much of a screw's pull on an outcome is left once the other screws hold all other outcomes where they were: 1 for a screw that has
//! an outcome to itself, 0 for one that has nothing to do with it, above 1 or below 0 where screws fight.

use nalgebra::DMatrix;

use super::effects::{CONFIDENCE, Pair, TURNS};
use super::symptom::Symptom;
use crate::bench::checks::Symptoms;
use crate::stats::{Interval, Moments};

/// What is to be set, in the order of the array's rows.
pub const OUTCOMES: [Symptom; 3] = [Symptom::MixtureFull, Symptom::MixtureIdle, Symptom::IdleRpm];

/// A square of numbers, row by row.
pub type Square<const N: usize> = [[f64; N]; N];

/// The relative gain array of steady gains, a row for each outcome: each gain times the same element of the inverse, transposed. None
/// of gains that have no inverse.
pub fn relative_gains<const N: usize>(gains: &Square<N>) -> Option<Square<N>> {
    let matrix = DMatrix::from_fn(N, N, |row, column| gains[row][column]);
    // Rows are brought to one size first: units do not matter, and must not make it look singular.
    let sizes: [f64; N] = std::array::from_fn(|row| matrix.row(row).norm());
    if sizes.iter().any(|size| !(size.is_finite() && *size > 0.0)) {
        return None;
    }
    let scaled = DMatrix::from_fn(N, N, |row, column| matrix[(row, column)] / sizes[row]);
    let inverse = scaled.clone().try_inverse()?;
    let relative: Square<N> =
        std::array::from_fn(|row| std::array::from_fn(|column| scaled[(row, column)] * inverse[(column, row)]));
    relative
        .iter()
        .flatten()
        .all(|element| element.abs() < 1e6)
        .then_some(relative)
}

/// Gains found and what they mean for each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interaction {
    /// Change of each outcome per turn of each screw (high, low, idle stop), between an eighth in and an eighth out.
    pub gains: Square<3>,
    /// The relative gain array.
    pub relative: Square<3>,
    /// Intervals of its elements, by leaving out one seed after the other (Tukey's jackknife); none below two seeds.
    pub intervals: Option<[[Interval; 3]; 3]>,
}

/// Gains of the pairs that live on both sides, seed by seed.
fn gains(pairs: &[Pair]) -> Vec<Square<3>> {
    let gain = |pair: &Pair| {
        let of = |k: usize, outcome: Symptom| outcome.of(pair.turned[k].as_ref().unwrap_or(&Symptoms::default()));
        let mut gains = [[0.0; 3]; 3];
        for (row, outcome) in gains.iter_mut().zip(OUTCOMES) {
            for (screw, gain) in row.iter_mut().enumerate() {
                *gain = (of(2 * screw + 1, outcome)? - of(2 * screw, outcome)?) / (2.0 * TURNS);
            }
        }
        Some(gains)
    };
    pairs.iter().filter_map(gain).collect()
}

fn mean<'a>(gains: impl Iterator<Item = &'a Square<3>>) -> Square<3> {
    let (mut sum, mut count) = ([[0.0; 3]; 3], 0.0);
    for one in gains {
        count += 1.0;
        for (sum, gain) in sum.iter_mut().flatten().zip(one.iter().flatten()) {
            *sum += gain;
        }
    }
    sum.map(|row| row.map(|sum| sum / count))
}

/// How the screws act together; none where the engine dies at one of the turns with every seed, or where the screws can't be told
/// apart.
pub fn interaction(pairs: &[Pair]) -> Option<Interaction> {
    let each = gains(pairs);
    if each.is_empty() {
        return None;
    }
    let gains = mean(each.iter());
    let relative = relative_gains(&gains)?;
    let n = each.len() as f64;
    let left_out: Option<Vec<Square<3>>> = (0..each.len())
        .map(|out| {
            let others = each.iter().enumerate().filter(|(k, _)| *k != out);
            relative_gains(&mean(others.map(|(_, gains)| gains)))
        })
        .collect();
    let interval = |row: usize, column: usize| {
        let pseudo = left_out.as_ref()?.iter();
        let pseudo = pseudo.map(|left| n * relative[row][column] - (n - 1.0) * left[row][column]);
        let spread = Moments::of(pseudo.collect::<Vec<_>>()).interval(CONFIDENCE)?;
        // The jackknife corrects the middle, too; told is what was found.
        let half = 0.5 * (spread.high - spread.low);
        Some(Interval {
            low: relative[row][column] - half,
            high: relative[row][column] + half,
        })
    };
    let mut intervals = [[Interval { low: 0.0, high: 0.0 }; 3]; 3];
    let mut known = each.len() > 1;
    for (row, intervals) in intervals.iter_mut().enumerate() {
        for (column, place) in intervals.iter_mut().enumerate() {
            match interval(row, column) {
                Some(interval) if known => *place = interval,
                _ => known = false,
            }
        }
    }
    Some(Interaction {
        gains,
        relative,
        intervals: known.then_some(intervals),
    })
}

/// Off the pairing, an element larger than this is felt: two screws share an outcome (assumed: a tenth of a turn's work undone).
const FELT: f64 = 0.1;

/// Two screws that act on each other's outcome.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fight {
    /// The screws, by their columns.
    pub screws: [usize; 2],
    /// The relative gain of the first with its own outcome while only these two play: 1 is peace, above 1 one undoes the other, between
    /// 0 and 1 they pull together.
    pub element: f64,
}

impl Interaction {
    /// The outcome for which each screw is best: the pairing whose elements are nearest to 1, none of them negative where that can be
    /// had.
    pub fn pairing(&self) -> [usize; 3] {
        const ORDERS: [[usize; 3]; 6] = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
        let cost = |order: &[usize; 3]| -> f64 {
            let off = |(screw, row): (usize, &usize)| {
                let element = self.relative[*row][screw];
                (element - 1.0).abs() + if element < 0.0 { 1e3 } else { 0.0 }
            };
            order.iter().enumerate().map(off).sum()
        };
        ORDERS
            .into_iter()
            .min_by(|a, b| cost(a).total_cmp(&cost(b)))
            .unwrap_or([0, 1, 2])
    }

    /// Pairs of screws that are felt in each other's outcome, strongest first.
    pub fn fights(&self) -> Vec<Fight> {
        let rows = self.pairing();
        let mut fights: Vec<Fight> = [[0, 1], [0, 2], [1, 2]]
            .into_iter()
            .filter_map(|[a, b]| {
                let of = |screw: usize, of: usize| self.gains[rows[of]][screw];
                let two = relative_gains(&[[of(a, a), of(b, a)], [of(a, b), of(b, b)]])?;
                Some(Fight {
                    screws: [a, b],
                    element: two[0][0],
                })
            })
            .filter(|fight| (fight.element - 1.0).abs() > FELT)
            .collect();
        fights.sort_by(|a, b| (b.element - 1.0).abs().total_cmp(&(a.element - 1.0).abs()));
        fights
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Skogestad and Postlethwaite, Multivariable Feedback Control, the distillation column with reflux and boil-up as inputs:
    /// gains [[87.8, -86.4], [108.2, -109.6]] with a first element of 35.1 (known from the text).
    #[test]
    fn a_worked_column_of_a_textbook() {
        let relative = relative_gains(&[[87.8, -86.4], [108.2, -109.6]]).unwrap();
        assert!((relative[0][0] - 35.1).abs() < 0.05, "{relative:?}");
        assert!((relative[0][1] + 34.1).abs() < 0.05, "{relative:?}");
        // Units do not matter.
        let other = relative_gains(&[[87.8e-9, -86.4e-6], [108.2, -109.6e3]]).unwrap();
        for (a, b) in relative.iter().flatten().zip(other.iter().flatten()) {
            assert!((a - b).abs() < 1e-6 * a.abs(), "{relative:?} {other:?}");
        }
    }

    #[test]
    fn rows_and_columns_sum_to_one_and_a_triangle_has_no_interaction() {
        let relative = relative_gains(&[[2.0, 1.0, -0.5], [0.3, 4.0, 1.0], [1.0, -2.0, 3.0]]).unwrap();
        for k in 0..3 {
            assert!((relative[k].iter().sum::<f64>() - 1.0).abs() < 1e-12);
            assert!((relative.iter().map(|row| row[k]).sum::<f64>() - 1.0).abs() < 1e-12);
        }
        let triangle = relative_gains(&[[2.0, 0.0, 0.0], [0.3, 4.0, 0.0], [1.0, -2.0, 3.0]]).unwrap();
        for (row, elements) in triangle.iter().enumerate() {
            for (column, element) in elements.iter().enumerate() {
                let own = if row == column { 1.0 } else { 0.0 };
                assert!((element - own).abs() < 1e-12, "{triangle:?}");
            }
        }
        assert_eq!(relative_gains(&[[1.0, 2.0], [2.0, 4.0]]), None);
        assert_eq!(relative_gains(&[[0.0, 0.0], [2.0, 4.0]]), None);
    }

    /// Pairs whose outcomes follow these gains, with a little chance of each seed's own.
    fn linear(gains: &Square<3>, chance: [f64; 4]) -> Vec<Pair> {
        let seen = |by: [f64; 3], chance: f64| {
            let value = |row: usize| Some(10.0 + (0..3).map(|k| gains[row][k] * by[k]).sum::<f64>() + chance);
            Symptoms {
                equivalence_ratio_full: value(0),
                equivalence_ratio_idle: value(1),
                idle_rpm: value(2),
                ..Symptoms::default()
            }
        };
        chance
            .into_iter()
            .map(|chance| Pair {
                at: seen([0.0; 3], 0.0),
                turned: std::array::from_fn(|k| {
                    let mut by = [0.0; 3];
                    by[k / 2] = if k % 2 == 0 { -TURNS } else { TURNS };
                    Some(seen(by, if k == 5 { chance } else { 0.0 }))
                }),
            })
            .collect()
    }

    #[test]
    fn gains_are_read_from_pairs_and_each_screw_gets_its_outcome() {
        // Outcomes (mixture full, mixture idle, idle) by screws (high, low, stop).
        let known = [[0.7, 0.02, 0.0], [0.3, 1.4, -0.1], [-800.0, -3000.0, 1200.0]];
        let found = interaction(&linear(&known, [0.0; 4])).unwrap();
        for (a, b) in found.gains.iter().flatten().zip(known.iter().flatten()) {
            assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{found:?}");
        }
        assert_eq!(found.pairing(), [0, 1, 2]);
        let [fight] = found.fights()[..] else {
            panic!("{:?}", found.fights())
        };
        assert_eq!(fight.screws, [1, 2]);
        // 1/(1 - k12 k21/(k11 k22)) of two by two.
        let wanted = 1.0 / (1.0 - (-0.1 * -3000.0) / (1.4 * 1200.0));
        assert!((fight.element - wanted).abs() < 1e-9, "{fight:?}");
        // Without chance an interval has no width, with it some.
        let width = |found: &Interaction| found.intervals.unwrap()[2][2].high - found.intervals.unwrap()[2][2].low;
        assert!(width(&found) < 1e-6);
        let shaken = interaction(&linear(&known, [40.0, -30.0, 10.0, -20.0])).unwrap();
        assert!(width(&shaken) > 0.01, "{shaken:?}");
    }

    #[test]
    fn a_screw_that_would_work_backwards_is_not_paired() {
        let crossed = [[0.1, 1.0, 0.0], [1.0, 0.3, 0.0], [0.0, 0.0, 5.0]];
        let found = interaction(&linear(&crossed, [0.0; 4])).unwrap();
        assert!(found.relative[0][0] < 0.0);
        assert_eq!(found.pairing(), [1, 0, 2]);
    }
}
