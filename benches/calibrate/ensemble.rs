//! Draws the ensemble: sets of constants that hold the rows which the reference holds, and differ wherever the rows leave it open.
//!
//! ```text
//! cargo bench --bench calibrate -- ensemble --seed 1 --sets 32           # draw, print, change nothing
//! cargo bench --bench calibrate -- ensemble --seed 1 --sets 32 --write   # and write models/ensemble.toml
//! ```
//!
//! Each set begins at a draw of all assumed constants, uniform over the logarithms of what is believed of them. From the reference it goes
//! there some constants at a time, in an order of its own; where they go is the point nearest to their draw at which the rows, by
//! derivatives that all sets share, are as wanted, the other constants giving way a little (randomised maximum likelihood, `insight::fit`).
//! There the rows are looked at: a step that breaks one is halved, and one that still does is not taken. So a set holds the rows by having
//! been looked at, not by a linear promise, and what stands in no row's way ends at its draw.
//!
//! `--slopes FILE` keeps the derivatives there, and reads them if it is there already.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use nalgebra::DMatrix;
use needlebench::bench::symptoms::Quantity;
use needlebench::config::ensemble::{Column, EngineSets, Ensemble};
use needlebench::config::{EngineModel, models, reference_setup};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams, Setting};
use needlebench::insight::fit::{Pull, Rows, nearest};
use needlebench::noise::{Channel, Noise};
use needlebench::parameters::{Key, Origin};
use rayon::prelude::*;

use crate::constants::{Free, Trial, free};
use crate::engines::SIZES;
use crate::rows::{compressed, jumps, measure};
use crate::search::Problem;
use crate::{PULL, WANTED_MARGIN, determined, next, reference, sets_file, write_text};

/// Deviation of a uniform draw, in widths of its range.
const UNIFORM: f64 = 0.288_675;
/// Error of a row that the linear step allows, in units of its margin.
const ERROR: f64 = 0.1;
/// A constant that moves no margin by more than this over half of its range is bound by nothing.
const BINDS: f64 = 0.15;
/// Constants that go at a time, and how often each gets its turn.
const AT_A_TIME: usize = 8;
const PASSES: usize = 2;
/// Deviation of the constants that only give way, over that of those which go.
const GIVES_WAY: f64 = 0.2;
/// Grains of dust under which a row must not move to have a slope, and a change under which it must hold to be held by more than luck.
const DUST: f64 = 1e-6;
const DUSTY: f64 = 0.01;
const LUCK: f64 = 1e-3;
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
    held: Vec<Vec<usize>>,
    /// Rows that do not.
    missed: Vec<Vec<usize>>,
    seed: u64,
}

/// The quantities of each row of the table: of every seed together; of the clean island every check of every place by itself.
fn rows_of(quantities: &[Quantity]) -> Vec<Vec<usize>> {
    let mut rows: BTreeMap<(&str, &str, usize), Vec<usize>> = BTreeMap::new();
    for (i, q) in quantities.iter().enumerate().filter(|(_, q)| q.row != "guide") {
        let own = if q.row == "click" { i } else { 0 };
        rows.entry((q.row, q.name, own)).or_default().push(i);
    }
    rows.into_values().collect()
}

fn margins(quantities: &[Quantity]) -> Vec<f64> {
    quantities.iter().map(|q| compressed(q.margin())).collect()
}

impl Ground {
    /// Looks at the reference and at a small change of every constant.
    pub fn look(seed: u64, slopes_file: Option<&Path>) -> Self {
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
        let mut slopes = kept(slopes_file, || problem.derivatives(&point, &found));
        // Chaotic rows have no slope; what holds by luck of a seed, or of the last digits, is not held.
        let moved = |k: u64, by: f64| -> Vec<f64> {
            let chance = Noise::new(k, 0, Channel::Choice);
            (0..point.len())
                .map(|j| point[j] + chance.between(j as u64, -by, by))
                .collect()
        };
        let places: Vec<(Vec<f64>, u64)> = (1..=4)
            .map(|k| (moved(k, DUST), seed))
            .chain((5..=8).map(|k| (moved(k, LUCK), seed)))
            .chain([(point.clone(), seed + 100), (point.clone(), seed + 200)])
            .collect();
        let looks: Vec<Vec<f64>> = places
            .par_iter()
            .map(|(point, seed)| margins(&measure(&start.at(&list, point, setting).setup, setting, *seed)))
            .collect();
        for i in 0..found.len() {
            if looks[..4].iter().any(|look| (look[i] - found[i]).abs() > DUSTY) {
                slopes.row_mut(i).fill(0.0);
            }
        }
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
        name(&self.quantities[i])
    }

    fn trial(&self, point: &[f64]) -> Trial {
        self.start.at(&self.list, point, self.setting)
    }

    fn margins_at(&self, point: &[f64]) -> Vec<f64> {
        margins(&measure(&self.trial(point).setup, self.setting, self.seed))
    }

    /// The largest that a constant moves any margin over half of its range.
    fn moves(&self, j: usize) -> f64 {
        let half = 0.5 * (self.bounds[j].1 - self.bounds[j].0);
        self.slopes
            .column(j)
            .iter()
            .map(|slope| (slope * half).abs())
            .fold(0.0, f64::max)
    }

