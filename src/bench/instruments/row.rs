//! A twentieth of a second of what passed, and what of it an ear and an eye take in: the pitch, the beats, the smoke.

use serde::Serialize;

use crate::engine::state::Revolution;

/// Length of a row, s: about the shortest thing an ear tells apart.
pub const ROW_S: f64 = 0.05;

/// Whether a revolution missed: less than half of its charge burnt.
pub fn missed(revolution: &Revolution) -> bool {
    revolution.burnt_share < 0.5
}

/// A twentieth of a second; shorter where the throttle was moved at once, so that a row is of one throttle.
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
    /// How late the beats strike: a late beat is a dull one.
    pub late_deg: f64,
    /// The fuel line was pinched: what is heard is the hand's doing.
    pub pinched: bool,
    /// On the track.
    pub driven: bool,
}

/// Mean of something over rows.
pub(super) fn mean(rows: &[Row], of: impl Fn(&Row) -> f64) -> f64 {
    rows.iter().map(of).sum::<f64>() / rows.len().max(1) as f64
}

/// The last `seconds` of rows.
pub(super) fn last(rows: &[Row], seconds: f64) -> &[Row] {
    &rows[rows.len().saturating_sub((seconds / ROW_S) as usize)..]
}

/// Seconds from the beginning of the first row to the end of the last.
pub(super) fn seconds(rows: &[Row]) -> f64 {
    match (rows.first(), rows.last()) {
        (Some(first), Some(last)) => last.time_s - first.time_s + ROW_S,
        _ => 0.0,
    }
}
