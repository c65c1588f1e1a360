//! The rows around the reference: how they stand there, what every constant does to each by a small change
//! as far as that can be believed, and which rows the reference holds by more than luck. The ensemble is drawn on it, and what is determined is told from it.

use std::collections::BTreeMap;
use std::path::Path;

use nalgebra::DMatrix;
use needlebench::bench::symptoms::Quantity;
use needlebench::engine::params::Setting;
use needlebench::insight::fit::covariance;
use needlebench::noise::{Channel, Noise};
use rayon::prelude::*;

use crate::constants::{Free, Trial, free};
use crate::others::{Other, others};
use crate::rows::{compressed, jumps, measure, measure_soon, one_check};
use crate::search::Problem;
use crate::{PULL, WANTED_MARGIN, reference};

/// Deviation of a uniform draw, in widths of its range.
const UNIFORM: f64 = 0.288_675;
/// Grains of dust under which a row must not move to have a slope, and a change under which it must hold to be held by more than luck.
const DUST: f64 = 1e-6;
const DUSTY: f64 = 0.01;
const LUCK: f64 = 1e-3;
/// Places at which linear predictions are tried, and how far they are from the reference, in deviations of each constant.
const AWAY: u64 = 16;
const AWAY_BY: f64 = 0.05;
/// What was missed before may be missed by so much more, in units of its row.
const WORSE: f64 = 0.5;

/// The rows around the reference, looked at once.
pub struct Ground {
    pub start: Trial,
    pub setting: Setting,
    pub list: Vec<Free>,
    pub point: Vec<f64>,
    pub bounds: Vec<(f64, f64)>,
    pub quantities: Vec<Quantity>,
    pub margins: Vec<f64>,
    pub slopes: DMatrix<f64>,
    /// Rows that hold, by what seed and path ever: the quantities of each.
    pub held: Vec<Vec<usize>>,
    /// Rows that do not.
    pub missed: Vec<Vec<usize>>,
    pub seed: u64,
    /// The other engines, which have to go on being set, too.
    pub others: Vec<Other>,
}

/// The quantities of each row of the table: of every seed together; of the clean island every check of every place by itself.
fn rows_of(quantities: &[Quantity]) -> Vec<Vec<usize>> {
    let mut rows: BTreeMap<(&str, &str, usize), Vec<usize>> = BTreeMap::new();
    for (i, q) in quantities.iter().enumerate().filter(|(_, q)| q.row != "guide") {
        let own = if one_check(q.row) { i } else { 0 };
        rows.entry((q.row, q.name, own)).or_default().push(i);
    }
    rows.into_values().collect()
}

fn margins(quantities: &[Quantity]) -> Vec<f64> {
    quantities.iter().map(|q| compressed(q.margin())).collect()
}

impl Ground {
    /// Looks at the reference and at a small change of every constant.
    pub fn look(seed: u64, keep: Option<&Path>) -> Self {
        let (setup, setting) = reference();
        let start = Trial::of(&setup, setting);
        let list = free();
        let place = |f: &Free| {
            let mut trial = start;
            trial.slot(f.place).map_or(1.0, |v| v.clamp(f.low, f.high)).ln()
        };
        let point: Vec<f64> = list.iter().map(place).collect();
        let bounds: Vec<(f64, f64)> = list.iter().map(|f| (f.low.ln(), f.high.ln())).collect();
        let at = |point: &[f64]| margins(&measure(&start.at(&list, point, setting).setup, setting, seed));
        let quantities = measure(&start.at(&list, &point, setting).setup, setting, seed);
        let found = margins(&quantities);
        let jumpy: Vec<bool> = quantities.iter().map(jumps).collect();
        let problem = Problem {
            margins: &at,
            weights: &[],
            jumpy: &jumpy,
            wanted: WANTED_MARGIN,
            bounds: &bounds,
            guesses: &point,
            pull: PULL,
        };
        let derivatives = kept(keep, "slopes.json", || {
            let slopes = problem.derivatives(&point, &found);
            slopes.row_iter().map(|row| row.iter().copied().collect()).collect()
        });
        let mut slopes = DMatrix::from_fn(found.len(), point.len(), |i, j| derivatives[i][j]);
        // Chaotic rows have no slope; what holds by luck of a seed, or of the last digits, is not held.
        let about = |k: u64, by: &dyn Fn(usize) -> f64| -> Vec<f64> {
            let chance = Noise::new(k, 0, Channel::Choice);
            let moved = |j: usize| point[j] + by(j) * chance.between(j as u64, -1.0, 1.0);
            (0..point.len())
                .map(|j| moved(j).clamp(bounds[j].0, bounds[j].1))
                .collect()
        };
        let dusted = (1..=4).map(|k| (about(k, &|_| DUST), seed));
        let beside = (5..=8).map(|k| (about(k, &|_| LUCK), seed));
        let other_seeds = [100, 200].map(|more| (point.clone(), seed + more));
        let places: Vec<(Vec<f64>, u64)> = dusted.chain(beside).chain(other_seeds).collect();
        let looks: Vec<Vec<f64>> = places
            .par_iter()
            .map(|(point, seed)| margins(&measure(&start.at(&list, point, setting).setup, setting, *seed)))
            .collect();
        for i in 0..found.len() {
            if looks[..4].iter().any(|look| (look[i] - found[i]).abs() > DUSTY) {
                slopes.row_mut(i).fill(0.0);
            }
        }
        let far = |j: usize| AWAY_BY * 0.5 * (bounds[j].1 - bounds[j].0);
        let away: Vec<Vec<f64>> = (0..AWAY).map(|k| about(9 + k, &far)).collect();
        let seen: Vec<Vec<f64>> = away.par_iter().map(|place| at(place)).collect();
        tried(&mut slopes, (&point, &found), &away, &seen);
        let as_written = margins(&measure(&start.setup, setting, seed));
        let all = || looks.iter().chain([&found, &as_written]);
        let (held, missed) = rows_of(&quantities)
            .into_iter()
            .partition(|row| row.iter().all(|i| all().all(|look| look[*i] >= 0.0)));
        Self {
            start,
            setting,
            list,
            point,
            bounds,
            quantities,
            margins: found,
            slopes,
            held,
            missed,
            seed,
            others: others(),
        }
    }

