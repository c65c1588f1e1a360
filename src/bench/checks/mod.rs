//! Is it clean? The sign-off: every measure with its limit and verdict, at one setting of one engine.
//!
//! Nothing here knows the true setting: the verdict rests on what the manoeuvres showed. The limits are data ([`Limits`]).

mod facts;
mod limits;
mod name;
mod plane;
mod report;
mod symptoms;

pub use facts::{Facts, best_snap_delay_s};
pub use limits::Limits;
pub use name::{Bog, CheckName, Outside, Unit, Warning};
pub use plane::{Row, check_rows};
pub use report::{Check, Failed, Report};
pub use symptoms::Symptoms;

use super::lab::{Case, Lab};
use super::manoeuvre::table::Waits;
use super::rig::Rig;
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup, idle_opening};
use crate::lanes::one;

/// How much leaner a safe setting is still clean, turns: what a hotter day, a lower tank or a careless hand takes (common practice).
const SAFE_TURNS: [f64; 2] = [1.0 / 8.0, 1.0 / 24.0];

/// The setting with the high-speed needle an eighth of a turn and the low-speed needle a twenty-fourth leaner: clean there, too, a
/// setting is safe.
pub fn leaner(setting: Setting) -> Setting {
    let [high, low] = SAFE_TURNS;
    Setting {
        high_turns: (setting.high_turns - high).max(0.0),
        low_turns: (setting.low_turns - low).max(0.0),
        ..setting
    }
}

/// Slide gap left by the idle stop, mm.
pub fn idle_gap_mm(setup: &Setup, setting: Setting) -> f64 {
    let c = &setup.engine.carburettor;
    let opening = idle_opening(c.idle_opening_closed, c.idle_opening_per_turn, one(setting.idle_turns));
    opening.number() * c.slide_travel_mm
}

/// Does all manoeuvres with a warm engine and judges them.
pub fn check(setup: &Setup, facts: Facts, setting: Setting, seed: u64, limits: &Limits, waits: &Waits) -> Report {
    check_from(
        Rig::warm(setup, setting, seed),
        setup,
        facts,
        setting,
        seed,
        limits,
        waits,
    )
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
    check_settings(start, setup, facts, &[setting], seed, limits, waits).swap_remove(0)
}

/// The same at several settings side by side.
pub fn check_settings(
    start: Rig,
    setup: &Setup,
    facts: Facts,
    settings: &[Setting],
    seed: u64,
    limits: &Limits,
    waits: &Waits,
) -> Vec<Report> {
    let mut lab = lab(start.engine, setup, facts, waits);
    let cases: Vec<_> = settings
        .iter()
        .map(|setting| (lab.add(start.with_setting(*setting).stand()), *setting, seed))
        .collect();
    check_in(&mut lab, &cases, setup, facts, limits)
}

/// A lab for sign-offs of an engine: its brake holds the rated speed.
pub fn lab(engine: Engine, setup: &Setup, facts: Facts, waits: &Waits) -> Lab {
    let waits = Waits {
        brake_rpm: facts.rated_rpm,
        ..*waits
    };
    Lab::of(engine, setup, &waits)
}

/// The sign-off of many cases of a lab side by side, each with its setting and the seed of its noise.
pub fn check_in(
    lab: &mut Lab,
    cases: &[(Case, Setting, u64)],
    setup: &Setup,
    facts: Facts,
    limits: &Limits,
) -> Vec<Report> {
    symptoms::measure(lab, &cases.iter().map(|case| case.0).collect::<Vec<_>>());
    cases
        .iter()
        .map(|(case, setting, seed)| {
            let symptoms = symptoms::symptoms(lab.findings(*case), setup, *setting);
            report::report(symptoms, setup, facts, *setting, *seed, limits)
        })
        .collect()
}
