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
//! There the rows are looked at: a step that breaks too much is tried shorter, and one that still does is not taken. So what a set holds
//! was looked at, not promised by a linear model, and what stands in no row's way ends at its draw. What it breaks is told.
//!
//! `--slopes FILE` keeps the derivatives there, and reads them if it is there already.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::time::Instant;

use needlebench::bench::symptoms::Quantity;
use needlebench::config::ensemble::{Column, EngineSets, Ensemble};
use needlebench::config::{EngineModel, models, reference_setup};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams};
use needlebench::noise::{Channel, Noise};
use needlebench::parameters::{Key, Origin};
use rayon::prelude::*;

use crate::constants::Trial;
use crate::engines::SIZES;
use crate::ground::Ground;
use crate::rows::measure;
use crate::{determined, next, sets_file, write_text};

/// A constant that moves no margin by more than this over half of its range is bound by nothing.
const BINDS: f64 = 0.15;
/// Constants that go at a time, how often each gets its turn, and the shares of what is left of their way that are tried.
const AT_A_TIME: usize = 5;
const PASSES: usize = 2;
const SHARES: [f64; 3] = [1.0, 0.4, 0.15];
/// Deviation of the constants that only give way, over that of those which go.
const GIVES_WAY: f64 = 0.2;
/// Rows that a set may break, each by at most so much, in units of its row.
const BREAKS: usize = 4;
const BREAKS_BY: f64 = 2.0;
impl Ground {
    /// Whether so much may be broken.
    fn bearable(&self, broken: &[(usize, f64)]) -> bool {
        let names: BTreeSet<&str> = broken.iter().map(|(i, _)| self.quantities[*i].name).collect();
        names.len() <= BREAKS && broken.iter().all(|(_, short)| *short > -BREAKS_BY)
    }

    /// The constants in the order in which they go: first all that move no row, then the others, some at a time and each so often.
    fn turns(&self, chance: Noise) -> Vec<Vec<usize>> {
        let (bound, free): (Vec<usize>, Vec<usize>) = (0..self.list.len()).partition(|j| self.moves(*j) > BINDS);
        let mut turns = vec![free];
        for pass in 0..PASSES {
            let drawn = bound
                .iter()
                .map(|j| (chance.between((1000 * (pass + 1) + j) as u64, 0.0, 1.0), *j));
            let mut order: Vec<(f64, usize)> = drawn.collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0));
            turns.extend(
                order
                    .chunks(AT_A_TIME)
                    .map(|some| some.iter().map(|(_, j)| *j).collect()),
            );
        }
        turns
    }

    /// One set.
    fn draw(&self, set: u64, seed: u64) -> Drawn {
        let chance = Noise::new(seed, set, Channel::Choice);
        let uniform = |(j, (low, high)): (usize, &(f64, f64))| chance.between(j as u64, *low, *high);
        let draw: Vec<f64> = self.bounds.iter().enumerate().map(uniform).collect();
        let (mut point, mut margins) = (self.point.clone(), self.margins.clone());
        let (mut looks, mut taken) = (0, [0; SHARES.len()]);
        let mut stood_in_the_way = Vec::new();
        for going in self.turns(chance) {
            for (k, share) in SHARES.iter().enumerate() {
                let mut to = point.clone();
                let mut deviations: Vec<f64> = (0..to.len()).map(|j| GIVES_WAY * self.deviation(j)).collect();
                for j in &going {
                    to[*j] += share * (draw[*j] - to[*j]);
                    deviations[*j] = self.deviation(*j);
                }
                let there = self.corrected(&point, &margins, &to, &deviations);
                let found = self.margins_at(&there);
                looks += 1;
                let broken = self.broken(&found);
                if self.bearable(&broken) {
                    taken[k] += 1;
                    (point, margins) = (there, found);
                    break;
                }
                stood_in_the_way.extend(broken.iter().map(|(i, _)| *i));
            }
        }
        Drawn {
            broken: self.broken(&margins),
            point,
            looks,
            taken,
            stood_in_the_way,
        }
    }
}

/// A set of the reference engine: its constants, the rows that it breaks and by how much, how many looks it took, how many steps of each
/// length were taken, and the rows that broke on the way.
struct Drawn {
    point: Vec<f64>,
    broken: Vec<(usize, f64)>,
    looks: usize,
    taken: [usize; SHARES.len()],
    stood_in_the_way: Vec<usize>,
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
            let told = |(i, short): &(usize, f64)| format!("{} by {:.2}", ground.name_of(*i), -short);
            println!(
                "{:.0} s: set {}: {} looks, {:?} steps of {SHARES:?}, misses {}: {}",
                clock.elapsed().as_secs_f64(),
                set + 1,
                drawn.looks,
                drawn.taken,
                drawn.broken.len(),
                drawn.broken.iter().map(told).collect::<Vec<_>>().join("; ")
            );
            drawn
        })
        .collect();
    let mut obstacles: BTreeMap<String, usize> = BTreeMap::new();
    for i in drawn.iter().flat_map(|d| &d.stood_in_the_way) {
        *obstacles.entry(ground.name_of(*i)).or_default() += 1;
    }
    let mut obstacles: Vec<(String, usize)> = obstacles.into_iter().collect();
    obstacles.sort_by(|a, b| b.1.cmp(&a.1));
    println!("what stood in the way, and how often:");
    for (row, times) in obstacles.iter().take(25) {
        println!("{times:6} {row}");
    }
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
