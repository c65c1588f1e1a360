//! What an engine shows by other constants: its symptom table, and the rows that it holds by its own constants and misses by those.

use std::collections::BTreeMap;

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{GROUPS, Off, Quantity, Table};
use needlebench::config::EngineModel;
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

use crate::rows::{NEEDED, around, needed};

/// Seeds of the noise; and others, with which the engine has to hold a row, too, to hold it by more than luck.
const SEEDS: [u64; 3] = [1, 2, 3];
const OTHERS: [u64; 3] = [101, 102, 103];

/// What a set may lack of a row, in units of it, before anybody would notice.
pub const UNNOTICED: f64 = 0.5;

/// How an engine is looked at, and the rows that it holds by its own constants.
pub struct Look {
    setting: Setting,
    waits: Waits,
    held: Vec<String>,
}

impl Look {
    /// Of an engine by its own constants.
    pub fn at(model: &EngineModel, setup: &Setup) -> Self {
        let mut look = Self {
            setting: model.reference,
            waits: Waits::rated(model.rated_rpm),
            held: Vec::new(),
        };
        let [own, elsewhere] = [SEEDS, OTHERS].map(|seeds| holds(&look.rows(setup, seeds), 0.0));
        let held = own.into_iter().filter(|(row, holds)| *holds && elsewhere[row]);
        look.held = held.map(|(row, _)| row).collect();
        look
    }

    /// The symptom table, and each check of the sign-off at the reference setting and a click beside it.
    pub fn table(&self, setup: &Setup) -> Vec<Quantity> {
        self.rows(setup, SEEDS)
    }

    /// The rows that are held by the engine's own constants, and lack more than so much of a unit in this table; its sign-offs may lack
    /// nothing.
    pub fn missed(&self, table: &[Quantity], unnoticed: f64) -> Vec<String> {
        let holds = holds(table, unnoticed);
        let missed = |row: &&String| !holds.get(*row).copied().unwrap_or(false);
        self.held.iter().filter(missed).cloned().collect()
    }

    fn rows(&self, setup: &Setup, seeds: [u64; 3]) -> Vec<Quantity> {
        let best = best_snap_delay_s(setup, self.setting);
        let table = Table::new(setup, self.setting, seeds, self.waits, best);
        let mut rows = table.rows(&GROUPS);
        rows.extend(around(&table, &NEEDED));
        rows
    }

    /// Whether the engine is clean at its reference setting, and how many checks fail a click beside it.
    pub fn beside(&self, setup: &Setup) -> Option<usize> {
        let best = best_snap_delay_s(setup, self.setting);
        let table = Table::new(setup, self.setting, SEEDS, self.waits, best);
        let failing = |places: &[(&'static str, Off)]| around(&table, places).iter().filter(|q| !q.holds()).count();
        (failing(&NEEDED[..1]) == 0).then(|| failing(&NEEDED[1..]))
    }
}

/// Whether each row with limits holds at every seed, or lacks no more than so much of its unit.
fn holds(rows: &[Quantity], unnoticed: f64) -> BTreeMap<String, bool> {
    let mut holds: BTreeMap<String, bool> = BTreeMap::new();
    for q in rows.iter().filter(|q| q.binds()) {
        let within = q.holds() || (!needed(q.row) && q.margin() >= -unnoticed);
        *holds.entry(format!("{} {}", q.row, q.name)).or_insert(true) &= within;
    }
    holds
}
