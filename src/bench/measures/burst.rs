//! A burst of full throttle and the return to idle: how soon the speed is down, and how it settles there.

use super::{Mean, Waits};
use crate::bench::rig::Rig;

/// Return from a burst of full throttle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Burst {
    /// From shutting the throttle to below 1.5 times the settled idle and the clutch, s; none if it never came down in 12 s.
    pub return_s: Option<f64>,
    /// Mean speed over 0.3-1.3 s after that, against the settled idle, percent.
    pub early_excess_percent: f64,
    /// Time after that until the speed stays within 5 % of settled, s.
    pub settle_s: f64,
    /// Largest deviation from settled later than 1 s after the return, percent.
    pub late_deviation_percent: f64,
    /// Lowest speed after the return, percent of settled.
    pub lowest_percent: f64,
    /// The engine died.
    pub stalled: bool,
    /// Highest speed reached, rpm.
    pub top_rpm: f64,
}

/// Full throttle, shut, hold: `settled_rpm` is what the speed is held against.
pub fn burst(mut rig: Rig, settled_rpm: f64, clutch_rpm: f64, waits: &Waits) -> Burst {
    let mut top: f64 = 0.0;
    rig.hold(1.0, waits.burst_s, |_, r, _| top = top.max(r.speed * 60.0));
    let threshold = (1.5 * settled_rpm).min(clutch_rpm);
    // Speeds over tenths of a second on the engine's own clock.
    let mut windows: Vec<(f64, f64)> = Vec::with_capacity(160);
    let mut crossed = None;
    let (mut turned, mut since, mut before) = (0.0, 0.0, (0.0, rig.rpm()));
    rig.hold(0.0, 12.0, |t, r, _| {
        let rpm = r.speed * 60.0;
        if crossed.is_none() && rpm < threshold {
            let share = if before.1 > rpm {
                (before.1 - threshold) / (before.1 - rpm)
            } else {
                1.0
            };
            crossed = Some(before.0 + (t - before.0) * share.clamp(0.0, 1.0));
        }
        before = (t, rpm);
        turned += 1.0;
        since += r.duration;
        if since >= 0.1 {
            windows.push((t - 0.5 * since, if rpm > 0.0 { turned / since * 60.0 } else { 0.0 }));
            (turned, since) = (0.0, 0.0);
        }
    });
    let origin = crossed.unwrap_or(12.0);
    let after: Vec<(f64, f64)> = windows
        .iter()
        .filter(|w| w.0 >= origin)
        .map(|w| (w.0 - origin, 100.0 * (w.1 / settled_rpm - 1.0)))
        .collect();
    let mut early = Mean::default();
    for w in after.iter().filter(|w| (0.3..1.3).contains(&w.0)) {
        early.add(w.1, 1.0);
    }
    // Smoothed over half a second, so that an idle's own variation is not taken for drift.
    let smooth: Vec<(f64, f64)> = after
        .windows(5)
        .map(|w| (w[2].0, w.iter().map(|x| x.1).sum::<f64>() / 5.0))
        .collect();
    let settle_s = smooth.iter().rev().find(|w| w.1.abs() > 5.0).map_or(0.0, |w| w.0);
    let late = smooth
        .iter()
        .filter(|w| w.0 >= 1.0)
        .fold(0.0_f64, |m, w| m.max(w.1.abs()));
    let lowest = smooth.iter().fold(f64::INFINITY, |m, w| m.min(w.1));
    Burst {
        return_s: crossed,
        early_excess_percent: early.value().unwrap_or(100.0),
        settle_s,
        late_deviation_percent: late,
        lowest_percent: if lowest.is_finite() { lowest } else { 0.0 },
        stalled: rig.stalled(),
        top_rpm: top,
    }
}