    /// Rows that the reference holds and these margins do not, and those that it misses and these miss by notably more.
    fn broken(&self, margins: &[f64]) -> Vec<usize> {
        let held = self.held.iter().filter(|row| row.iter().any(|i| margins[*i] < 0.0));
        let worst = |row: &[usize], of: &[f64]| row.iter().map(|i| of[*i]).fold(f64::INFINITY, f64::min);
        let worse = self
            .missed
            .iter()
            .filter(|row| worst(row, margins) < worst(row, &self.margins).min(0.0) - WORSE);
        held.chain(worse).map(|row| row[0]).collect()
    }

    /// The nearest point to `to`, in deviations, at which the rows, linear from `from`, are as wanted.
    fn corrected(&self, from: &[f64], margins: &[f64], to: &[f64], deviations: &[f64]) -> Vec<f64> {
        let lacks: Vec<f64> = margins
            .iter()
            .zip(&self.margins)
            .map(|(now, reference)| reference.min(WANTED_MARGIN) - now)
            .collect();
        let weight = |q: &Quantity| if q.row == "guide" { 0.1 } else { 1.0 } / (ERROR * ERROR);
        let weights: Vec<f64> = self.quantities.iter().map(weight).collect();
        let pulls: Vec<f64> = deviations.iter().map(|deviation| deviation.powi(-2)).collect();
        let rows = Rows {
            slopes: &self.slopes,
            lacks: &lacks,
            weights: &weights,
            at_least: &vec![true; lacks.len()],
            worst: f64::INFINITY,
        };
        nearest(&rows, &Pull { to, weights: &pulls }, from, &self.bounds)
    }

    /// Deviation of a uniform draw from a constant's range, of its logarithm.
    pub fn deviation(&self, j: usize) -> f64 {
        UNIFORM * (self.bounds[j].1 - self.bounds[j].0)
    }

    /// The constants in the order in which they go: first all that move no row, then the others, some at a time and each so often.
    fn turns(&self, chance: Noise) -> Vec<Vec<usize>> {
        let (bound, free): (Vec<usize>, Vec<usize>) = (0..self.list.len()).partition(|j| self.moves(*j) > BINDS);
        let mut turns = vec![free];
        for pass in 0..PASSES {
            let mut order: Vec<(f64, usize)> = bound
                .iter()
                .map(|j| (chance.between((1000 * (pass + 1) + j) as u64, 0.0, 1.0), *j))
                .collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0));
            let order: Vec<usize> = order.into_iter().map(|(_, j)| j).collect();
            turns.extend(order.chunks(AT_A_TIME).map(<[usize]>::to_vec));
        }
        turns
    }

    /// One set.
    fn draw(&self, set: u64, seed: u64) -> Drawn {
        let chance = Noise::new(seed, set, Channel::Choice);
        let uniform = |(j, (low, high)): (usize, &(f64, f64))| chance.between(j as u64, *low, *high);
        let draw: Vec<f64> = self.bounds.iter().enumerate().map(uniform).collect();
        let (mut point, mut margins) = (self.point.clone(), self.margins.clone());
        let (mut looks, mut taken, mut halved) = (0, 0, 0);
        for going in self.turns(chance) {
            for share in [1.0, 0.5] {
                let mut to = point.clone();
                let mut deviations: Vec<f64> = (0..to.len()).map(|j| GIVES_WAY * self.deviation(j)).collect();
                for j in &going {
                    to[*j] += share * (draw[*j] - to[*j]);
                    deviations[*j] = self.deviation(*j);
                }
                let there = self.corrected(&point, &margins, &to, &deviations);
                let found = self.margins_at(&there);
                looks += 1;
                if self.broken(&found).is_empty() {
                    if share < 1.0 {
                        halved += 1
                    } else {
                        taken += 1
                    }
                    (point, margins) = (there, found);
                    break;
                }
            }
        }
        Drawn {
            broken: self.broken(&margins),
            point,
            looks,
            taken,
            halved,
        }
    }
}

/// A set of the reference engine: its constants, the rows that it breaks, and how many looks, steps and half steps led there.
struct Drawn {
    point: Vec<f64>,
    broken: Vec<usize>,
    looks: usize,
    taken: usize,
    halved: usize,
}

/// The derivatives kept in a file, if it is there; else the new ones, and then they are kept.
fn kept(file: Option<&Path>, new: impl FnOnce() -> DMatrix<f64>) -> DMatrix<f64> {
    let Some(file) = file else { return new() };
    if let Ok(text) = std::fs::read_to_string(file) {
        let rows: Vec<Vec<f64>> = serde_json::from_str(&text).expect("derivatives kept before");
        return DMatrix::from_fn(rows.len(), rows[0].len(), |i, j| rows[i][j]);
    }
    let slopes = new();
    let rows: Vec<Vec<f64>> = slopes.row_iter().map(|row| row.iter().copied().collect()).collect();
    let text = serde_json::to_string(&rows).expect("numbers");
    std::fs::write(file, text).expect("a place to keep derivatives");
    slopes
}

