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
//! `--keep FOLDER` keeps the derivatives and each set there as it is drawn, and reads what is there already: so a run can be broken off.

use std::collections::BTreeSet;
use std::path::Path;
use std::time::Instant;

use needlebench::bench::symptoms::Quantity;
use needlebench::config::ensemble::{Column, EngineSets, Ensemble};
use needlebench::config::{EngineModel, Source, models, reference_setup};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams};
use needlebench::noise::{Channel, Noise};
use needlebench::parameters::{Key, Origin};
use rayon::prelude::*;

use crate::constants::Trial;
use crate::engines::SIZES;
use crate::ground::{Ground, kept};
use crate::misses::Look;
use crate::rows::CLEAN;
use crate::{determined, next, sets_file, write_text};

/// Constants that go at a time, how often each gets its turn, and the shares of what is left of their way that are tried.
const AT_A_TIME: usize = 4;
const PASSES: usize = 1;
const SHARES: [f64; 3] = [1.0, 0.4, 0.15];
/// Deviation of the constants that only give way, over that of those which go.
const GIVES_WAY: f64 = 0.2;
/// The engine that sets are drawn on.
const REFERENCE: &str = "offroad-3.5";
/// Rows that a set may break, each by at most so much, in units of its row.
const BREAKS: usize = 4;
const BREAKS_BY: f64 = 1.0;
impl Ground {
    /// Whether so much may be broken.
    fn bearable(&self, broken: &[(usize, f64)]) -> bool {
        // One that is not clean where it should be is of no use to anybody.
        if broken.iter().any(|(i, _)| self.quantities[*i].row == CLEAN) {
            return false;
        }
        let names: BTreeSet<&str> = broken.iter().map(|(i, _)| self.quantities[*i].name).collect();
        names.len() <= BREAKS && broken.iter().all(|(_, short)| *short > -BREAKS_BY)
    }

    /// The constants in the order in which they go, some at a time and each so often.
    fn turns(&self, chance: Noise) -> Vec<Vec<usize>> {
        let mut turns = Vec::new();
        for pass in 0..PASSES {
            let place = |j: usize| chance.between((1000 * (pass + 1) + j) as u64, 0.0, 1.0);
            let mut order: Vec<(f64, usize)> = (0..self.list.len()).map(|j| (place(j), j)).collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0));
            let chunks = order.chunks(AT_A_TIME);
            turns.extend(chunks.map(|some| some.iter().map(|(_, j)| *j).collect()));
        }
        turns
    }

    /// One set: where it ended, and how it came there in words.
    fn draw(&self, set: u64, seed: u64) -> (Vec<f64>, String) {
        let chance = Noise::new(seed, set, Channel::Choice);
        let uniform = |(j, (low, high)): (usize, &(f64, f64))| chance.between(j as u64, *low, *high);
        let draw: Vec<f64> = self.bounds.iter().enumerate().map(uniform).collect();
        let (mut point, mut margins) = (self.point.clone(), self.margins.clone());
        let (mut looks, mut taken) = (0, [0; SHARES.len()]);
        for going in self.turns(chance) {
            for (k, share) in SHARES.iter().enumerate() {
                let mut to = point.clone();
                let mut deviations: Vec<f64> = (0..to.len()).map(|j| GIVES_WAY * self.deviation(j)).collect();
                for j in &going {
                    to[*j] += share * (draw[*j] - to[*j]);
                    deviations[*j] = self.deviation(*j);
                }
                let there = self.corrected(&point, &margins, &to, &deviations);
                looks += 1;
                // Most that is not borne shows soon.
                if !self.bearable(&self.broken(&self.margins_soon(&there))) {
                    continue;
                }
                let found = self.margins_at(&there);
                if self.bearable(&self.broken(&found)) {
                    taken[k] += 1;
                    (point, margins) = (there, found);
                    break;
                }
            }
        }
        let broken = self.broken(&margins).into_iter();
        let broken: Vec<String> = broken
            .map(|(i, short)| format!("{} by {:.2}", self.name_of(i), -short))
            .collect();
        let told = format!(
            "{looks} looks, {taken:?} steps of {SHARES:?}, breaks {}: {}",
            broken.len(),
            broken.join("; ")
        );
        (point, told)
    }
}

