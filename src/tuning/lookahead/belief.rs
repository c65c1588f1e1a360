//! What is believed of the engine at hand: many engines of the library, each with its screws off by so much at the start, weighed by how
//! well they show what was heard (Bayes' rule; findings that hang together count for less).

use std::sync::Arc;

use rand_distr::{Distribution, StandardNormal};

use super::CLICKS;
use super::alike::NUMBERS;
use super::library::{Library, SEED};
use super::signs::Signs;
use crate::chance::{Chance, Generator};
use crate::noise::Channel;
use crate::tuning::strategy::findings::FINDINGS;

/// How likely it is that both die in the same test, in different ones, and that only one does (assumed).
const DYING: [f64; 3] = [0.6, 0.35, 0.05];
/// What a finding counts beside others that tell the same; what tells of one needle alone counts whole (assumed).
const TEMPER: f64 = 0.4;
const TELLING: [&str; 3] = ["full", "pinch", "plug"];
/// Farthest turns that are looked at, and steps of the idle stop, clicks.
const FAR: i32 = 24;
const IDLE_STEP: i32 = 3;
/// Beliefs that are less likely than this share of the likeliest are not looked ahead from.
const LEAST: f64 = 1e-3;

/// How far beliefs are spread that are drawn anew around likely ones, clicks of high, low and idle stop: half of what a clean setting is
/// wide.
const SPREAD: [f64; 3] = [1.5, 1.0, 4.0];

/// What a round of tests has shown.
#[derive(Clone, Debug)]
struct Shown {
    signs: Signs,
    /// With the screws turned so far.
    turned: [f64; 3],
    /// How much it counts.
    counts: f64,
}

/// The beliefs.
#[derive(Clone, Debug)]
pub struct Belief {
    library: Arc<Library>,
    /// An engine, and how far its screws stood from the true setting at the start, turns.
    beliefs: Vec<(usize, [f64; 3])>,
    /// Logarithms of their weights, up to a constant.
    weights: Vec<f64>,
    /// All rounds.
    rounds: Vec<Shown>,
}

/// Logarithm of how likely it dies in one test, or in none, where an engine of the library dies in another.
fn dying(heard: Option<usize>, shown: Option<usize>) -> f64 {
    match (heard, shown) {
        (None, None) => 0.0,
        (Some(a), Some(b)) if a == b => DYING[0].ln(),
        (Some(_), Some(_)) => DYING[1].ln(),
        _ => DYING[2].ln(),
    }
}

fn normal(generator: &mut Generator) -> f64 {
    StandardNormal.sample(generator)
}

/// How likely a belief was to be drawn around these, up to a constant.
fn drawn((engine, start): (usize, [f64; 3]), sources: &[((usize, [f64; 3]), f64)]) -> f64 {
    let same = sources.iter().filter(|((source, _), _)| *source == engine);
    let near = same.map(|((_, around), share)| {
        let square = |screw: usize| ((start[screw] - around[screw]) * CLICKS / SPREAD[screw]).powi(2);
        share * (-0.5 * [0, 1, 2].map(square).iter().sum::<f64>()).exp()
    });
    // Nothing that was drawn is so far from where it was.
    near.sum::<f64>().max(f64::MIN_POSITIVE)
}

impl Belief {
    /// Before anything is heard.
    pub fn new(library: Arc<Library>) -> Self {
        let beliefs = library.beliefs.clone();
        Self {
            weights: vec![0.0; beliefs.len()],
            beliefs,
            library,
            rounds: Vec::new(),
        }
    }

    /// How far a belief's engine stands from its true setting, once the screws have been turned so far.
    fn off(&self, belief: usize, turned: [f64; 3]) -> (usize, [f64; 3]) {
        let (engine, start) = self.beliefs[belief];
        (engine, [0, 1, 2].map(|screw| start[screw] + turned[screw]))
    }

    /// Logarithm of how likely an engine of the library shows what was heard, so far off.
    fn likely(&self, heard: &Signs, engine: usize, off: [f64; 3]) -> f64 {
        let (shown, alike) = (self.library.shown(engine), &self.library.alike);
        let around = shown.around(off);
        let numbers = (0..NUMBERS.len()).map(|which| alike.number_around(which, heard, &around));
        let words = FINDINGS.iter().enumerate().map(|(finding, named)| {
            let Some(heard) = heard.words[finding] else { return 0.0 };
            let counts = if TELLING.contains(&named.name) { 1.0 } else { TEMPER };
            counts * alike.word_around(finding, heard, &around).ln()
        });
        dying(heard.died_at, shown.nearest(off).died_at) + numbers.sum::<f64>() + words.sum::<f64>()
    }

    /// Takes in what a round of tests has shown with the screws turned so far, of which it counts so much. Then
    /// beliefs are drawn anew around the likely ones, for those of the beginning are few where it matters
    /// (population Monte Carlo, Cappé and others 2004: each weighs what it explains, over how likely it was to be drawn).
    pub fn take_in(&mut self, signs: Signs, turned: [f64; 3], counts: f64) {
        let round = Shown { signs, turned, counts };
        for belief in 0..self.weights.len() {
            self.weights[belief] += self.explains(&round, self.beliefs[belief]);
        }
        self.rounds.push(round);
        let sources: Vec<((usize, [f64; 3]), f64)> = self
            .shares()
            .into_iter()
            .map(|(belief, share)| (self.beliefs[belief], share))
            .collect();
        let mut generator = Chance::new(SEED, self.rounds.len() as u64).of(Channel::Choice, 0);
        let count = self.beliefs.len();
        let mut reached = 0.0;
        let mut from = sources.iter();
        let mut source = from.next();
        self.beliefs = (0..count)
            .filter_map(|number| {
                // Each source as often as it has shares, to the next whole.
                while let Some((_, share)) = source
                    && reached + share < (number as f64 + 0.5) / count as f64
                {
                    reached += share;
                    source = from.next();
                }
                let (engine, start) = source.or(sources.last())?.0;
                Some((
                    engine,
                    [0, 1, 2].map(|screw| start[screw] + SPREAD[screw] / CLICKS * normal(&mut generator)),
                ))
            })
            .collect();
        self.weights = self
            .beliefs
            .iter()
            .map(|belief| {
                let explained: f64 = self.rounds.iter().map(|round| self.explains(round, *belief)).sum();
                explained - drawn(*belief, &sources).ln()
            })
            .collect();
    }

    /// Logarithm of how well a belief explains what a round has shown.
    fn explains(&self, round: &Shown, (engine, start): (usize, [f64; 3])) -> f64 {
        let off = [0, 1, 2].map(|screw| start[screw] + round.turned[screw]);
        round.counts * self.likely(&round.signs, engine, off)
    }

    /// The beliefs worth looking at, each with its share.
    fn shares(&self) -> Vec<(usize, f64)> {
        let most = self.weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weighed = self.weights.iter().map(|weight| (weight - most).exp()).enumerate();
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
            share * self.library.clean(engine, off)
        });
        clean.sum()
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
                    let clean: f64 = places
                        .iter()
                        .map(|(engine, off, share)| share * self.library.clean(*engine, there(off)))
                        .sum();
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
