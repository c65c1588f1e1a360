//! Full throttle on the brake: the running point once the head has settled, and the best power that the high-speed needle can give
//! there.

use super::Waits;
use super::steady::{Steady, watch_steady};
use crate::bench::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::engine::state::Load;

/// The engine on the brake at full throttle until its head has settled.
pub fn on_brake(setup: &Setup, setting: Setting, seed: u64, waits: &Waits) -> (Rig, Steady) {
    let mut rig = Rig::warm(setup, setting, seed).with_load(Load::Brake(waits.brake_rpm / 60.0));
    let steady = settle_on_brake(&mut rig, waits);
    (rig, steady)
}

/// Full throttle on the brake until the head has settled, refuelled on the way.
pub fn settle_on_brake(rig: &mut Rig, waits: &Waits) -> Steady {
    // A fair guess of the head saves half of the wait; the hold forgets it.
    rig.state.head_temperature = rig.state.head_temperature.max(388.15);
    rig.pass(1.0, 0.5 * waits.brake_hold_s);
    refill(rig);
    rig.pass(1.0, 0.5 * waits.brake_hold_s);
    refill(rig);
    watch_steady(rig, 1.0, 2.0)
}

/// A full tank again.
pub fn refill(rig: &mut Rig) {
    rig.state.tank_fuel = rig.engine.tank_capacity();
}

/// Best power over the high-speed needle around a settled running point, W, and the equivalence ratio at it.
///
/// Every trial meets the same noise from the same state, so their differences are the needle's; a parabola through the three
/// best settings places the maximum between them.
pub fn best_power(rig: &Rig, setting: Setting, seconds: f64) -> (f64, f64) {
    let mut trials: Vec<(f64, f64)> = Vec::with_capacity(20);
    for k in -11..=7 {
        let high_turns = setting.high_turns + f64::from(k) / 12.0;
        if high_turns < 0.2 {
            continue;
        }
        let mut trial = rig.with_setting(Setting { high_turns, ..setting });
        trial.pass(1.0, 0.4);
        let steady = watch_steady(&mut trial, 1.0, seconds);
        trials.push((steady.equivalence_ratio, steady.power_w));
    }
    let best = (0..trials.len())
        .max_by(|a, b| trials[*a].1.total_cmp(&trials[*b].1))
        .unwrap_or(0);
    let (Some(a), Some(b), Some(c)) = (
        best.checked_sub(1).and_then(|i| trials.get(i)),
        trials.get(best),
        trials.get(best + 1),
    ) else {
        return trials.get(best).map_or((0.0, 0.0), |t| (t.1, t.0));
    };
    let (left, right) = ((b.1 - a.1) / (b.0 - a.0), (c.1 - b.1) / (c.0 - b.0));
    let curvature = (right - left) / (c.0 - a.0);
    if curvature >= 0.0 || !curvature.is_finite() {
        return (b.1, b.0);
    }
    let slope = left + curvature * (b.0 - a.0);
    let shift = (-slope / (2.0 * curvature)).clamp(a.0 - b.0, c.0 - b.0);
    (b.1 + slope * shift + curvature * shift * shift, b.0 + shift)
}
