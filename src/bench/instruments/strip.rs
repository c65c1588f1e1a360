//! What passed, in twentieths of a second: the throttle, the pitch, the smoke, the missed beats and the crackle.

use std::collections::VecDeque;

use serde::Serialize;

use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

/// Length of a row, s: about the shortest thing an ear tells apart.
pub const ROW_S: f64 = 0.05;
/// Rows kept: two minutes.
const KEPT: usize = 2400;

/// Whether a revolution missed: less than half of its charge burnt.
pub fn missed(revolution: &Revolution) -> bool {
    revolution.burnt_share < 0.5
}

/// A twentieth of a second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Row {
    /// Its end on the engine's clock, s.
    pub time_s: f64,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Speed; 0 when silent.
    pub rpm: f64,
    /// Opacity of the plume.
    pub smoke_percent: f64,
    /// Share of the revolutions that missed.
    pub missed_share: f64,
    /// Crackle of detonation, as its index.
    pub crackle: f64,
}

/// What passed, in rows.
#[derive(Clone, Debug, Default)]
pub struct Strip {
    rows: VecDeque<Row>,
    seconds: f64,
    turns: f64,
    missed: f64,
    smoke: f64,
    crackle: f64,
}

impl Strip {
    /// Takes in one revolution.
    pub fn hear(&mut self, throttle: f64, r: &Revolution, state: &State) {
        let d = r.duration;
        let alive = f64::from(u8::from(r.speed > 0.0));
        self.seconds += d;
        self.turns += alive;
        self.missed += alive * f64::from(u8::from(missed(r)));
        self.smoke += 100.0 * r.opacity * d * alive;
        self.crackle += r.detonation * d * alive;
        if self.seconds >= ROW_S {
            if self.rows.len() == KEPT {
                self.rows.pop_front();
            }
            self.rows.push_back(Row {
                time_s: state.time,
                throttle,
                rpm: rpm_from_rev_per_second(self.turns / self.seconds),
                smoke_percent: self.smoke / self.seconds,
                missed_share: self.missed / self.turns.max(1.0),
                crackle: self.crackle / self.seconds,
            });
            (self.seconds, self.turns, self.missed, self.smoke, self.crackle) = (0.0, 0.0, 0.0, 0.0, 0.0);
        }
    }

    /// Every number it holds, for a digest of the practice.
    pub fn numbers(&self) -> impl Iterator<Item = f64> {
        let Self {
            rows,
            seconds,
            turns,
            missed,
            smoke,
            crackle,
        } = self;
        let row = |row: &Row| {
            [
                row.time_s,
                row.throttle,
                row.rpm,
                row.smoke_percent,
                row.missed_share,
                row.crackle,
            ]
        };
        [*seconds, *turns, *missed, *smoke, *crackle]
            .into_iter()
            .chain(rows.iter().flat_map(row))
    }

    /// The rows, oldest first.
    pub fn rows(&self) -> &VecDeque<Row> {
        &self.rows
    }
}
