//! The return from a burst as it happens: coming down, hanging high, dropping, settled, with the stopwatch's seconds.

use serde::Serialize;

use super::idle::{HANGS, burbles, burst_before};
use super::row::{ROW_S, Row, last, mean, seconds};
use super::stretch::{Course, SHUT};
use super::tuned::Tuned;

/// Where a return is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// On its way down from full throttle.
    ComingDown,
    /// Down from full throttle, and above its idle.
    HangingHigh,
    /// Letting go of what it hung at.
    Dropping,
    /// Below its idle.
    Low,
    /// At its idle's pitch, but still missing beats: fuel lies in the crankcase.
    Burbling,
    /// At its idle.
    Settled,
}

/// A return as it is followed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Following {
    /// Where it is.
    pub phase: Phase,
    /// Since the throttle was shut, in tenths of a second; once it has settled, until it had.
    pub seconds: f64,
}

/// A return is followed for so long, s.
const FOLLOWED_S: f64 = 20.0;
/// Half a second that falls by this share is a drop (assumed: more than a semitone).
const DROPS: f64 = 0.06;
/// Below its idle by more than this share it is low (assumed: a semitone).
const LOW: f64 = 0.06;
/// So long within its idle it has settled, s.
const STAYS_S: f64 = 1.0;

/// Follows a return at the end of `rows`, if there is one.
pub fn follow(rows: &[Row], tuned: &Tuned) -> Option<Following> {
    let course = Course::of(rows)?;
    let stretch = course.stretch();
    let shut = stretch.last()?.throttle < SHUT;
    if !shut || seconds(stretch) > FOLLOWED_S || !burst_before(&course, tuned.snap_mark_rpm) {
        return None;
    }
    // An ear that has no idle in mind goes by the fastest that is right.
    let idle = tuned.settled_rpm.unwrap_or(tuned.idle_high_rpm / HANGS);
    let phase = |rows: &[Row]| {
        let now = mean(last(rows, 0.25), |r| r.rpm);
        let before = mean(last(&rows[..rows.len().saturating_sub(10)], 0.25), |r| r.rpm);
        if now > (1.5 * idle).min(tuned.clutch_rpm) {
            Phase::ComingDown
        } else if now > HANGS * idle {
            let was_down = before > 0.0 && before <= (1.5 * idle).min(tuned.clutch_rpm);
            if was_down && now < (1.0 - DROPS) * before {
                Phase::Dropping
            } else {
                Phase::HangingHigh
            }
        } else if now < (1.0 - LOW) * idle && tuned.settled_rpm.is_some() {
            Phase::Low
        } else {
            Phase::Settled
        }
    };
    let tenths = |s: f64| (10.0 * s).round() / 10.0;
    let now = phase(stretch);
    let long = (STAYS_S / ROW_S) as usize;
    if now != Phase::Settled {
        return Some(Following {
            phase: now,
            seconds: tenths(seconds(stretch)),
        });
    }
    // Settled since the last moment that was not; burbling it has not let go of its fuel yet, whatever its pitch.
    let unsettled = (1..=stretch.len())
        .rev()
        .find(|end| phase(&stretch[..*end]) != Phase::Settled)
        .unwrap_or(0);
    let phase = match () {
        () if burbles(last(stretch, STAYS_S)) => Phase::Burbling,
        () if stretch.len() - unsettled < long => Phase::ComingDown,
        () => Phase::Settled,
    };
    let until = if phase == Phase::Settled {
        &stretch[..unsettled]
    } else {
        stretch
    };
    Some(Following {
        phase,
        seconds: tenths(seconds(until)),
    })
}
