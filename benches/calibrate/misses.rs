//! What each set shows, as it will be read from the file: the symptom table of an engine by every set, and the rows that it holds by its own
//! constants and misses by a set's.

use std::collections::BTreeMap;

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{GROUPS, Quantity, Table};
use needlebench::config::Ensemble;
use needlebench::config::reference_setup;
use needlebench::engine::Setup;
use rayon::prelude::*;

/// Seeds of the noise; and others, with which the engine has to hold a row, too, to hold it by more than luck.
const SEEDS: [u64; 3] = [1, 2, 3];
const OTHERS: [u64; 3] = [101, 102, 103];

/// An engine's table by every set, and the rows that it misses.
pub fn looked_at(ensemble: &Ensemble, engine: &str) -> (Vec<Vec<Quantity>>, Vec<Vec<String>>) {
    let (model, setup) = reference_setup(engine).expect("built in");
    let rows = |setup: &Setup, seeds: [u64; 3]| {
        let best = best_snap_delay_s(setup, model.reference);
        let table = Table::new(setup, model.reference, seeds, Waits::rated(model.rated_rpm), best);
        table.rows(&GROUPS)
    };
    let holds = |rows: &[Quantity]| {
        let mut holds: BTreeMap<String, bool> = BTreeMap::new();
        for q in rows.iter().filter(|q| q.binds()) {
            *holds.entry(format!("{} {}", q.row, q.name)).or_insert(true) &= q.holds();
        }
        holds
    };
    let [own, elsewhere] = [SEEDS, OTHERS].map(|seeds| holds(&rows(&setup, seeds)));
    let by_luck = |row: &String| !(own[row] && elsewhere[row]);
    let sets = ensemble.setups(engine, &setup);
    let tables: Vec<Vec<Quantity>> = sets.par_iter().map(|set| rows(set, SEEDS)).collect();
    let missed = |table: &Vec<Quantity>| {
        let rows = holds(table).into_iter().filter(|(row, holds)| !holds && !by_luck(row));
        rows.map(|(row, _)| row).collect()
    };
    let misses = tables.iter().map(missed).collect();
    (tables, misses)
}
