//! What is believed of the engine at hand: many engines of the library, each with its screws off by so much at the start, weighed by how
//! well they show what was heard (Bayes' rule; findings that hang together count for less).

use std::sync::Arc;

use super::CLICKS;
use super::library::Library;
use super::tests::Signs;
use crate::tuning::strategy::findings::FINDINGS;

/// How far off numbers are between two engines that stand alike, and what hands and eyes add (assumed): rpm of an idle, share of a full
/// throttle, s of a pinch test, K of a head.
const IDLE_RPM: f64 = 350.0;
const FULL_SHARE: f64 = 0.015;
const PINCH_S: f64 = 0.3;
const HEAD_C: f64 = 8.0;
/// How likely the same word is, its neighbour, any other, and one where the other says nothing (assumed).
const WORDS: [f64; 4] = [0.7, 0.25, 0.05, 0.3];
/// How likely it is that both die in the same test, in different ones, and that only one does (assumed).
const DYING: [f64; 3] = [0.6, 0.35, 0.05];
/// What a finding counts beside others that tell the same; and what one counts that tells of one needle alone (assumed).
const TEMPER: f64 = 0.4;
const TELLING: [&str; 2] = ["full", "plug"];
/// How far off the change of full throttle is from one round to the next: an engine that is slower than another stays slower (assumed).
const CHANGE_SHARE: f64 = 0.004;
/// Farthest turns that are looked at, and steps of the idle stop, clicks.
const FAR: i32 = 24;
const IDLE_STEP: i32 = 3;
/// Beliefs that are less likely than this share of the likeliest are not looked ahead from.
const LEAST: f64 = 1e-3;

/// The beliefs.
#[derive(Clone, Debug)]
pub struct Belief {
    library: Arc<Library>,
    /// Logarithms of the weights, up to a constant.
    weights: Vec<f64>,
    /// Full throttle in the last round that had it, rpm, and how far the screws were turned then.
    full: Option<(f64, [f64; 3])>,
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
    let words = heard
        .words
        .iter()
        .zip(&shown.words)
        .zip(FINDINGS)
        .map(|(pair, finding)| {
            let counts = if TELLING.contains(&finding.name) { 1.0 } else { TEMPER };
            counts
                * match pair {
                    // What was not listened for tells nothing.
                    (None, _) => 0.0,
                    (Some(a), Some(b)) => WORDS[usize::from(a.abs_diff(*b)).min(2)].ln(),
                    (Some(_), None) => WORDS[3].ln(),
                }
        });
    let [idle, pinch, head] = numbers;
    let of = |heard: Option<f64>, shown: Option<f64>, size: f64| match (heard, shown) {
        (Some(heard), Some(shown)) => gauss(heard - shown, size),
        (None, _) => 0.0,
        (Some(_), None) => WORDS[3].ln(),
    };
    dying
        + words.sum::<f64>()
        + of(heard.idle_rpm, idle, IDLE_RPM)
        + of(heard.pinch_s, pinch, PINCH_S)
        + of(heard.head_c, head, HEAD_C)
}

