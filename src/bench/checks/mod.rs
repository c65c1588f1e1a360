//! Is it clean? The sign-off: every measure with its limit and verdict, at one setting of one engine.
//!
//! Nothing here knows the true setting: the verdict rests on what the manoeuvres showed. The limits are data ([`Limits`]).

mod limits;
mod name;
mod report;
mod symptoms;

pub use limits::Limits;
pub use name::{CheckName, Outside, Unit, Warning};
pub use report::{Check, Report};
pub use symptoms::Symptoms;

use super::measures::Waits;
use super::rig::Rig;
use crate::config::EngineModel;
use crate::engine::Setup;
use crate::engine::params::Setting;

/// A head that stays below this at full throttle is worth a word, °C (common practice).
const COOL_HEAD_C: f64 = 85.0;

/// What the checks must know of an engine besides its physics.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facts {
    /// Speed on the brake, rpm.
    pub rated_rpm: f64,
    /// Shortest delay of a snap that a clean setting gives, s.
    pub best_snap_delay_s: f64,
}

impl Facts {
    /// What an engine's model says of them.
    pub fn of(engine: &EngineModel) -> Self {
        Self {
            rated_rpm: engine.rated_rpm,
            best_snap_delay_s: engine.snap_delay_best_s,
        }
    }
}

/// Slide gap left by the idle stop, mm.
pub fn idle_gap_mm(setup: &Setup, setting: Setting) -> f64 {
    let c = &setup.engine.carburettor;
    (c.idle_opening_closed + c.idle_opening_per_turn * setting.idle_turns).clamp(0.005, 0.5) * c.slide_travel_mm
}

/// Does all manoeuvres with a warm engine and judges them.
pub fn check(setup: &Setup, facts: Facts, setting: Setting, seed: u64, limits: &Limits, waits: &Waits) -> Report {
    let rig = Rig::warm(setup, setting, seed);
    check_from(rig, setup, facts, setting, seed, limits, waits)
}

/// The same for an engine in a state of its own (cold, worn, short of fuel): only its thermal state and film are taken over.
pub fn check_from(
    start: Rig,
    setup: &Setup,
    facts: Facts,
    setting: Setting,
    seed: u64,
    limits: &Limits,
    waits: &Waits,
) -> Report {
    let symptoms = symptoms::measure(start, setup, facts, setting, waits);
    let checks = report::judge(&symptoms, setup, facts, limits);
    let warnings = symptoms
        .head_temperature_c
        .filter(|head| *head < COOL_HEAD_C)
        .map(|head_temperature_c| Warning::HeadStaysCool {
            head_temperature_c,
            low_c: COOL_HEAD_C,
        })
        .into_iter()
        .collect();
    Report {
        seed,
        setting,
        clean: checks.iter().all(|c| c.pass),
        checks,
        symptoms,
        warnings,
    }
}
