//! Draws the ensemble: sets of constants that hold the rows which the reference holds, and differ wherever the rows leave it open.
//!
//! ```text
//! cargo bench --bench calibrate -- ensemble --seed 1 --sets 32           # draw, print, change nothing
//! cargo bench --bench calibrate -- ensemble --seed 1 --sets 32 --write   # and write models/ensemble.toml
//! ```
//!
//! Chains of slice sampling (`insight::slice`) begin at the reference and go one constant after the other, in an order of their own. What
//! they draw from is even over each constant's range (of its logarithm), times the likelihood that what a row lacks is no more than an
//! error of so much: looked at, not promised by a linear model. The sign-offs of the reference setting and of a click
//! beside it hold altogether, and each other engine is clean at its own. In every other step, by chance, those constants give way that the linearised rows say it acts together with. So a constant that stands in no row's way ends anywhere in
//! its range, and one that rows bind ends within what they allow. Sets are the places of the chains each time a share of all constants has
//! had its turn.
//!
//! `--keep FOLDER` keeps the derivatives and each set there as it is drawn, and reads what is there already: so a run can be broken off.

use std::path::Path;
use std::time::Instant;

use needlebench::bench::symptoms::Quantity;
use needlebench::config::ensemble::{Column, EngineSets, Ensemble};
use needlebench::config::{Source, models, reference_setup};
use needlebench::engine::params::{EngineParams, LawParams};
use needlebench::insight::slice::{along, step_chance};
use needlebench::parameters::Key;
use rayon::prelude::*;

use crate::constants::Trial;
use crate::engines::OTHERS;
use crate::ground::{Ground, kept};
use crate::misses::{Look, UNNOTICED};
use crate::rows::needed;
use crate::{determined, next, sets_file, write_text};

/// What a row may lack before anybody would notice, in units of it: one standard error.
const NOTICED: f64 = 0.3;
/// A set is drawn each time one constant in so many has had its turn.
const A_SET: usize = 3;
/// Chains that are drawn side by side.
const CHAINS: u64 = 4;
/// Places along a direction that are looked at before a constant stays as it is.
const TRIES: u64 = 5;
/// A constant gives way that moves by more than this share of its deviation.
const GIVES_WAY: f64 = 0.02;
/// The engine that sets are drawn on.
const REFERENCE: &str = "offroad-3.5";

/// Where a chain stands.
struct Chain {
    number: u64,
    seed: u64,
    steps: u64,
    /// The constants whose turn is still to come in this round.
    order: Vec<usize>,
    point: Vec<f64>,
    /// How unlikely its rows are there.
    unlikely: f64,
}

impl Chain {
    /// The constant whose turn it is.
    fn next(&mut self, constants: usize) -> usize {
        if self.order.is_empty() {
            let chance = step_chance(self.seed, self.number, self.steps);
            let mut order: Vec<(f64, usize)> = (0..constants)
                .map(|j| (chance.between(100 + j as u64, 0.0, 1.0), j))
                .collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0));
            self.order = order.into_iter().map(|(_, j)| j).collect();
        }
        self.order.pop().expect("constants")
    }
}

impl Ground {
    /// Twice the logarithm of how much less likely these margins are than rows that all hold, by what the reference holds and they do not,
    /// and what it misses and they miss by notably more.
    fn unlikely(&self, margins: &[f64]) -> f64 {
        let of = |(i, short): (usize, f64)| {
            if needed(self.quantities[i].row) {
                f64::INFINITY
            } else {
                (short / NOTICED).powi(2)
            }
        };
        self.broken(margins).into_iter().map(of).sum()
    }

    /// The same at a point, if it is at most so much; most that is not shows soon.
    fn unlikely_at(&self, point: &[f64], most: f64) -> Option<f64> {
        let soon = self.unlikely(&self.margins_soon(point));
        let all = (soon <= most).then(|| self.unlikely(&self.margins_at(point)));
        let likely = all.filter(|unlikely| *unlikely <= most);
        likely.filter(|_| self.others.iter().all(|other| other.can_be_set(&self.trial(point))))
    }

    /// The constants that move with each, by the regression of what the rows leave open.
    fn together(&self) -> Vec<Vec<f64>> {
        let open = self.left_open();
        let n = self.list.len();
        let direction = |j: usize| {
            let share = |i: usize| open[(i, j)] / open[(j, j)] * self.deviation(j) / self.deviation(i);
            let moves = |i: usize| {
                if share(i).abs() < GIVES_WAY {
                    0.0
                } else {
                    open[(i, j)] / open[(j, j)]
                }
            };
            (0..n).map(moves).collect()
        };
        (0..n).map(direction).collect()
    }