    /// Of each row that is held and has a slope, the quantity with the least margin.
    pub fn held_worst(&self) -> Vec<usize> {
        let smooth = |i: &&usize| self.slopes.row(**i).iter().any(|slope| *slope != 0.0);
        let worst = |row: &Vec<usize>| {
            let least = |a: &&usize, b: &&usize| self.margins[**a].total_cmp(&self.margins[**b]);
            row.iter().filter(smooth).min_by(least).copied()
        };
        self.held.iter().filter_map(worst).collect()
    }

    /// The row and name of a quantity.
    pub fn name_of(&self, i: usize) -> String {
        let q = &self.quantities[i];
        format!("{} {}", q.row, q.name)
    }

    pub fn trial(&self, point: &[f64]) -> Trial {
        self.start.at(&self.list, point, self.setting)
    }

    /// The first margins at a point, as far as they are measured soon.
    pub fn margins_soon(&self, point: &[f64]) -> Vec<f64> {
        margins(&measure_soon(&self.trial(point).setup, self.setting, self.seed))
    }

    /// All margins at a point.
    pub fn margins_at(&self, point: &[f64]) -> Vec<f64> {
        margins(&measure(&self.trial(point).setup, self.setting, self.seed))
    }

    /// The least margin of a row's quantities, beyond what it may be.
    fn short(&self, row: &[usize], margins: &[f64], held: bool) -> f64 {
        let worst = |of: &[f64]| row.iter().map(|i| of[*i]).fold(f64::INFINITY, f64::min);
        let least = if held {
            0.0
        } else {
            worst(&self.margins).min(0.0) - WORSE
        };
        worst(margins) - least
    }

    /// Rows that the reference holds and these margins (all, or the first of them) do not, and those that it misses and these miss by
    /// notably more: the first quantity of each, and by how much.
    pub fn broken(&self, margins: &[f64]) -> Vec<(usize, f64)> {
        let held = self.held.iter().map(|row| (row, true));
        let rows = held.chain(self.missed.iter().map(|row| (row, false)));
        rows.filter(|(row, _)| row.iter().all(|i| *i < margins.len()))
            .map(|(row, held)| (row[0], self.short(row, margins, held)))
            .filter(|(_, short)| *short < 0.0)
            .collect()
    }

    /// The rows that break, and by how much (negative), where one constant alone goes by so much of its range and the reference stays
    /// otherwise: looked at. None where its range ends before.
    pub fn broken_by(&self, j: usize, share: f64) -> Option<Vec<(usize, f64)>> {
        let (low, high) = self.bounds[j];
        let mut point = self.point.clone();
        point[j] += share * (high - low);
        (low..=high).contains(&point[j]).then(|| {
            let mut broken = self.broken(&self.margins_at(&point));
            broken.sort_by(|a, b| a.1.total_cmp(&b.1));
            broken
        })
    }

    /// Weights of rows: one allows what it has beyond its limit, and half a unit is what nobody would notice.
    pub fn row_weights(&self, rows: &[usize]) -> Vec<f64> {
        rows.iter()
            .map(|i| (self.margins[*i].max(0.0) + 0.5).powi(-2))
            .collect()
    }

    /// What the linearised rows leave open of the constants' ranges: a covariance.
    pub fn left_open(&self) -> DMatrix<f64> {
        let rows = self.held_worst();
        let slopes = DMatrix::from_fn(rows.len(), self.list.len(), |i, j| self.slopes[(rows[i], j)]);
        let pulls: Vec<f64> = (0..self.list.len()).map(|j| self.deviation(j).powi(-2)).collect();
        covariance(&slopes, &self.row_weights(&rows), &pulls).expect("pulls are positive")
    }

    /// Deviation of a uniform draw from a constant's range, of its logarithm.
    pub fn deviation(&self, j: usize) -> f64 {
        UNIFORM * (self.bounds[j].1 - self.bounds[j].0)
    }
}

/// Tries linear predictions at places a few steps away: no slope for a row that they don't tell better than nothing would.
fn tried(slopes: &mut DMatrix<f64>, (point, found): (&[f64], &[f64]), away: &[Vec<f64>], seen: &[Vec<f64>]) {
    for i in 0..found.len() {
        let (mut missed, mut moved) = (0.0, 0.0);
        for (place, seen) in away.iter().zip(seen) {
            let predicted: f64 = (0..point.len()).map(|j| slopes[(i, j)] * (place[j] - point[j])).sum();
            missed += (seen[i] - found[i] - predicted).powi(2);
            moved += (seen[i] - found[i]).powi(2);
        }
        if missed > 0.5 * moved {
            slopes.row_mut(i).fill(0.0);
        }
    }
}

/// Numbers kept in a file of a folder, if it is there; else the new ones, and then they are kept.
pub fn kept(folder: Option<&Path>, name: &str, new: impl FnOnce() -> Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let Some(file) = folder.map(|folder| folder.join(name)) else {
        return new();
    };
    if let Ok(text) = std::fs::read_to_string(&file) {
        return serde_json::from_str(&text).expect("numbers kept before");
    }
    let numbers = new();
    let text = serde_json::to_string(&numbers).expect("numbers");
    std::fs::write(file, text).expect("a folder to keep numbers in");
    numbers
}
