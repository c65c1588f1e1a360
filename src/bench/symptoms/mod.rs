//! The symptom table: what such an engine must show, row by row, as numbers with limits. Tests hold the rows, the calibration
//! searches for constants that satisfy them, and both measure them here, so that neither can drift from the other.

mod brake;
mod burst;
mod false_idle;
mod heat;
mod idle;
mod island;
mod mixture;

use super::measures::{self, Burst, Idle, Snap, Steady, Waits};
use super::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::engine::state::Load;
use crate::fluids::air::{Air, Weather};
use crate::fluids::fuel::{Blend, Fuel};
use crate::fluids::heat_release::HeatRelease;

/// One number of a row.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Quantity {
    /// Row of the table.
    pub row: &'static str,
    /// What is measured.
    pub name: &'static str,
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
        let margin = ((self.value - self.low) / self.scale).min((self.high - self.value) / self.scale);
        if margin.is_nan() { -10.0 } else { margin }
    }
    /// Whether the row's limit holds.
    pub fn holds(&self) -> bool {
        self.margin() >= 0.0
    }
}

const INF: f64 = f64::INFINITY;

/// What adds a quantity to `out`: row, name, value, smallest and largest value that show the symptom, scale.
fn adder(out: &mut Vec<Quantity>) -> impl FnMut(&'static str, &'static str, f64, f64, f64, f64) {
    |row, name, value, low, high, scale| {
        out.push(Quantity {
            row,
            name,
            value,
            low,
            high,
            scale,
        })
    }
}

/// The table's bench: one engine, its reference setting, one seed.
#[derive(Clone, Copy, Debug)]
pub struct Table<'a> {
    /// Parts, fuel, weather.
    pub setup: &'a Setup,
    /// The reference setting.
    pub setting: Setting,
    /// Seed of the engine's noise.
    pub seed: u64,
    /// Waits.
    pub waits: Waits,
    /// The engine's best snap delay, s.
    pub best_snap_delay_s: f64,
}

/// The setting with the needles moved by these turns.
pub fn moved(setting: Setting, high: f64, low: f64) -> Setting {
    Setting {
        high_turns: setting.high_turns + high,
        low_turns: setting.low_turns + low,
        ..setting
    }
}

fn with_fuel(setup: &Setup, blend: Blend) -> Setup {
    let fuel = Fuel::new(blend);
    Setup {
        fuel,
        heat: HeatRelease::fit(&fuel).unwrap_or(setup.heat),
        ..*setup
    }
}

fn with_weather(setup: &Setup, weather: Weather) -> Setup {
    Setup {
        air: Air::new(&weather),
        ..*setup
    }
}

/// Percent by which `a` differs from `b`.
fn percent(a: f64, b: f64) -> f64 {
    100.0 * (a / b - 1.0)
}

impl Table<'_> {
    fn clutch_rpm(&self) -> f64 {
        self.setup.engine.drive.clutch_engage_rpm
    }
    fn idle(&self, high: f64, low: f64) -> (Rig, Idle) {
        measures::settled(self.setup, moved(self.setting, high, low), self.seed, &self.waits)
    }
    fn burst(&self, high: f64, low: f64) -> (Idle, Burst, Rig) {
        let (rig, idle) = self.idle(high, low);
        (
            idle,
            measures::burst(rig, idle.rpm.max(1.0), self.clutch_rpm(), &self.waits),
            rig,
        )
    }
    fn snap(&self, high: f64, low: f64) -> Snap {
        measures::snap(self.idle(high, low).0, &self.waits)
    }
    fn brake(&self, setup: &Setup, high: f64) -> (Rig, Steady) {
        measures::on_brake(setup, moved(self.setting, high, 0.0), self.seed, &self.waits)
    }
    /// A short look at full throttle and at idle for comparing metering: (idle, wide open).
    fn metering(&self, setup: &Setup) -> (f64, f64) {
        let (_, idle) = measures::settled(setup, self.setting, self.seed, &self.waits);
        let mut rig = Rig::warm(setup, self.setting, self.seed).with_load(Load::Brake(500.0));
        rig.pass(1.0, 3.0);
        (
            idle.equivalence_ratio,
            measures::watch_steady(&mut rig, 1.0, 1.0).equivalence_ratio,
        )
    }

    /// The rows by subject, cheap and telling ones first.
    pub const GROUPS: [fn(&Self, &mut Vec<Quantity>); 7] = [
        Self::idle_rows,
        Self::burst_rows,
        Self::brake_rows,
        Self::mixture_rows,
        Self::island_rows,
        Self::heat_rows,
        Self::other_rows,
    ];
}