    /// A chain a share of all constants further; what it looked at, and what moved.
    fn go_on(&self, chain: &mut Chain, together: &[Vec<f64>]) -> (usize, usize) {
        let n = self.list.len();
        let (mut looks, mut moved) = (0, 0);
        for _ in 0..n.div_ceil(A_SET) {
            let j = chain.next(n);
            let chance = step_chance(chain.seed, chain.number, chain.steps);
            chain.steps += 1;
            let alone: Vec<f64> = (0..n).map(|i| f64::from(u8::from(i == j))).collect();
            let direction = if chance.between(99, 0.0, 1.0) < 0.5 {
                &alone
            } else {
                &together[j]
            };
            // The slice: what is likelier than a share, drawn uniformly, of where the chain stands.
            let level = chain.unlikely - 2.0 * chance.between(98, 0.0, 1.0).ln();
            let mut there = chain.unlikely;
            let to = along(&chain.point, direction, &self.bounds, chance, TRIES, |point| {
                looks += 1;
                self.unlikely_at(point, level)
                    .inspect(|unlikely| there = *unlikely)
                    .is_some()
            });
            moved += usize::from(to != chain.point);
            (chain.point, chain.unlikely) = (to, there);
        }
        (looks, moved)
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
    let together = ground.together();
    // What the first of a chain are is known early, so that a run broken off has them.
    let drawn: Vec<Vec<(u64, Vec<f64>)>> = (0..CHAINS.min(sets as u64))
        .into_par_iter()
        .map(|number| {
            let (mut chain, start) = (
                Chain {
                    number,
                    seed,
                    steps: 0,
                    order: Vec::new(),
                    point: ground.point.clone(),
                    unlikely: 0.0,
                },
                Instant::now(),
            );
            let mut sets_of = Vec::new();
            for set in (number..sets as u64).step_by(CHAINS as usize) {
                let drawn = || {
                    let (looks, moved) = ground.go_on(&mut chain, &together);
                    println!(
                        "{:.0} s: set {}: {looks} looks, {moved} constants moved, rows {:.1} less likely",
                        start.elapsed().as_secs_f64(),
                        set + 1,
                        chain.unlikely
                    );
                    vec![
                        chain.point.clone(),
                        vec![chain.steps as f64, chain.unlikely],
                        chain.order.iter().map(|j| *j as f64).collect(),
                    ]
                };
                let mut there = kept(keep, &format!("set-{seed}-{set}.json"), drawn);
                chain.order = there
                    .pop()
                    .unwrap_or_default()
                    .into_iter()
                    .map(|j| j as usize)
                    .collect();
                let stands = there.pop().expect("kept as it was");
                (chain.steps, chain.unlikely) = (stands[0] as u64, stands[1]);
                chain.point = there.swap_remove(0);
                sets_of.push((set, chain.point.clone()));
            }
            sets_of
        })
        .collect();
    let mut points: Vec<(u64, Vec<f64>)> = drawn.into_iter().flatten().collect();
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
        let misses: Vec<Vec<String>> = tables.iter().map(|table| look.missed(table, UNNOTICED)).collect();
        let count = |misses: &[Vec<String>]| {
            let all: usize = misses.iter().map(Vec::len).sum();
            let none = misses.iter().filter(|rows| rows.is_empty()).count();
            format!("{all}, none in {none} of {} sets", misses.len())
        };
        let at_all: Vec<Vec<String>> = tables.iter().map(|table| look.missed(table, 0.0)).collect();
        println!(
            "{:.0} s: {engine}: rows missed by more than {UNNOTICED} of a unit: {}; at all: {}",
            clock.elapsed().as_secs_f64(),
            count(&misses),
            count(&at_all)
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
    let engines = [REFERENCE].into_iter().chain(OTHERS);
    let engines = engines.map(|engine| {
        let (_, setup) = reference_setup(engine).expect("built in");
        let params: Vec<EngineParams> = match ground.others.iter().find(|other| other.name() == engine) {
            None => trials.iter().map(|drawn| drawn.setup.engine).collect(),
            Some(other) => trials.par_iter().map(|drawn| other.best(drawn)).collect(),
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
