//! What is believed of the engine at hand: many engines of the library, each with its screws off by so much at the start, weighed by how
//! well they show what was heard (Bayes' rule; findings that hang together count for less).

use std::sync::Arc;

use super::library::Library;
use super::tests::Signs;
use super::{CLICKS, NOT_CLEAN};

/// How far off numbers are between two engines that stand alike, and what hands and eyes add (assumed): rpm of an idle, share of a full
/// throttle, s of a pinch test.
const IDLE_RPM: f64 = 350.0;
const FULL_SHARE: f64 = 0.012;
const PINCH_S: f64 = 0.25;
/// How likely the same word is, its neighbour, any other, and one where the other says nothing (assumed).
const WORDS: [f64; 4] = [0.7, 0.25, 0.05, 0.3];
/// How likely it is that both die in the same test, in different ones, and that only one does (assumed).
const DYING: [f64; 3] = [0.6, 0.35, 0.05];
/// What a finding counts beside others that tell the same (assumed).
const TEMPER: f64 = 0.5;
/// Farthest turns that are looked at, clicks.
const FAR_HIGH: i32 = 24;
const FAR_LOW: i32 = 14;
/// Beliefs that are less likely than this share of the likeliest are not looked ahead from.
const LEAST: f64 = 1e-3;

/// Places along one screw.
#[derive(Clone, Debug)]
pub struct Axis(Vec<f64>);

impl Axis {
    /// At these clicks off the true setting.
    pub fn of(clicks: &[f64]) -> Self {
        Self(clicks.iter().map(|click| click / CLICKS).collect())
    }

    /// The two places around so many turns, and the share of the second; beyond the ends the last.
    fn around(&self, turns: f64) -> ([usize; 2], f64) {
        let last = self.0.len() - 1;
        let above = self.0.partition_point(|place| *place < turns);
        if above == 0 || above > last {
            let end = above.min(last);
            return ([end, end], 0.0);
        }
        let (low, high) = (self.0[above - 1], self.0[above]);
        ([above - 1, above], (turns - low) / (high - low))
    }

    /// The nearest place.
    fn nearest(&self, turns: f64) -> usize {
        let ([low, high], share) = self.around(turns);
        if share < 0.5 { low } else { high }
    }
}

/// The beliefs.
#[derive(Clone, Debug)]
pub struct Belief {
    library: Arc<Library>,
    /// Logarithms of the weights, up to a constant.
    weights: Vec<f64>,
}

fn gauss(difference: f64, size: f64) -> f64 {
    // With a floor: what no engine of the library shows is still possible.
    let x = (difference / size).abs().min(4.0);
    -0.5 * x * x
}

/// Logarithm of how likely `heard` is where an engine of the library shows `shown`.
fn likely(heard: &Signs, shown: &Signs, numbers: [Option<f64>; 3]) -> f64 {
    let dying = match (heard.died_at, shown.died_at) {
        (None, None) => 0.0,
        (Some(a), Some(b)) if a == b => DYING[0].ln(),
        (Some(_), Some(_)) => DYING[1].ln(),
        _ => DYING[2].ln(),
    };
    let words = heard.words.iter().zip(&shown.words).map(|pair| match pair {
        (None, None) => 0.0,
        (Some(a), Some(b)) => WORDS[usize::from(a.abs_diff(*b)).min(2)].ln(),
        _ => WORDS[3].ln(),
    });
    let [idle, full, pinch] = numbers;
    let of = |heard: Option<f64>, shown: Option<f64>, size: fn(f64) -> f64| match (heard, shown) {
        (Some(heard), Some(shown)) => gauss(heard - shown, size(shown)),
        (None, None) => 0.0,
        _ => WORDS[3].ln(),
    };
    dying
        + TEMPER * words.sum::<f64>()
        + of(heard.idle_rpm, idle, |_| IDLE_RPM)
        + of(heard.full_rpm, full, |rpm| FULL_SHARE * rpm)
        + of(heard.pinch_s, pinch, |_| PINCH_S)
}

impl Belief {
    /// Before anything is heard.
    pub fn new(library: Arc<Library>) -> Self {
        let weights = vec![0.0; library.beliefs.len()];
        Self { library, weights }
    }

    /// How far a belief's engine stands from its true setting, once the screws have been turned so far.
    fn off(&self, belief: usize, turned: [f64; 3]) -> (usize, [f64; 3]) {
        let (engine, start) = self.library.beliefs[belief];
        (engine, [0, 1, 2].map(|screw| start[screw] + turned[screw]))
    }

    /// A number that an engine shows so far off, between places in straight lines; none where any of them shows none.
    fn number(&self, engine: usize, off: [f64; 3], of: fn(&Signs) -> Option<f64>) -> Option<f64> {
        let around = [0, 1, 2].map(|screw| self.library.axes[screw].around(off[screw]));
        let mut sum = 0.0;
        for corner in 0..8_usize {
            let side = [0, 1, 2].map(|screw| corner >> screw & 1);
            let share: f64 = [0, 1, 2]
                .map(|screw| {
                    if side[screw] == 1 {
                        around[screw].1
                    } else {
                        1.0 - around[screw].1
                    }
                })
                .iter()
                .product();
            if share > 0.0 {
                let place = [0, 1, 2].map(|screw| around[screw].0[side[screw]]);
                sum += share * of(self.library.signs(engine, place))?;
            }
        }
        Some(sum)
    }

