//! Where to start: richer at both ends than the clean setting of every set considered, and if the engine runs there never leaner than the
//! screws stand already, for nobody should lean an engine by numbers alone.

use serde::Serialize;

use super::place::Solver;
use super::{apart, turns};
use crate::engine::params::Setting;
use crate::tuning::judging::within;

/// How much richer than the richest clean setting that is considered, turns: high, low (common practice: a quarter, an eighth).
const MARGIN: [f64; 2] = [1.0 / 4.0, 1.0 / 8.0];
/// What the idle stop is opened for that, turns, least first: a rich low end idles slower.
const OPENED: [f64; 5] = [0.0, 0.25, 0.5, 1.0, 1.5];
/// A click of a screw, turns.
const CLICK: f64 = 1.0 / 24.0;

/// A rich start.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RichStart {
    /// The setting.
    #[serde(flatten)]
    pub setting: Setting,
    /// From where the screws stand: high, low, idle.
    pub turns_from_here: [f64; 3],
    /// Idle speed there, rpm; 0 where it does not idle by itself.
    pub idle_rpm: f64,
    /// How much richer than the clean setting it meters, percent: wide open, idle.
    pub richer_percent: [f64; 2],
    /// The screws stand so rich that the engine would not idle with them: they go in before the start.
    pub leaner_than_it_stands: bool,
}

/// The rich start for screws that stand at `stands` and are to come to `clean`; `richest` are the most turns from where they stand that
/// any set asks for.
pub(super) fn start(solver: &Solver, stands: Setting, clean: Setting, richest: [f64; 2]) -> RichStart {
    let up_to_a_click = |turns: f64| (turns / CLICK - 1e-6).ceil() * CLICK;
    let richer = |share: f64| [0, 1].map(|k| up_to_a_click(richest[k] + share * MARGIN[k]));
    // As rich as they stand where that is richer; then without that, where it loads up and dies.
    let needles = [richer(1.0).map(|turns| turns.max(0.0)), richer(1.0), richer(0.5)];
    let idle = up_to_a_click((clean.idle_turns - stands.idle_turns).max(0.0));
    let tries: Vec<Setting> = needles
        .iter()
        .flat_map(|[high, low]| {
            OPENED.map(|opened| {
                within(Setting {
                    high_turns: stands.high_turns + high,
                    low_turns: stands.low_turns + low,
                    idle_turns: stands.idle_turns + idle + opened,
                })
            })
        })
        .collect();
    let usual = solver.usual(solver.known());
    let idles = usual.idles(solver.setup(), &tries);
    let low_rpm = solver.limits().idle_low_rpm;
    let first = |least: f64| idles.iter().position(|rpm| *rpm > least);
    let place = first(low_rpm).or_else(|| first(0.0)).unwrap_or(OPENED.len());
    let setting = tries[place];
    let metered = usual.mixtures(solver.setup(), &[clean, setting]);
    RichStart {
        setting,
        turns_from_here: apart(setting, stands),
        idle_rpm: idles[place],
        richer_percent: [0, 1].map(|k| 100.0 * (metered[1][k] / metered[0][k] - 1.0)),
        leaner_than_it_stands: (0..2).any(|k| turns(setting)[k] < turns(stands)[k] - 1e-9),
    }
}
