//! What passed, row by row, and what an ear keeps of it ([`Memory`]): the rows go after two minutes, the memory stays.

use super::memory::Memory;
use super::row::{ROW_S, Row, missed};
use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

/// Rows kept: two minutes.
const KEPT: usize = 2400;
/// A throttle that moves by more than this at once begins a row of its own.
const MOVES: f64 = 0.1;

/// What else is known of a moment, besides the engine.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Around {
    /// Throttle, 0..1.
    pub throttle: f64,
    /// The fuel line is pinched.
    pub pinched: bool,
    /// It is driven on the track.
    pub driven: bool,
}

/// Those of the rows that count, oldest first.
fn kept(rows: &[Row]) -> &[Row] {
    &rows[rows.len().saturating_sub(KEPT)..]
}

/// What passed, in rows.
#[derive(Clone, Debug, Default)]
pub struct Strip {
    /// The last of them count; those before are thrown away now and then, so that what counts lies in one piece.
    rows: Vec<Row>,
    memory: Memory,
    around: Around,
    seconds: f64,
    turns: f64,
    missed: f64,
    smoke: f64,
    crackle: f64,
    late: f64,
    time_s: f64,
}

impl Strip {
    /// Nothing passed yet; a snap has picked up at `snap_mark_rpm`.
    pub fn new(snap_mark_rpm: f64) -> Self {
        Self {
            memory: Memory::new(snap_mark_rpm),
            ..Self::default()
        }
    }

    /// Takes in one revolution.
    #[inline(always)]
    pub fn hear(&mut self, around: Around, r: &Revolution, state: &State) {
        if (around.throttle - self.around.throttle).abs() > MOVES && self.seconds > 0.0 {
            self.end_row();
        }
        let d = r.duration;
        let alive = f64::from(u8::from(r.speed > 0.0));
        self.around = around;
        self.time_s = state.time;
        self.seconds += d;
        self.turns += alive;
        self.missed += alive * f64::from(u8::from(missed(r)));
        self.smoke += 100.0 * r.opacity * d * alive;
        self.crackle += r.detonation * d * alive;
        self.late -= r.phase_error_deg * d * alive;
        if self.seconds >= ROW_S {
            self.end_row();
        }
    }

    #[inline(never)]
    fn end_row(&mut self) {
        let row = Row {
            time_s: self.time_s,
            throttle: self.around.throttle,
            rpm: rpm_from_rev_per_second(self.turns / self.seconds),
            smoke_percent: self.smoke / self.seconds,
            missed_share: self.missed / self.turns.max(1.0),
            crackle: self.crackle / self.seconds,
            late_deg: self.late / self.seconds,
            pinched: self.around.pinched,
            driven: self.around.driven,
        };
        (
            self.seconds,
            self.turns,
            self.missed,
            self.smoke,
            self.crackle,
            self.late,
        ) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        if self.rows.last().is_some_and(|last| Memory::ends(last, &row)) {
            self.memory.keep(kept(&self.rows));
        }
        if self.rows.len() == 2 * KEPT {
            self.rows.drain(..KEPT);
        }
        self.rows.push(row);
    }

    /// A screw was turned: what was heard until now is what comes after it is compared with.
    pub fn turned(&mut self) {
        self.memory.turned(kept(&self.rows));
    }

    /// Every number it holds, for a digest of the practice.
    pub fn numbers(&self) -> impl Iterator<Item = f64> {
        let Self {
            rows,
            memory,
            around: Around {
                throttle,
                pinched,
                driven,
            },
            seconds,
            turns,
            missed,
            smoke,
            crackle,
            late,
            time_s,
        } = self;
        let number = |yes: bool| f64::from(u8::from(yes));
        let row = move |row: &Row| {
            let Row {
                time_s,
                throttle,
                rpm,
                smoke_percent,
                missed_share,
                crackle,
                late_deg,
                pinched,
                driven,
            } = *row;
            [
                time_s,
                throttle,
                rpm,
                smoke_percent,
                missed_share,
                crackle,
                late_deg,
                number(pinched),
                number(driven),
            ]
        };
        [*throttle, number(*pinched), number(*driven)]
            .into_iter()
            .chain([*seconds, *turns, *missed, *smoke, *crackle, *late, *time_s])
            .chain(kept(rows).iter().flat_map(row))
            .chain(memory.numbers())
    }

    /// The rows, oldest first.
    pub fn rows(&self) -> &[Row] {
        kept(&self.rows)
    }

    /// What is remembered of what passed.
    pub fn memory(&self) -> &Memory {
        &self.memory
    }
}
