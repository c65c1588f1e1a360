//! What a tuner does to an engine, and what can be noticed: idle, burst, snap, half throttle, full throttle on the brake, a slow
//! opening, and a hot idle after two laps. Averages weigh by time; crossings are interpolated to the revolution.

mod brake;
mod burst;
mod idle;
mod opening;
mod pinch;
mod steady;
mod track;

pub use brake::{best_power, on_brake, refill, settle_on_brake};
pub use burst::{Burst, burst};
pub use idle::{Idle, settle, settled, watch_idle};
pub use opening::{RollOn, Snap, roll_on, snap};
pub use pinch::{Pinch, pinch};
pub use steady::{Steady, free_speed, half_throttle, watch_steady};
pub use track::{LAP, drive, hot_idle};

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
