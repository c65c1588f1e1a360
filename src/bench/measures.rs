//! What a tuner does to an engine, and what can be noticed: idle, burst, snap, half throttle, full throttle on the brake, a slow
//! opening, and a hot idle after two laps. Averages weigh by time; crossings are interpolated to the revolution.

use super::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::engine::state::Load;

/// Waits and marks of the manoeuvres, common practice unless said otherwise.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Waits {
    /// Idle held before it is judged: the film must have settled, s.
    pub idle_hold_s: f64,
    /// Idle between clearing out and a snap: two to three film time constants, s.
    pub snap_wait_s: f64,
    /// Length of a burst of full throttle, s.
    pub burst_s: f64,
    /// Speed that ends the delay of a snap, rpm.
    pub snap_mark_rpm: f64,
    /// Speed on the brake, rpm.
    pub brake_rpm: f64,
    /// Time on the brake before power and head are read, s.
    pub brake_hold_s: f64,
}

impl Waits {
    /// The defaults.
    pub const STANDARD: Self = Self {
        idle_hold_s: 12.0,
        snap_wait_s: 10.0,
        burst_s: 1.5,
        snap_mark_rpm: 20_000.0,
        brake_rpm: 30_000.0,
        brake_hold_s: 100.0,
    };
}

/// Time-weighted mean.
#[derive(Clone, Copy, Debug, Default)]
pub struct Mean {
    sum: f64,
    weight: f64,
}

impl Mean {
    /// Adds `value` that held for `weight`.
    pub fn add(&mut self, value: f64, weight: f64) {
        self.sum += value * weight;
        self.weight += weight;
    }
    /// The mean, if anything was added.
    pub fn value(&self) -> Option<f64> {
        (self.weight > 0.0).then(|| self.sum / self.weight)
    }
}

/// A steady idle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Idle {
    /// Mean speed, rpm; 0 if it died.
    pub rpm: f64,
    /// Standard deviation of the speed over tenths of a second, percent of the mean.
    pub variation_percent: f64,
    /// Share of revolutions that missed, percent.
    pub misfire_percent: f64,
    /// Equivalence ratio metered.
    pub equivalence_ratio: f64,
    /// Film on the crankcase walls, mg.
    pub film_mg: f64,
    /// Film time constant, s.
    pub film_time_constant_s: f64,
    /// Oil mist leaving, mg/s.
    pub visible_oil_mg_per_s: f64,
    /// Fuel flow, g/s.
    pub fuel_flow_g_per_s: f64,
    /// Viscous share of the metering pressure.
    pub viscous_share: f64,
}

/// Watches the idle for `seconds` with the throttle shut.
pub fn watch_idle(rig: &mut Rig, seconds: f64) -> Idle {
    let (mut phi, mut misses, mut tau, mut smoke, mut fuel, mut viscous) = Default::default();
    let add = |m: &mut Mean, v: f64, w: f64| m.add(v, w);
    let mut windows = Vec::with_capacity((seconds * 10.0) as usize + 2);
    let (mut turned, mut since) = (0.0, 0.0);
    let mut count = 0.0;
    rig.hold(0.0, seconds, |_, r, _| {
        let d = r.duration.0[0];
        add(&mut phi, r.metered_equivalence_ratio.0[0], d);
        add(&mut misses, f64::from(u8::from(r.burnt_share.0[0] < 0.5)), 1.0);
        add(&mut tau, 1.0 / r.film_release_rate.0[0], d);
        add(&mut smoke, r.oil_out.0[0] / d, d);
        add(&mut fuel, (r.fuel_in.0[0] + r.oil_in.0[0]) / d, d);
        add(&mut viscous, r.viscous_share.0[0], d);
        turned += 1.0;
        since += d;
        count += 1.0;
        if since >= 0.1 {
            windows.push(turned / since * 60.0);
            (turned, since) = (0.0, 0.0);
        }
    });
    let n = windows.len().max(1) as f64;
    let rpm = windows.iter().sum::<f64>() / n;
    let deviation = (windows.iter().map(|w| (w - rpm) * (w - rpm)).sum::<f64>() / n).sqrt();
    let rpm = if rig.stalled() { 0.0 } else { rpm };
    let of = |m: Mean| m.value().unwrap_or(0.0);
    Idle {
        rpm,
        variation_percent: if rpm > 0.0 { 100.0 * deviation / rpm } else { 100.0 },
        misfire_percent: 100.0 * of(misses),
        equivalence_ratio: of(phi),
        film_mg: rig.state.film_fuel.0[0] * 1e6,
        film_time_constant_s: of(tau),
        visible_oil_mg_per_s: of(smoke) * 1e6,
        fuel_flow_g_per_s: of(fuel) * 1e3,
        viscous_share: of(viscous),
    }
}

