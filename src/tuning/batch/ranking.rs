//! Which of several ways costs least, when all of them met the same hidden engines.
//!
//! The best is selected by the fully sequential procedure of Kim and Nelson (ACM TOMACS 11 (2001) 251-273, "KN", with c = 1), which
//! allows for common random numbers: after a first stage of `n0` observations, from which the variances `S²` of all pairwise
//! differences are taken, it looks after every further one and drops each way whose mean lies above another's by more than
//! `W(r) = max(0, δ/(2r) (h² S²/δ² - r))`, with `h² = 2η(n0-1)` and `η = ((2α/(k-1))^(-2/(n0-1)) - 1)/2`. Where the means lie at least
//! δ apart, the one that is left is the best with probability 1-α at least, normal observations provided: so an observation here is the
//! mean over all situations of one hidden engine each.
//!
//! Beside it stand Student intervals of the paired differences, Bonferroni's for all pairs at once.

use serde::Serialize;

use crate::stats::{Interval, Moments};

/// What a race is run by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rules {
    /// Probability that the one selected is the best, where it is best by the indifference at least.
    pub confidence: f64,
    /// A difference that nobody minds, δ.
    pub indifference: f64,
    /// Observations of the first stage, n0: at least 2.
    pub first_stage: usize,
}

/// What a race has shown so far.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Race {
    /// Observations that all ways have in common.
    pub observations: usize,
    /// For each way, after how many observations it was dropped; none while it is in.
    pub dropped_after: Vec<Option<usize>>,
    /// The one that is left, if the others are dropped.
    pub selected: Option<usize>,
    /// About how many observations more it takes until one is left, if means and spreads stay as they are; none once it is, or where
    /// the first stage isn't over.
    pub more: Option<usize>,
}

/// The continuation constant η of the procedure for `ways` ways.
pub fn continuation(ways: usize, rules: &Rules) -> f64 {
    let beta = (1.0 - rules.confidence) / (ways as f64 - 1.0);
    0.5 * ((2.0 * beta).powf(-2.0 / (rules.first_stage as f64 - 1.0)) - 1.0)
}

/// Runs the race over the costs of each way, one observation after the other; only what all have in common counts.
pub fn race(costs: &[Vec<f64>], rules: &Rules) -> Race {
    let observations = costs.iter().map(Vec::len).min().unwrap_or(0);
    let ways = costs.len();
    let mut race = Race {
        observations,
        dropped_after: vec![None; ways],
        selected: (ways == 1).then_some(0),
        more: None,
    };
    let first = rules.first_stage;
    if ways < 2 || observations < first {
        return race;
    }
    let h2 = 2.0 * continuation(ways, rules) * (first as f64 - 1.0);
    let delta = rules.indifference;
    let spread = |i: usize, l: usize| {
        let differences = (0..first).map(|r| costs[i][r] - costs[l][r]);
        // How long a pair has to be watched at the most.
        h2 * Moments::of(differences).variance.unwrap_or(0.0) / (delta * delta)
    };
    let longest: Vec<Vec<f64>> = (0..ways)
        .map(|i| (0..ways).map(|l| if i == l { 0.0 } else { spread(i, l) }).collect())
        .collect();
    let mut sums: Vec<f64> = costs.iter().map(|own| own[..first - 1].iter().sum()).collect();
    let mut left: Vec<usize> = (0..ways).collect();
    for r in first..=observations {
        for (sum, own) in sums.iter_mut().zip(costs) {
            *sum += own[r - 1];
        }
        let n = r as f64;
        let bound = |i: usize, l: usize| (0.5 * delta / n * (longest[i][l] - n)).max(0.0);
        let worse = |i: usize, l: usize| (sums[i] - sums[l]) / n > bound(i, l);
        let stay: Vec<usize> = left
            .iter()
            .copied()
            .filter(|i| !left.iter().any(|l| l != i && worse(*i, *l)))
            .collect();
        for i in left.iter().filter(|i| !stay.contains(i)) {
            race.dropped_after[*i] = Some(r);
        }
        left = stay;
        if let [only] = left[..] {
            race.selected = Some(only);
            return race;
        }
    }
    race.more = more(&left, &sums, observations, &longest, delta);
    race
}

