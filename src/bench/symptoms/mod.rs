//! The symptom table: what such an engine must show, row by row, as numbers with limits. Tests hold the rows, the calibration
//! searches for constants that satisfy them, and both measure them here, so that neither can drift from the other.
//!
//! A row is a function of one page in the file of its subject, named in that file's [`Group`], whose list of measures lets them be
//! taken for all settings and seeds side by side before the rows read them.

mod brake;
mod burst;
mod change;
mod course;
mod energy;
mod false_idle;
mod hang;
mod heat;
mod idle;
mod island;
mod lean;
mod loading;
mod mixture;
mod power;
mod rhythm;
mod running;
mod size;
mod table;
mod throttle;
mod weather;

pub use change::Change;
pub use heat::WarmingUp;
pub use size::scaled;
pub use table::{Off, Table, moved, off};

use super::measures::What;

/// One number of a row, at one seed.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Quantity {
    /// Row of the table.
    pub row: &'static str,
    /// What is measured.
    pub name: &'static str,
    /// Seed of the engine's noise.
    pub seed: u64,
    /// Its value.
    pub value: f64,
    /// Smallest value that shows the symptom.
    pub low: f64,
    /// Largest value that shows the symptom.
    pub high: f64,
    /// A difference that counts as one unit when the distance to a limit is weighed.
    pub scale: f64,
}

impl Quantity {
    /// Distance to the nearer limit in units of the scale; negative outside.
    pub fn margin(&self) -> f64 {
        if !self.value.is_finite() {
            return Self::NOTHING;
        }
        ((self.value - self.low) / self.scale).min((self.high - self.value) / self.scale)
    }
    /// Margin of what could not be measured: the engine stood, or there was nothing to divide by.
    const NOTHING: f64 = -10.0;
    /// Whether it has limits; without, it stands beside a row to be read.
    pub fn binds(&self) -> bool {
        self.low.is_finite() || self.high.is_finite()
    }
    /// Whether the row's limit holds.
    pub fn holds(&self) -> bool {
        !self.binds() || self.margin() >= 0.0
    }
}

const INF: f64 = f64::INFINITY;

/// Where rows put their numbers: one for each seed.
pub struct Rows<'a> {
    seeds: &'a [u64],
    out: Vec<Quantity>,
}

impl Rows<'_> {
    /// A number of a row, from the smallest to the largest value that shows the symptom; `value` knows it by the seed's place.
    pub fn add(
        &mut self,
        (row, name): (&'static str, &'static str),
        value: impl Fn(usize) -> f64,
        (low, high): (f64, f64),
        scale: f64,
    ) {
        self.out.extend(self.seeds.iter().enumerate().map(|(k, seed)| Quantity {
            row,
            name,
            seed: *seed,
            value: value(k),
            low,
            high,
            scale,
        }));
    }
}

impl Rows<'_> {
    /// A number without limits, to be read beside its row.
    pub fn tell(&mut self, name: (&'static str, &'static str), value: impl Fn(usize) -> f64) {
        self.add(name, value, (-INF, INF), 1.0);
    }
}

/// A row: measures what it needs (most of it is known by then) and adds its numbers.
pub type Row = fn(&Table, &mut Rows);

/// A measure at a setting off the reference.
pub type Asked = (Off, What);

/// Rows of one subject.
pub struct Group {
    /// The subject.
    pub name: &'static str,
    /// What its rows measure of the reference engine, to be taken in one go.
    asks: fn() -> Vec<Asked>,
    /// Its rows.
    rows: &'static [Row],
}

/// The rows by subject, cheap and telling ones first.
pub const GROUPS: [Group; 11] = [
    idle::GROUP,
    burst::GROUP,
    hang::GROUP,
    throttle::GROUP,
    brake::GROUP,
    mixture::GROUP,
    weather::GROUP,
    size::GROUP,
    island::GROUP,
    heat::GROUP,
    false_idle::GROUP,
];

/// The group of a subject.
///
/// # Panics
/// There is no such group.
pub fn group(name: &str) -> &'static Group {
    let found = GROUPS.iter().find(|group| group.name == name);
    found.unwrap_or_else(|| panic!("the table has no rows called {name:?}"))
}

/// Percent by which `a` differs from `b`.
fn percent(a: f64, b: f64) -> f64 {
    100.0 * (a / b - 1.0)
}

/// A value where there is one to be had; not-a-number elsewhere, which no row holds by.
fn given(there: bool, value: f64) -> f64 {
    if there { value } else { f64::NAN }
}

/// The value, but no more than this; not-a-number stays so.
fn capped(value: f64, most: f64) -> f64 {
    if value > most { most } else { value }
}

/// The value, but no less than this; not-a-number stays so.
fn at_least(value: f64, least: f64) -> f64 {
    if value < least { least } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_holds_nothing() {
        let quantity = |value, low, high| Quantity {
            row: "S1",
            name: "a number",
            seed: 1,
            value,
            low,
            high,
            scale: 1.0,
        };
        for value in [f64::NAN, INF, -INF] {
            for (low, high) in [(0.0, INF), (-INF, 0.0), (0.0, 1.0)] {
                assert!(!quantity(value, low, high).holds(), "{value} in {low}..{high}");
            }
        }
        assert!(quantity(2.0, 0.0, INF).holds() && !quantity(2.0, 0.0, 1.0).holds());
        assert!(capped(f64::NAN, 1.0).is_nan() && at_least(f64::NAN, 1.0).is_nan());
    }
}