    /// Takes in what a round of tests has shown with the screws turned so far.
    pub fn take_in(&mut self, heard: &Signs, turned: [f64; 3]) {
        let likely: Vec<f64> = (0..self.weights.len())
            .map(|belief| {
                let (engine, off) = self.off(belief, turned);
                let place = [0, 1, 2].map(|screw| self.library.axes[screw].nearest(off[screw]));
                let shown = self.library.signs(engine, place);
                let number = |of: fn(&Signs) -> Option<f64>| self.number(engine, off, of).or_else(|| of(shown));
                let numbers = [number(|s| s.idle_rpm), number(|s| s.full_rpm), number(|s| s.pinch_s)];
                likely(heard, shown, numbers)
            })
            .collect();
        for (weight, likely) in self.weights.iter_mut().zip(likely) {
            *weight += likely;
        }
        let most = self.weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        for weight in &mut self.weights {
            *weight -= most;
        }
    }

    /// The beliefs worth looking at, each with its share.
    fn shares(&self) -> Vec<(usize, f64)> {
        let weighed = self.weights.iter().map(|weight| weight.exp()).enumerate();
        let kept: Vec<(usize, f64)> = weighed.filter(|(_, share)| *share > LEAST).collect();
        let sum: f64 = kept.iter().map(|(_, share)| share).sum();
        kept.into_iter().map(|(belief, share)| (belief, share / sum)).collect()
    }

    /// How likely the setting is clean.
    pub fn clean_share(&self, turned: [f64; 3]) -> f64 {
        let clean = self.shares().into_iter().filter(|(belief, _)| {
            let (engine, [high, low, _]) = self.off(*belief, turned);
            self.library.clean(engine, high, low)
        });
        clean.map(|(_, share)| share).sum()
    }

    /// The turns of high and low that are expected to cost least, and what they cost: one for each needle that is turned, and `again`
    /// where it is not clean then.
    pub fn best_turns(&self, turned: [f64; 3], again: f64) -> ([f64; 2], f64) {
        let shares = self.shares();
        let places: Vec<(usize, f64, f64, f64)> = shares
            .iter()
            .map(|(belief, share)| {
                let (engine, [high, low, _]) = self.off(*belief, turned);
                (engine, high, low, *share)
            })
            .collect();
        let mut best = ([0.0, 0.0], f64::INFINITY);
        for high in -FAR_HIGH..=FAR_HIGH {
            for low in -FAR_LOW..=FAR_LOW {
                let made = f64::from(u8::from(high != 0) + u8::from(low != 0));
                if made == 0.0 || made >= best.1 {
                    continue;
                }
                let turns = [f64::from(high) / CLICKS, f64::from(low) / CLICKS];
                let clean: f64 = places
                    .iter()
                    .filter(|(engine, h, l, _)| self.library.clean(*engine, h + turns[0], l + turns[1]))
                    .map(|(.., share)| share)
                    .sum();
                // Nobody knows the cost of what comes after it; that it may be signed off unclean is a part of it.
                let cost = made + (1.0 - clean) * (again + 0.05 * NOT_CLEAN);
                // Of two as good the shorter way.
                let short = 1e-4 * f64::from(high.abs() + low.abs());
                if cost + short < best.1 {
                    best = (turns, cost + short);
                }
            }
        }
        best
    }

    /// The trim of the idle stop that brings the idle to `target_rpm` once the needles have been turned to `after`: from the idle that
    /// was read, by what the beliefs expect of the change.
    pub fn trim(&self, before: [f64; 3], after: [f64; 3], read_rpm: Option<f64>, target_rpm: f64) -> f64 {
        let shares = self.shares();
        let expected = |turned: [f64; 3]| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for (belief, share) in &shares {
                let (engine, off) = self.off(*belief, turned);
                if let Some(rpm) = self.number(engine, off, |signs| signs.idle_rpm) {
                    sum += share * rpm;
                    weight += share;
                }
            }
            (weight > 0.2).then(|| sum / weight)
        };
        let error = match (read_rpm, expected(before)) {
            (Some(read), Some(expected)) => read - expected,
            _ => 0.0,
        };
        let trims = (-20..=20).map(|click| f64::from(click) / CLICKS);
        let off = trims.filter_map(|trim| {
            let there = expected([after[0], after[1], after[2] + trim])? + error;
            // A trim is free, and yet a small one is better than a large one as good.
            Some((trim, (there - target_rpm).abs() + 100.0 * trim.abs()))
        });
        off.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0.0, |(trim, _)| trim)
    }
}