/// Observations until the bound falls to the distance at hand, for the last of those that are left.
fn more(left: &[usize], sums: &[f64], observations: usize, longest: &[Vec<f64>], delta: f64) -> Option<usize> {
    let best = left.iter().copied().min_by(|a, b| sums[*a].total_cmp(&sums[*b]))?;
    let n = observations as f64;
    let needed = left.iter().filter(|i| **i != best).map(|i| {
        let apart = (sums[*i] - sums[best]) / n;
        delta * longest[*i][best] / (2.0 * apart + delta)
    });
    let most = needed.fold(0.0, f64::max);
    Some((most - n).ceil().max(1.0) as usize)
}

/// How much more one way costs than another, over the observations that both have, with its interval at this confidence for `pairs`
/// such comparisons at once.
pub fn difference(one: &[f64], other: &[f64], confidence: f64, pairs: usize) -> (f64, Option<Interval>) {
    let both = one.len().min(other.len());
    let differences = (0..both).map(|r| one[r] - other[r]);
    let moments = Moments::of(differences);
    let each = 1.0 - (1.0 - confidence) / pairs.max(1) as f64;
    (moments.mean, moments.interval(each))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::Chance;
    use crate::noise::Channel;

    const RULES: Rules = Rules {
        confidence: 0.9,
        indifference: 1.0,
        first_stage: 10,
    };

    /// Costs of `ways` with normal noise, half of it in common; the first is better than the others by δ, the least favourable case.
    fn drawn(seed: u64, ways: usize, observations: usize) -> Vec<Vec<f64>> {
        let noise = |way: u64, r: usize, size| Chance::new(seed, way).normal(Channel::Hidden, r as u64, size);
        (0..ways)
            .map(|way| {
                let worse = if way == 0 { 0.0 } else { RULES.indifference };
                (0..observations)
                    .map(|r| 10.0 + worse + noise(0, r, 3.0) + noise(1 + way as u64, r, 2.0))
                    .collect()
            })
            .collect()
    }

    #[test]
    fn the_best_is_selected_as_often_as_promised_in_the_least_favourable_case() {
        let (races, ways) = (400, 5);
        let right = (0..races)
            .map(|seed| race(&drawn(seed, ways, 400), &RULES))
            .filter(|race| race.selected == Some(0))
            .count();
        // 90 % of 400, less three standard deviations of such a count.
        assert!(right as f64 >= 400.0 * 0.9 - 18.0, "{right} of {races}");
    }

    #[test]
    fn far_apart_is_told_early_and_alike_not_at_all() {
        let far = [
            drawn(1, 1, 100)[0].clone(),
            drawn(2, 1, 100)[0].iter().map(|c| c + 30.0).collect(),
        ];
        let told = race(&far, &RULES);
        assert_eq!((told.selected, told.dropped_after[1]), (Some(0), Some(10)));
        let strict = Rules {
            indifference: 0.2,
            ..RULES
        };
        let alike = drawn(3, 3, 12);
        let told = race(&alike[1..], &strict);
        assert!(
            told.selected.is_none() && told.more.is_some_and(|more| more > 20),
            "{told:?}"
        );
        // And with about so many more they are.
        let enough = drawn(3, 3, 12 + 4 * told.more.unwrap());
        assert!(race(&enough[1..], &strict).selected.is_some());
    }

    #[test]
    fn nothing_is_told_before_the_first_stage_is_over() {
        let told = race(&drawn(1, 3, 9), &RULES);
        assert_eq!((told.selected, told.more), (None, None));
        assert_eq!(race(&drawn(1, 1, 0), &RULES).selected, Some(0));
    }

    #[test]
    fn what_two_ways_have_in_common_does_not_widen_their_difference() {
        let costs = drawn(7, 2, 200);
        let (mean, interval) = difference(&costs[1], &costs[0], 0.95, 1);
        let interval = interval.unwrap();
        // Two noises of 2 each: 2√2/√200 = 0.2, whatever they share.
        assert!((0.33..0.47).contains(&(interval.high - mean)), "{interval:?}");
        assert!(interval.low < 1.0 && 1.0 < interval.high);
        let (_, wider) = difference(&costs[1], &costs[0], 0.95, 45);
        assert!(wider.unwrap().high > interval.high);
    }
}