/// A warm engine, cleared out, at the end of a judged idle; the idle is returned beside it.
pub fn settled(setup: &Setup, setting: Setting, seed: u64, waits: &Waits) -> (Rig, Idle) {
    settle(Rig::warm(setup, setting, seed), waits)
}

/// The same from an engine's own state.
pub fn settle(mut rig: Rig, waits: &Waits) -> (Rig, Idle) {
    rig.pass(0.5, 0.7);
    rig.pass(0.0, waits.idle_hold_s);
    let idle = watch_idle(&mut rig, 4.0);
    (rig, idle)
}

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
    rig.hold(1.0, waits.burst_s, |_, r, _| top = top.max(r.speed.0[0] * 60.0));
    let threshold = (1.5 * settled_rpm).min(clutch_rpm);
    // Speeds over tenths of a second on the engine's own clock.
    let mut windows: Vec<(f64, f64)> = Vec::with_capacity(160);
    let mut crossed = None;
    let (mut turned, mut since, mut before) = (0.0, 0.0, (0.0, rig.rpm()));
    rig.hold(0.0, 12.0, |t, r, _| {
        let rpm = r.speed.0[0] * 60.0;
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
        since += r.duration.0[0];
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

/// A snap to full throttle after a wait at idle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Snap {
    /// From opening to the mark, s; none if it did not get there in 4 s.
    pub delay_s: Option<f64>,
    /// (Peak - steady)/steady of the visible oil.
    pub puff_excess: f64,
    /// Revolutions that missed on the way up and 0.3 s on, percent.
    pub misfire_percent: f64,
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
    let (mut missed, mut turns) = (0.0, 0.0_f64);
    // Oil flow over 50 ms windows: what an eye takes for one puff.
    let (mut oil, mut since, mut peak) = (0.0, 0.0, 0.0_f64);
    let mut steady = Mean::default();
    rig.hold(1.0, 4.0, |t, r, _| {
        let rpm = r.speed.0[0] * 60.0;
        if delay.is_none() && rpm >= mark {
            delay = Some(before.0 + (t - before.0) * (mark - before.1) / (rpm - before.1).max(1e-9));
        }
        before = (t, rpm);
        if delay.is_none_or(|d| t < d + 0.3) {
            turns += 1.0;
            missed += f64::from(u8::from(r.burnt_share.0[0] < 0.5));
        }
        oil += r.oil_out.0[0];
        since += r.duration.0[0];
        if since >= 0.05 {
            peak = peak.max(oil / since);
            (oil, since) = (0.0, 0.0);
        }
        if t > 2.5 {
            steady.add(r.oil_out.0[0] / r.duration.0[0], r.duration.0[0]);
        }
    });
    let steady = steady.value().unwrap_or(0.0);
    Snap {
        delay_s: if died_waiting { None } else { delay },
        puff_excess: if steady > 1e-9 { (peak - steady) / steady } else { 0.0 },
        misfire_percent: 100.0 * missed / turns.max(1.0),
        stalled: rig.stalled(),
    }
}

/// A steady running point.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Steady {
    /// Mean speed, rpm.
    pub rpm: f64,
    /// Equivalence ratio metered.
    pub equivalence_ratio: f64,
    /// Revolutions that missed, percent.
    pub misfire_percent: f64,
    /// Shaft power, W.
    pub power_w: f64,
    /// Head temperature at the end, °C.
    pub head_temperature_c: f64,
    /// Opacity of the plume, percent.
    pub opacity_percent: f64,
    /// Mean detonation index.
    pub detonation_index: f64,
    /// Fuel flow, g/s.
    pub fuel_flow_g_per_s: f64,
    /// Heat released over the fuel's lower heating value.
    pub heat_w: f64,
    /// Viscous share of the metering pressure.
    pub viscous_share: f64,
    /// Film on the crankcase walls, mg.
    pub film_mg: f64,
    /// Burnt-gas fraction.
    pub burnt_fraction: f64,
}

