//! The search: a damped Gauss-Newton step on what the rows still lack, which sees all rows and all constants at once.
//!
//! Each row wants a margin; what it lacks is a residual, and one that lacks nothing costs nothing. The derivatives of all
//! margins by the logarithms of all constants come from one small change each. The linearised problem, a sum of squared hinges
//! with a pull of every constant towards where one would have guessed it, is solved for several dampings; each answer is tried on
//! the model itself, and the best is kept. So constants that no row binds stay at their guess. The model is not smooth, and one row of
//! an engine that fires irregularly can block every step: most tries weigh the rows by chance, so what one sees another does not.

use nalgebra::DMatrix;
use needlebench::insight::fit::{Pull, Rows, nearest};
use needlebench::noise::{Channel, Noise};
use rayon::prelude::*;

/// A small change of one logarithm, for a derivative.
const CHANGE: f64 = 0.03;
/// A change of the logarithms that should change no margin by more than `DUSTY`.
const DUST: f64 = 1e-6;
const DUSTY: f64 = 0.01;
/// Margins change by at most this much per unit of logarithm: beyond, a dead engine speaks.
const STEEPEST: f64 = 500.0;
/// A row can lack no more than this.
const WORST: f64 = 6.0;
/// Steps tried from one set of derivatives.
const TRIES: usize = 18;
/// Largest step of one logarithm.
const LONGEST: f64 = 0.25;

/// What the search needs to know of a problem with as many unknowns as `start` has.
pub struct Problem<'a> {
    /// Margins of all rows at a point; the same rows in the same order at every point. Shared between threads.
    pub margins: &'a (dyn Fn(&[f64]) -> Vec<f64> + Sync),
    /// Weight of each margin.
    pub weights: &'a [f64],
    /// Margins that jump from one count to the next: they say which point is better, but their slopes say nothing.
    pub jumpy: &'a [bool],
    /// The margin that every row should have.
    pub wanted: f64,
    /// Lowest and highest value of each unknown.
    pub bounds: &'a [(f64, f64)],
    /// Where each unknown would be guessed.
    pub guesses: &'a [f64],
    /// Cost of a unit squared away from the guess.
    pub pull: f64,
}

impl Problem<'_> {
    fn lack(&self, margin: f64) -> f64 {
        (self.wanted - margin).clamp(0.0, WORST)
    }

    /// Cost of a point with these margins.
    pub fn cost(&self, point: &[f64], margins: &[f64]) -> f64 {
        let rows: f64 = margins
            .iter()
            .zip(self.weights)
            .map(|(m, w)| w * self.lack(*m).powi(2))
            .sum();
        rows + self.pull
            * point
                .iter()
                .zip(self.guesses)
                .map(|(x, g)| (x - g) * (x - g))
                .sum::<f64>()
    }

    fn inside(&self, point: &[f64]) -> Vec<f64> {
        point.iter().zip(self.bounds).map(|(x, b)| x.clamp(b.0, b.1)).collect()
    }

    /// Derivatives of all margins: one row per margin.
    pub fn derivatives(&self, point: &[f64], margins: &[f64]) -> DMatrix<f64> {
        let columns: Vec<Vec<f64>> = (0..point.len())
            .into_par_iter()
            .map(|j| {
                let mut moved = point.to_vec();
                let change = if point[j] + CHANGE <= self.bounds[j].1 {
                    CHANGE
                } else {
                    -CHANGE
                };
                moved[j] += change;
                let there = (self.margins)(&moved);
                there
                    .iter()
                    .zip(margins)
                    .map(|(a, b)| ((a - b) / change).clamp(-STEEPEST, STEEPEST))
                    .collect()
            })
            .collect();
        // Where a grain of dust changes a margin, its slope is noise: an engine that fires irregularly is chaotic.
        let dusted: Vec<f64> = point
            .iter()
            .enumerate()
            .map(|(j, x)| x + if j % 2 == 0 { DUST } else { -DUST })
            .collect();
        let chaotic: Vec<bool> = (self.margins)(&dusted)
            .iter()
            .zip(margins)
            .map(|(a, b)| (a - b).abs() > DUSTY)
            .collect();
        DMatrix::from_fn(margins.len(), point.len(), |i, j| {
            if self.jumpy[i] || chaotic[i] {
                0.0
            } else {
                columns[j][i]
            }
        })
    }

    /// The step that the linearised problem wants under this damping: a pull to where one stands, and a little one to the guess.
    fn step(&self, point: &[f64], margins: &[f64], slopes: &DMatrix<f64>, damping: f64, weights: &[f64]) -> Vec<f64> {
        let pull = damping + self.pull;
        let to = point.iter().zip(self.guesses);
        let to: Vec<f64> = to.map(|(x, g)| (damping * x + self.pull * g) / pull).collect();
        let lacks: Vec<f64> = margins.iter().map(|margin| self.wanted - margin).collect();
        let near = point.iter().zip(self.bounds);
        let bounds: Vec<(f64, f64)> = near
            .map(|(x, b)| (b.0.max(x - LONGEST), b.1.min(x + LONGEST)))
            .collect();
        let rows = Rows {
            slopes,
            lacks: &lacks,
            weights,
            at_least: &vec![true; lacks.len()],
            worst: WORST,
        };
        let weights = vec![pull; point.len()];
        nearest(
            &rows,
            &Pull {
                to: &to,
                weights: &weights,
            },
            point,
            &bounds,
        )
    }

    /// Searches from `start` for `rounds`, telling `watch` the round, the cost and the point; returns the best point.
    pub fn search(&self, start: &[f64], rounds: usize, mut watch: impl FnMut(usize, f64, &[f64])) -> Vec<f64> {
        let mut point = self.inside(start);
        let mut margins = (self.margins)(&point);
        let mut cost = self.cost(&point, &margins);
        watch(0, cost, &point);
        let mut dampings = [3.0, 10.0, 30.0, 100.0, 300.0, 1000.0];
        for round in 1..=rounds {
            let slopes = self.derivatives(&point, &margins);
            let before = cost;
            // One set of derivatives serves a few steps; where none helps, shorter ones may.
            for again in 0..5 {
                let chance = Noise::new(again, round as u64, Channel::Choice);
                let tried: Vec<(f64, f64, Vec<f64>, Vec<f64>)> = (0..TRIES)
                    .into_par_iter()
                    .map(|k| {
                        let damping = dampings[k % dampings.len()];
                        let weight = |(i, weight): (usize, &f64)| {
                            let drawn = chance.between((k * margins.len() + i) as u64, 1e-6, 1.0);
                            if k < dampings.len() {
                                *weight
                            } else {
                                -weight * drawn.ln()
                            }
                        };
                        let weights: Vec<f64> = self.weights.iter().enumerate().map(weight).collect();
                        let there = self.inside(&self.step(&point, &margins, &slopes, damping, &weights));
                        let margins = (self.margins)(&there);
                        (self.cost(&there, &margins), damping, there, margins)
                    })
                    .collect();
                match tried.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)) {
                    Some((next, damping, there, measured)) if next < cost * 0.995 => {
                        (cost, point, margins) = (next, there, measured);
                        let centre = (damping / dampings[2]).clamp(0.3, 3.0);
                        dampings = dampings.map(|d| (d * centre).clamp(0.01, 1e5));
                        watch(round, cost, &point);
                    }
                    _ if dampings[0] < 1e4 => dampings = dampings.map(|d| d * 8.0),
                    _ => break,
                }
            }
            if cost > before * 0.995 {
                break;
            }
        }
        point
    }
}
