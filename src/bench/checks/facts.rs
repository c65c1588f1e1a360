//! What the checks must know of an engine besides its physics: the speed at which it is braked, and the best snap that it has in today's
//! air on today's fuel. That is computed, not stored: thin air gives less torque, another fuel another, and an engine of one's own
//! has nobody who could have written it down.

use super::limits::Limits;
use crate::bench::manoeuvre::table::Waits;
use crate::bench::measures::quick_snaps;
use crate::bench::rig;
use crate::config::EngineModel;
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup};

/// What the checks must know of an engine besides its physics; made once for an engine, a fuel and a weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facts {
    /// Speed on the brake, rpm.
    pub rated_rpm: f64,
    /// Shortest delay of a snap over the settings that idle, s.
    pub best_snap_delay_s: f64,
}

impl Facts {
    /// Of an engine as it is put together, on this fuel in this air.
    pub fn of(engine: &EngineModel, setup: &Setup) -> Self {
        Self {
            rated_rpm: engine.rated_rpm,
            best_snap_delay_s: best_snap_delay_s(setup, engine.reference),
        }
    }
}

/// Turns of the high-speed needle from the reference: what a fuel or a weather asks for.
const HIGH: [f64; 3] = [-0.5, 0.0, 0.5];
/// The same of the low-speed needle.
const LOW: [f64; 8] = [-0.25, -0.125, 0.0, 0.125, 0.25, 0.375, 0.5, 0.75];

/// Shortest delay of a snap over a grid of settings around `reference` that idle, without noise, s. As long as a snap is watched where
/// nothing idles: then other checks tell why.
pub fn best_snap_delay_s(setup: &Setup, reference: Setting) -> f64 {
    let mut quiet = *setup;
    quiet.laws.film.trapping_noise = 0.0;
    quiet.laws.film.release_noise = 0.0;
    let engine = Engine::new(&quiet);
    let most = EngineModel::MOST_OPEN;
    let stands: Vec<_> = HIGH
        .iter()
        .flat_map(|high| LOW.map(|low| (high, low)))
        .map(|(high, low)| Setting {
            high_turns: (reference.high_turns + high).clamp(0.0, most.high_turns),
            low_turns: (reference.low_turns + low).clamp(0.0, most.low_turns),
            ..reference
        })
        .map(|setting| rig::warm(&engine, setting, 0))
        .collect();
    let fastest_rpm = Limits::STANDARD.idle_high_rpm;
    let snaps = quick_snaps(&engine, &Waits::STANDARD, &stands);
    snaps
        .iter()
        .filter(|snap| snap.idle_rpm <= fastest_rpm)
        .filter_map(|snap| snap.delay_s)
        .fold(4.0, f64::min)
}