/// Watches `seconds` at a steady throttle.
pub fn watch_steady(rig: &mut Rig, throttle: f64, seconds: f64) -> Steady {
    let mut m = [Mean::default(); 10];
    rig.hold(throttle, seconds, |_, r, _| {
        let d = r.duration.0[0];
        let values = [
            r.speed.0[0] * 60.0,
            r.metered_equivalence_ratio.0[0],
            r.shaft_work.0[0] / d,
            100.0 * r.opacity.0[0],
            r.detonation.0[0],
            (r.fuel_in.0[0] + r.oil_in.0[0]) / d * 1e3,
            r.heat.0[0] / d,
            r.viscous_share.0[0],
            r.burnt_fraction.0[0],
        ];
        for (mean, value) in m.iter_mut().zip(values) {
            mean.add(value, d);
        }
        m[9].add(f64::from(u8::from(r.burnt_share.0[0] < 0.5)), 1.0);
    });
    let v = m.map(|x| x.value().unwrap_or(0.0));
    Steady {
        rpm: if rig.stalled() { 0.0 } else { v[0] },
        equivalence_ratio: v[1],
        misfire_percent: 100.0 * v[9],
        power_w: v[2],
        head_temperature_c: rig.state.head_temperature.0[0] - 273.15,
        opacity_percent: v[3],
        detonation_index: v[4],
        fuel_flow_g_per_s: v[5],
        heat_w: v[6],
        viscous_share: v[7],
        film_mg: rig.state.film_fuel.0[0] * 1e6,
        burnt_fraction: v[8],
    }
}

/// Steady half throttle on the stand.
pub fn half_throttle(mut rig: Rig) -> Steady {
    rig.pass(0.5, 2.0);
    watch_steady(&mut rig, 0.5, 3.0)
}

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

/// Free speed with the wheels up, rpm; 0 if the engine died.
pub fn free_speed(mut rig: Rig) -> f64 {
    rig.pass(1.0, 4.0);
    watch_steady(&mut rig, 1.0, 1.0).rpm
}

/// Idle speed on the stand after two laps, rpm; 0 if the engine died.
pub fn hot_idle(rig: Rig) -> f64 {
    let mut rig = rig.with_load(Load::Track);
    drive(&mut rig, 2);
    let mut rig = rig.with_load(Load::Stand);
    rig.pass(0.0, 3.0);
    watch_idle(&mut rig, 3.0).rpm
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

/// Slow opening from idle to full over `seconds`.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct RollOn {
    /// Revolutions that missed, percent, in the worst tenth of the opening.
    pub misfire_percent: f64,
    /// Highest opacity over a tenth of a second, percent.
    pub opacity_percent: f64,
}

/// Opens slowly.
pub fn roll_on(mut rig: Rig, seconds: f64) -> RollOn {
    let steps = 60;
    let mut worst: f64 = 0.0;
    let mut thickest: f64 = 0.0;
    let (mut missed, mut turns) = (0.0, 0.0);
    for step in 0..steps {
        let mut opacity = Mean::default();
        rig.hold(
            f64::from(step + 1) / f64::from(steps),
            seconds / f64::from(steps),
            |_, r, _| {
                turns += 1.0;
                missed += f64::from(u8::from(r.burnt_share.0[0] < 0.5));
                opacity.add(100.0 * r.opacity.0[0], r.duration.0[0]);
            },
        );
        thickest = thickest.max(opacity.value().unwrap_or(0.0));
        if step % 6 == 5 {
            worst = worst.max(100.0 * missed / turns);
            (missed, turns) = (0.0, 0.0);
        }
    }
    RollOn {
        misfire_percent: worst,
        opacity_percent: thickest,
    }
}

/// Throttle of off-road race duty, one lap: (seconds, throttle).
pub const LAP: [(f64, f64); 14] = [
    (2.0, 1.0),
    (1.3, 0.0),
    (1.2, 0.35),
    (1.5, 0.75),
    (1.2, 0.0),
    (1.6, 1.0),
    (1.1, 0.15),
    (1.8, 0.55),
    (1.1, 0.0),
    (1.0, 0.65),
    (1.4, 0.1),
    (1.8, 1.0),
    (1.66, 0.0),
    (1.2, 0.4),
];

/// Drives `laps` laps on the track.
pub fn drive(rig: &mut Rig, laps: usize) {
    rig.controls.on_track = crate::lanes::Lanes([1.0]);
    for _ in 0..laps {
        for (seconds, throttle) in LAP {
            rig.pass(throttle, seconds);
        }
    }
}
