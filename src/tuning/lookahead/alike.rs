//! How alike engines of one kind are: by how much the numbers differ that two of a library show at the same place, and how often one word
//! is heard of the one where another is heard of the other. It is counted, not assumed, and has in it what hands and ears get wrong.

use super::signs::Signs;
use crate::tuning::strategy::findings::FINDINGS;

/// The numbers of a round, in their order: settled idle and full throttle, rpm; how long it runs on pinched, s; head, °C.
pub const NUMBERS: [fn(&Signs) -> Option<f64>; 4] = [|s| s.idle_rpm, |s| s.full_rpm, |s| s.pinch_s, |s| s.head_c];
/// In how fine steps each is read.
const STEPS: [f64; 4] = [100.0, 100.0, 0.1, 1.0];
/// Pairs that are added for each two words, since what was never heard can still be heard.
const UNHEARD: f64 = 0.5;
/// How many sizes a number can be off: what no engine of the library shows is still possible.
const FARTHEST: f64 = 4.0;

/// How alike they are.
#[derive(Clone, Debug)]
pub struct Alike {
    /// How far off each number is, as the standard deviation of what one engine shows from another.
    sizes: [f64; 4],
    /// How likely each word of a finding, or none, is heard of one where each word, or none, is heard of the other: by finding, theirs,
    /// ours; none comes last.
    words: Vec<Vec<Vec<f64>>>,
}

impl Alike {
    /// Counted over engines that were played at the same places.
    pub fn counted(engines: &[&[Signs]]) -> Self {
        let pairs = || {
            engines.iter().enumerate().flat_map(|(number, one)| {
                let others = engines.iter().enumerate().filter(move |(other, _)| *other != number);
                others.flat_map(|(_, other)| one.iter().zip(*other))
            })
        };
        let size = |which: usize| {
            let of = NUMBERS[which];
            // Engines that burble are chance's doing, and the median does not mind them.
            let mut apart: Vec<f64> = pairs()
                .filter_map(|(one, other)| Some((of(one)? - of(other)?).abs()))
                .collect();
            apart.sort_unstable_by(f64::total_cmp);
            let median = apart.get(apart.len() / 2).copied().unwrap_or(0.0);
            // Of a normal distribution the median distance is so much of the deviation.
            (median / 0.6745).max(STEPS[which])
        };
        let words = FINDINGS.iter().enumerate().map(|(finding, named)| {
            let count = named.words().count();
            let place = |signs: &Signs| signs.words[finding].map_or(count, usize::from);
            let mut heard = vec![vec![UNHEARD; count + 1]; count + 1];
            for (one, other) in pairs() {
                heard[place(one)][place(other)] += 1.0;
            }
            let shares = heard.into_iter().map(|row| {
                let sum: f64 = row.iter().sum();
                row.into_iter().map(|n| n / sum).collect()
            });
            shares.collect()
        });
        Self {
            sizes: [0, 1, 2, 3].map(size),
            words: words.collect(),
        }
    }

    /// Logarithm of how likely a number is that differs by so much, up to a constant.
    pub fn number(&self, which: usize, difference: f64) -> f64 {
        let x = (difference / self.sizes[which]).abs().min(FARTHEST);
        -0.5 * x * x
    }

    /// Logarithm of how likely a number is among what lies around, in straight lines; where half of that says nothing, so does this.
    pub fn number_around(&self, which: usize, heard: &Signs, around: &[(&Signs, f64)]) -> f64 {
        let of = NUMBERS[which];
        let Some(heard) = of(heard) else { return 0.0 };
        let (sum, shares) = around.iter().fold((0.0, 0.0), |(sum, shares), (signs, share)| {
            of(signs).map_or((sum, shares), |shown| (sum + share * shown, shares + share))
        });
        if shares < 0.5 {
            0.0
        } else {
            self.number(which, heard - sum / shares)
        }
    }

    /// How likely a word of a finding is heard where an engine of the library shows this one, or none.
    pub fn word(&self, finding: usize, shown: Option<u8>, heard: u8) -> f64 {
        let shares = &self.words[finding];
        shares[shown.map_or(shares.len() - 1, usize::from)][usize::from(heard)]
    }

    /// How likely it is among what lies around: any of the words there may be heard.
    pub fn word_around(&self, finding: usize, heard: u8, around: &[(&Signs, f64)]) -> f64 {
        let shares = around
            .iter()
            .map(|(signs, share)| share * self.word(finding, signs.words[finding], heard));
        shares.sum()
    }
}

#[cfg(test)]
mod cases {
    use super::*;

    fn signs(idle_rpm: f64, word: Option<u8>) -> Signs {
        Signs {
            words: FINDINGS.iter().map(|_| word).collect(),
            died_at: None,
            idle_rpm: Some(idle_rpm),
            full_rpm: None,
            pinch_s: None,
            head_c: None,
        }
    }

    #[test]
    fn numbers_that_scatter_tell_less_and_none_is_impossible() {
        let engines: Vec<Vec<Signs>> = [0.0, 1.0, 2.0, 3.0]
            .map(|number: f64| {
                (0..20)
                    .map(|place| signs(11_000.0 + 1000.0 * number * f64::from(place % 2), None))
                    .collect()
            })
            .into();
        let scattered = Alike::counted(&engines.iter().map(Vec::as_slice).collect::<Vec<_>>());
        let same = Alike::counted(&[&engines[0], &engines[0]]);
        // A median distance of nothing is no finer than the tachometer reads.
        assert_eq!(same.number(0, 100.0), -0.5);
        assert!(scattered.number(0, 400.0) > same.number(0, 400.0));
        assert_eq!(same.number(0, 1e9), same.number(0, 2e9));
        assert!(same.number(0, 1e9).is_finite());
    }

    #[test]
    fn a_word_is_as_likely_as_it_was_heard_of_the_others_and_never_impossible() {
        let one: Vec<Signs> = (0..40).map(|_| signs(0.0, Some(1))).collect();
        let other: Vec<Signs> = (0..40).map(|place| signs(0.0, Some(u8::from(place % 4 > 0)))).collect();
        let alike = Alike::counted(&[&one, &other]);
        // Both ways: of 80 pairs 60 agree; where one says the first word the other says the second.
        assert!((alike.word(0, Some(1), 1) / alike.word(0, Some(1), 0) - 60.5 / 10.5).abs() < 1e-9);
        assert!(alike.word(0, Some(0), 1) > 0.8);
        assert!((0..4).all(|word| alike.word(0, None, word) > 0.0));
    }
}