/// Draws so many sets and tells how they stand; writes them if wanted.
pub fn make(seed: u64, sets: usize, write: bool, keep: Option<&Path>) {
    let clock = Instant::now();
    let ground = Ground::look(1, keep);
    println!(
        "{:.0} s: {} constants, {} numbers; the reference holds {} rows and misses {}",
        clock.elapsed().as_secs_f64(),
        ground.list.len(),
        ground.margins.len(),
        ground.held.len(),
        ground.missed.len()
    );
    // One after the other as cores come free, so that a run broken off has the first ones.
    let mut points: Vec<(u64, Vec<f64>)> = (0..sets as u64)
        .par_bridge()
        .map(|set| {
            let drawn = || {
                let (point, told) = ground.draw(set, seed);
                println!("{:.0} s: set {}: {told}", clock.elapsed().as_secs_f64(), set + 1);
                vec![point]
            };
            (set, kept(keep, &format!("set-{seed}-{set}.json"), drawn).swap_remove(0))
        })
        .collect();
    points.sort_by_key(|(set, _)| *set);
    let points: Vec<Vec<f64>> = points.into_iter().map(|(_, point)| point).collect();
    determined::tell(&ground, &points, write);
    let trials: Vec<Trial> = points.iter().map(|point| ground.trial(point)).collect();
    let text = sets_file::text(&gathered(&ground, &trials, seed));
    // As everybody will read it: its digits are rounded, and some rows hang on less.
    let mut ensemble = Ensemble::read(&Source::new("ensemble.toml", &text)).expect("as it was written");
    for engine in models::engine_names() {
        let (model, setup) = reference_setup(engine).expect("built in");
        let (look, sets) = (Look::at(&model, &setup), ensemble.setups(engine, &setup));
        let tables: Vec<Vec<Quantity>> = sets.par_iter().map(|set| look.table(set)).collect();
        let misses: Vec<Vec<String>> = tables.iter().map(|table| look.missed(table)).collect();
        let all: usize = misses.iter().map(Vec::len).sum();
        println!(
            "{:.0} s: {engine}: {all} rows missed in {} sets, none in {}",
            clock.elapsed().as_secs_f64(),
            misses.len(),
            misses.iter().filter(|rows| rows.is_empty()).count()
        );
        if engine == REFERENCE {
            next::tell(&tables, write);
        }
        let own = ensemble.engines.iter_mut().find(|own| own.engine == engine);
        own.expect("gathered").misses = misses;
    }
    if write {
        write_text("ensemble.toml", &sets_file::text(&ensemble));
    }
}

/// The sets as the file has them: the reference engine's as drawn, the others' in proportion, each engine tuned to its own mixtures.
fn gathered(ground: &Ground, trials: &[Trial], seed: u64) -> Ensemble {
    let laws: Vec<LawParams> = trials.iter().map(|t| t.setup.laws).collect();
    let engines = [REFERENCE].into_iter().chain(SIZES.iter().map(|size| size.name));
    let engines = engines.map(|engine| {
        let (model, setup) = reference_setup(engine).expect("built in");
        let params: Vec<EngineParams> = if engine == REFERENCE {
            trials.iter().map(|drawn| drawn.setup.engine).collect()
        } else {
            let look = Look::at(&model, &setup);
            let best = |drawn: &Trial| {
                let tries =
                    SHARES_OF_OTHERS.map(|share| in_proportion(&model, &setup, &ground.start.setup, drawn, share));
                // Above all clean where it should be.
                let missed = |trial: &Trial| {
                    let rows = look.missed(&look.table(&trial.setup));
                    (rows.iter().filter(|row| row.starts_with(CLEAN)).count(), rows.len())
                };
                let best = tries.iter().min_by_key(|trial| missed(trial));
                best.map_or(setup.engine, |trial| trial.setup.engine)
            };
            trials.par_iter().map(best).collect()
        };
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

/// Shares of the reference engine's way that another engine's own constants are tried at.
const SHARES_OF_OTHERS: [f64; 3] = [1.0, 0.5, 0.0];

/// An engine by the constants of a set that was drawn for the reference engine: the laws', and its own assumed ones moved in the same
/// proportion or a share of it, then tuned until its reference setting meters and idles as it does now.
fn in_proportion(model: &EngineModel, setup: &Setup, reference: &Setup, drawn: &Trial, share: f64) -> Trial {
    let mut trial = Trial::of(setup, model.reference);
    trial.setup.laws = drawn.setup.laws;
    let (mut from, mut to) = (reference.engine, drawn.setup.engine);
    for (group, keys) in EngineParams::GROUPS {
        for key in keys.iter().filter(|key| key.origin == Origin::assumed) {
            let [from, to] = [&mut from, &mut to].map(|params| params.get_mut(group, key.name).map_or(1.0, |v| *v));
            if let Some(value) = trial.setup.engine.get_mut(group, key.name) {
                *value = (*value * (to / from).powf(share)).clamp(key.low, key.high);
            }
        }
    }
    trial.retune(model.reference);
    trial
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
