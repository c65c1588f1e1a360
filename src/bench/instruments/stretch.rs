//! How an ear parts what passed: the stretch of one throttle that lasts now, what came before it, and how the throttle was opened.
//! What a pinched line or a stop has caused is cut off, so that it is taken for no symptom.

use super::row::{Row, seconds};

/// Below this a throttle is shut, to whoever listens.
pub const SHUT: f64 = 0.02;
/// From here on it is full, to the ear.
pub(super) const FULL: f64 = 0.9;
/// A throttle that moves less than this stays.
const STAYS: f64 = 0.02;
/// An opening that takes no longer is a snap, and one that takes at least so long a slow opening, s (assumed: a finger's flick, and a
/// count of two).
const SNAP_S: f64 = 0.35;
const SLOW_S: f64 = 2.0;

/// Whether `after` still belongs to the stretch that `before` ends.
pub(super) fn goes_on(before: &Row, after: &Row) -> bool {
    (before.throttle - after.throttle).abs() <= STAYS
        && (before.throttle < SHUT) == (after.throttle < SHUT)
        && before.driven == after.driven
        && !disturbed(before)
        && !disturbed(after)
}

fn disturbed(row: &Row) -> bool {
    row.pinched || row.rpm <= 0.0
}

/// How long the idle was with which these rows end, s; nought where they end with none.
pub(super) fn idled_s(rows: &[Row]) -> f64 {
    let idle = |r: &Row| r.throttle < SHUT && !r.driven;
    let from = rows.iter().rposition(|r| !idle(r)).map_or(0, |i| i + 1);
    seconds(&rows[from..])
}

/// How a throttle came to be open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Opened {
    /// At once, after so many seconds of idle.
    Snapped {
        /// Its first row.
        from: usize,
        /// Idle before it.
        idled_s: f64,
    },
    /// Slowly, all the way.
    Slowly {
        /// Its first row.
        from: usize,
        /// The first row of full throttle.
        full: usize,
    },
    /// Some other way.
    Otherwise,
}

/// What passed since the last disturbance, and where the stretch of now begins in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Course<'a> {
    /// Rows since nothing but the throttle was touched.
    pub rows: &'a [Row],
    /// The first row of the stretch.
    pub from: usize,
}

impl<'a> Course<'a> {
    /// Parts rows at their end; none if the engine stands or is being pinched.
    pub fn of(rows: &'a [Row]) -> Option<Self> {
        let since = rows.iter().rposition(disturbed).map_or(0, |i| i + 1);
        let rows = &rows[since..];
        let now = rows.last()?;
        let from = rows
            .iter()
            .rposition(|r| (r.throttle - now.throttle).abs() > STAYS || r.driven != now.driven)
            .map_or(0, |i| i + 1);
        Some(Self { rows, from })
    }

    pub fn before(&self) -> &'a [Row] {
        &self.rows[..self.from]
    }

    pub fn stretch(&self) -> &'a [Row] {
        &self.rows[self.from..]
    }

    /// How the full throttle of now was opened.
    pub fn opened(&self) -> Opened {
        let rows = self.rows;
        let Some(full) = rows.iter().rposition(|r| r.throttle < FULL).map(|i| i + 1) else {
            return Opened::Otherwise;
        };
        let mut from = full;
        while from > 0
            && rows[from - 1].throttle >= SHUT
            && rows[from - 1].throttle <= rows[from.min(rows.len() - 1)].throttle
        {
            from -= 1;
        }
        let idled_s = idled_s(&rows[..from]);
        if idled_s == 0.0 || full == rows.len() {
            return Opened::Otherwise;
        }
        match seconds(&rows[from..full]) {
            s if s <= SNAP_S => Opened::Snapped { from, idled_s },
            s if s >= SLOW_S => Opened::Slowly { from, full },
            _ => Opened::Otherwise,
        }
    }
}