/// Draws so many sets and tells how they stand; writes them if wanted.
pub fn make(seed: u64, sets: usize, write: bool, slopes: Option<&Path>) {
    let clock = Instant::now();
    let ground = Ground::look(1, slopes);
    println!(
        "{:.0} s: {} constants, {} numbers; the reference holds {} rows and misses {}",
        clock.elapsed().as_secs_f64(),
        ground.list.len(),
        ground.margins.len(),
        ground.held.len(),
        ground.missed.len()
    );
    let drawn: Vec<Drawn> = (0..sets as u64)
        .into_par_iter()
        .map(|set| {
            let drawn = ground.draw(set, seed);
            let names: Vec<String> = drawn.broken.iter().map(|i| name(&ground.quantities[*i])).collect();
            println!(
                "{:.0} s: set {}: {} looks, {} steps and {} half ones, misses {}: {}",
                clock.elapsed().as_secs_f64(),
                set + 1,
                drawn.looks,
                drawn.taken,
                drawn.halved,
                names.len(),
                names.join("; ")
            );
            drawn
        })
        .collect();
    let trials: Vec<Trial> = drawn.iter().map(|d| ground.trial(&d.point)).collect();
    let points: Vec<Vec<f64>> = drawn.into_iter().map(|d| d.point).collect();
    determined::tell(&ground, &points, write);
    let tables: Vec<Vec<Quantity>> = trials
        .par_iter()
        .map(|trial| measure(&trial.setup, ground.setting, ground.seed))
        .collect();
    next::tell(&tables, write);
    let text = sets_file::text(&gathered(&ground, &trials, seed));
    println!("{:.0} s", clock.elapsed().as_secs_f64());
    if write {
        write_text("ensemble.toml", &text);
    }
}

fn name(q: &Quantity) -> String {
    format!("{} {}", q.row, q.name)
}

/// The sets as the file has them: the reference engine's as drawn, the others' in proportion, each engine tuned to its own mixtures.
fn gathered(ground: &Ground, trials: &[Trial], seed: u64) -> Ensemble {
    let laws: Vec<LawParams> = trials.iter().map(|t| t.setup.laws).collect();
    let engines = ["offroad-3.5"].into_iter().chain(SIZES.iter().map(|size| size.name));
    let engines = engines.map(|engine| {
        let (model, setup) = reference_setup(engine).expect("built in");
        let params: Vec<EngineParams> = trials
            .par_iter()
            .map(|drawn| in_proportion(&model, &setup, &ground.start.setup, drawn))
            .collect();
        let columns = columns(EngineParams::GROUPS, |group, key| {
            let of = |params: &EngineParams| *{ *params }.get_mut(group, key).expect("declared");
            (of(&setup.engine), params.iter().map(of).collect())
        });
        EngineSets {
            engine: model_name(engine),
            columns,
            misses: vec![Vec::new(); trials.len()],
        }
    });
    Ensemble {
        sets: trials.len(),
        seed,
        engines: engines.collect(),
        laws: columns(LawParams::GROUPS, |group, key| {
            let of = |laws: &LawParams| *{ *laws }.get_mut(group, key).expect("declared");
            (of(&ground.start.setup.laws), laws.iter().map(of).collect())
        }),
    }
}

fn model_name(engine: &str) -> &'static str {
    let names = models::engine_names();
    names.into_iter().find(|name| *name == engine).expect("built in")
}

/// An engine by the constants of a set that was drawn for the reference engine: its own assumed ones moved in the same proportion,
/// then tuned until its reference setting meters and idles as it does now.
fn in_proportion(model: &EngineModel, setup: &Setup, reference: &Setup, drawn: &Trial) -> EngineParams {
    if setup.engine == reference.engine {
        return drawn.setup.engine;
    }
    let mut trial = Trial::of(setup, model.reference);
    trial.setup.laws = drawn.setup.laws;
    let (mut from, mut to) = (reference.engine, drawn.setup.engine);
    for (group, keys) in EngineParams::GROUPS {
        for key in keys.iter().filter(|key| key.origin == Origin::assumed) {
            let [from, to] = [&mut from, &mut to].map(|params| params.get_mut(group, key.name).map_or(1.0, |v| *v));
            if let Some(value) = trial.setup.engine.get_mut(group, key.name) {
                *value = (*value * to / from).clamp(key.low, key.high);
            }
        }
    }
    trial.retune(model.reference);
    trial.setup.engine
}

/// The constants that differ from the reference's in any set; `of` gives that, and what the sets have.
fn columns(
    groups: &'static [(&'static str, &'static [Key])],
    of: impl Fn(&str, &str) -> (f64, Vec<f64>),
) -> Vec<Column> {
    let all = groups
        .iter()
        .flat_map(|(group, keys)| keys.iter().map(move |key| (*group, key)));
    let columns = all.map(|(group, key)| {
        let (reference, values) = of(group, key.name);
        (reference, Column { group, key, values })
    });
    columns
        .filter(|(reference, column)| column.values.iter().any(|value| value != reference))
        .map(|(_, column)| column)
        .collect()
}