impl Belief {
    /// Before anything is heard.
    pub fn new(library: Arc<Library>) -> Self {
        let weights = vec![0.0; library.beliefs.len()];
        Self {
            library,
            weights,
            full: None,
        }
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

    /// How likely full throttle is at so many rpm: by itself the first time, then by its change.
    fn full_rpm(&self, belief: usize, heard: Option<f64>, turned: [f64; 3]) -> f64 {
        let expected = |turned| {
            let (engine, off) = self.off(belief, turned);
            self.number(engine, off, |signs| signs.full_rpm)
        };
        let (Some(heard), Some(shown)) = (heard, expected(turned)) else {
            return 0.0;
        };
        match self.full.and_then(|(rpm, then)| Some((rpm, expected(then)?))) {
            Some((before, shown_before)) => gauss(heard / before - shown / shown_before, CHANGE_SHARE),
            None => gauss(heard / shown - 1.0, FULL_SHARE),
        }
    }

    /// Takes in what a round of tests has shown with the screws turned so far, of which it counts so much: what the library has wrong
    /// it has wrong each time.
    pub fn take_in(&mut self, heard: &Signs, turned: [f64; 3], counts: f64) {
        let likely: Vec<f64> = (0..self.weights.len())
            .map(|belief| {
                let (engine, off) = self.off(belief, turned);
                let shown = self.library.signs(engine, self.library.nearest(off));
                let number = |of: fn(&Signs) -> Option<f64>| self.number(engine, off, of).or_else(|| of(shown));
                let numbers = [number(|s| s.idle_rpm), number(|s| s.pinch_s), number(|s| s.head_c)];
                counts * (likely(heard, shown, numbers) + self.full_rpm(belief, heard.full_rpm, turned))
            })
            .collect();
        if let Some(full_rpm) = heard.full_rpm {
            self.full = Some((full_rpm, turned));
        }
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

    /// How far the screws are believed to stand from the true setting, turns.
    #[cfg(test)]
    pub fn mean(&self, turned: [f64; 3]) -> [f64; 3] {
        let shares = self.shares();
        [0, 1, 2].map(|screw| {
            shares
                .iter()
                .map(|(belief, share)| share * self.off(*belief, turned).1[screw])
                .sum()
        })
    }

    /// How likely the setting is clean.
    pub fn clean_share(&self, turned: [f64; 3]) -> f64 {
        let clean = self.shares().into_iter().map(|(belief, share)| {
            let (engine, off) = self.off(belief, turned);
            share * self.clean(engine, off)
        });
        clean.sum()
    }

    /// How likely an engine like this one is clean there: half of it as this one is, half as it is a click of a needle beside, for no
    /// two are quite alike.
    fn clean(&self, engine: usize, [high, low, idle]: [f64; 3]) -> f64 {
        let is = |high: f64, low: f64| f64::from(u8::from(self.library.clean(engine, [high, low, idle])));
        let click = 1.0 / CLICKS;
        let beside = is(high - click, low) + is(high + click, low) + is(high, low - click) + is(high, low + click);
        0.5 * is(high, low) + 0.125 * beside
    }

    /// The turns of high, low and idle stop after which signing off is expected to cost least, at `not_clean` for what is not clean and
    /// one for each needle that is turned; how many those are, and how likely it is clean then. Trims cost nothing.
    pub fn best_turns(&self, turned: [f64; 3], not_clean: f64) -> ([f64; 3], f64, f64) {
        let places: Vec<(usize, [f64; 3], f64)> = self
            .shares()
            .into_iter()
            .map(|(belief, share)| {
                let (engine, off) = self.off(belief, turned);
                (engine, off, share)
            })
            .collect();
        // A setting is clean within some clicks of the true one, so no turn is worth a look that leads no belief there.
        let reach = |screw: usize, far: i32| -> Vec<f64> {
            let least = places
                .iter()
                .map(|(_, off, _)| -off[screw])
                .fold(f64::INFINITY, f64::min)
                * CLICKS;
            let most = places
                .iter()
                .map(|(_, off, _)| -off[screw])
                .fold(f64::NEG_INFINITY, f64::max)
                * CLICKS;
            let within = |click: &i32| *click == 0 || (least - 4.0..=most + 4.0).contains(&f64::from(*click));
            (-far..=far)
                .filter(within)
                .map(|click| f64::from(click) / CLICKS)
                .collect()
        };
        let (highs, lows, idles) = (reach(0, FAR), reach(1, FAR), reach(2, FAR));
        let mut best = ([0.0; 3], 0.0, 0.0);
        let mut least = f64::INFINITY;
        for high in &highs {
            for low in &lows {
                let made = f64::from(u8::from(*high != 0.0) + u8::from(*low != 0.0));
                if made >= least {
                    continue;
                }
                for idle in idles.iter().filter(|idle| (*idle * CLICKS) as i32 % IDLE_STEP == 0) {
                    let turns = [*high, *low, *idle];
                    if turns == [0.0; 3] {
                        continue;
                    }
                    let there = |off: &[f64; 3]| [0, 1, 2].map(|screw| off[screw] + turns[screw]);
                    let clean = places
                        .iter()
                        .filter(|(engine, off, _)| self.library.clean(*engine, there(off)));
                    let clean: f64 = clean.map(|(.., share)| share).sum();
                    // Of two as good the shorter way.
                    let short = 1e-3 * (high.abs() + low.abs() + 0.3 * idle.abs());
                    let cost = made + (1.0 - clean) * not_clean + short;
                    if cost < least {
                        (least, best) = (cost, (turns, made, clean));
                    }
                }
            }
        }
        best
    }
}
