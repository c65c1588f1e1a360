//! Shares of an effect that several paths make together (L. S. Shapley, "A value for n-person games", 1953): what a path adds, averaged
//! over all orders in which the paths may be let go. The shares sum to the whole, whatever the paths do to each other.

/// The share of each of `players` in `value`, which is given for every set of them: bit k of its index is player k.
///
/// `value` has a number for each of the 2^players sets; what is missing counts as 0.
pub fn shares(players: usize, value: &[f64]) -> Vec<f64> {
    let worth = |set: usize| value.get(set).copied().unwrap_or(0.0);
    (0..players)
        .map(|player| {
            let with = 1 << player;
            (0..1_usize << players)
                .filter(|set| set & with == 0)
                .map(|set| weight(players, set.count_ones() as usize) * (worth(set | with) - worth(set)))
                .sum()
        })
        .collect()
}

/// Share of the orders in which exactly so many others come first, and these: k! (n - k - 1)! / n!.
fn weight(players: usize, before: usize) -> f64 {
    let factorial = |n: usize| (1..=n).map(|k| k as f64).product::<f64>();
    factorial(before) * factorial(players - before - 1) / factorial(players)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The glove market of any textbook on cooperative games: one left glove, two right ones, a pair is worth 1. Shares 2/3, 1/6, 1/6.
    #[test]
    fn the_glove_market() {
        let value: Vec<f64> = (0..8)
            .map(|set: usize| f64::from(u8::from(set & 1 != 0 && set & 6 != 0)))
            .collect();
        let found = shares(3, &value);
        for (found, wanted) in found.iter().zip([2.0 / 3.0, 1.0 / 6.0, 1.0 / 6.0]) {
            assert!((found - wanted).abs() < 1e-12, "{found:?}");
        }
    }

    #[test]
    fn shares_sum_to_the_whole_and_who_adds_nothing_gets_nothing() {
        // Player 2 adds nothing, 0 and 1 multiply.
        let value: Vec<f64> = (0..8)
            .map(|set: usize| match set & 3 {
                0 => 5.0,
                1 => 7.0,
                2 => 4.0,
                _ => 20.0,
            })
            .collect();
        let found = shares(3, &value);
        assert!((found.iter().sum::<f64>() - 15.0).abs() < 1e-12);
        assert_eq!(found[2], 0.0);
        assert!(
            (found[0] - 9.0).abs() < 1e-12 && (found[1] - 6.0).abs() < 1e-12,
            "{found:?}"
        );
    }
}
