//! Opening the throttle from idle: a snap to full after a wait, and a slow opening.

use super::{Mean, Waits};
use crate::bench::rig::Rig;

/// A snap to full throttle after a wait at idle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Snap {
    /// From opening to the mark, s; none if it did not get there in 4 s.
    pub delay_s: Option<f64>,
    /// (Peak - steady)/steady of the visible oil.
    pub puff_excess: f64,
    /// Revolutions that missed on the way up and 0.3 s on, percent.
    pub misfire_percent: f64,
    /// Share of the charge left unburnt over the same revolutions, percent: what the calibration follows where nothing misses yet.
    pub unburnt_percent: f64,
    /// The engine died.
    pub stalled: bool,
}

/// Clears out twice, idles the wait, snaps to full.
pub fn snap(mut rig: Rig, waits: &Waits) -> Snap {
    for _ in 0..2 {
        rig.pass(1.0, 1.0);
        rig.pass(0.0, 1.5);
    }
    rig.pass(0.0, waits.snap_wait_s);
    let died_waiting = rig.stalled();
    let mark = waits.snap_mark_rpm;
    let mut delay = None;
    let mut before = (0.0, rig.rpm());
    let (mut missed, mut unburnt, mut turns) = (0.0, 0.0, 0.0_f64);
    // Oil flow over 50 ms windows: what an eye takes for one puff.
    let (mut oil, mut since, mut peak) = (0.0, 0.0, 0.0_f64);
    let mut steady = Mean::default();
    rig.hold(1.0, 4.0, |t, r, _| {
        let rpm = r.speed * 60.0;
        if delay.is_none() && rpm >= mark {
            delay = Some(before.0 + (t - before.0) * (mark - before.1) / (rpm - before.1).max(1e-9));
        }
        before = (t, rpm);
        if delay.is_none_or(|d| t < d + 0.3) {
            turns += 1.0;
            missed += f64::from(u8::from(r.burnt_share < 0.5));
            unburnt += 1.0 - r.burnt_share;
        }
        oil += r.oil_out;
        since += r.duration;
        if since >= 0.05 {
            peak = peak.max(oil / since);
            (oil, since) = (0.0, 0.0);
        }
        if t > 2.5 {
            steady.add(r.oil_out / r.duration, r.duration);
        }
    });
    let steady = steady.value().unwrap_or(0.0);
    Snap {
        delay_s: if died_waiting { None } else { delay },
        puff_excess: if steady > 1e-9 { (peak - steady) / steady } else { 0.0 },
        misfire_percent: 100.0 * missed / turns.max(1.0),
        unburnt_percent: 100.0 * unburnt / turns.max(1.0),
        stalled: rig.stalled(),
    }
}

/// Slow opening from idle to full over `seconds`.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct RollOn {
    /// Revolutions that missed, percent, in the worst tenth of the opening.
    pub misfire_percent: f64,
    /// Share of the charge left unburnt in the worst tenth, percent.
    pub unburnt_percent: f64,
    /// Highest opacity over a tenth of a second, percent.
    pub opacity_percent: f64,
}

/// Opens slowly.
pub fn roll_on(mut rig: Rig, seconds: f64) -> RollOn {
    let steps = 60;
    let mut worst: f64 = 0.0;
    let mut thickest: f64 = 0.0;
    let (mut missed, mut unburnt, mut turns) = (0.0, 0.0, 0.0);
    let mut worst_unburnt: f64 = 0.0;
    for step in 0..steps {
        let mut opacity = Mean::default();
        rig.hold(
            f64::from(step + 1) / f64::from(steps),
            seconds / f64::from(steps),
            |_, r, _| {
                turns += 1.0;
                missed += f64::from(u8::from(r.burnt_share < 0.5));
                unburnt += 1.0 - r.burnt_share;
                opacity.add(100.0 * r.opacity, r.duration);
            },
        );
        thickest = thickest.max(opacity.value().unwrap_or(0.0));
        if step % 6 == 5 {
            worst = worst.max(100.0 * missed / turns);
            worst_unburnt = worst_unburnt.max(100.0 * unburnt / turns);
            (missed, unburnt, turns) = (0.0, 0.0, 0.0);
        }
    }
    RollOn {
        misfire_percent: worst,
        unburnt_percent: worst_unburnt,
        opacity_percent: thickest,
    }
}
