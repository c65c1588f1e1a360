//! The order of work at the real engine, as data: purge, both ends rich, warm up, high-speed needle, idle stop, low-speed needle, and all
//! of it once more, because each moves the others a little. What to look for at each step is worded elsewhere.

use serde::Serialize;

use super::place::Solver;
use super::{Plan, RichStart, apart};
use crate::bench::manoeuvre::table;
use crate::bench::player::Unseen;
use crate::bench::rig::Rig;
use crate::tuning::action::Screw;
use crate::tuning::episode::WARM_HEAD_C;
use crate::units::kelvin_from_celsius;

/// Film time constants after which next to nothing of the old fuel lies in the crankcase.
const PURGES: f64 = 3.0;
/// As long as gentle blips are tried, s: the manoeuvre's own end.
const LONGEST_WARM_UP_S: f64 = 179.0;

/// What a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// Drain the old fuel, run what is left of it out of line and crankcase.
    Purge,
    /// Set all screws to the rich start.
    RichStart,
    /// Run the engine gently until it is warm.
    WarmUp,
    /// Lean the high-speed needle towards the clean setting.
    HighNeedle,
    /// Set the idle's speed.
    IdleStop,
    /// Lean the low-speed needle towards the clean setting.
    LowNeedle,
    /// High, idle and low once more.
    SecondPass,
    /// Listen to everything before it counts.
    Confirm,
}

/// One step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What is done.
    pub act: Act,
    /// The screw, if it is one.
    pub screw: Option<Screw>,
    /// How far it is expected to go from where it stands by then, turns; a guide, for what is heard decides.
    pub turns: Option<f64>,
    /// Half of the span within which that may lie.
    pub spread_turns: Option<f64>,
}

/// The order of work.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Work {
    /// How long the new fuel has to run before it tells anything, s; none where the fuel stays.
    pub purge_s: Option<f64>,
    /// How long gentle blips take a cold engine to running warmth in this weather, s; none where they don't within three minutes.
    pub warm_up_s: Option<f64>,
    /// The steps.
    pub steps: Vec<Step>,
}

const fn plain(act: Act) -> Step {
    Step {
        act,
        screw: None,
        turns: None,
        spread_turns: None,
    }
}

/// The order of work of a plan.
pub(super) fn order(solver: &Solver, plan: &Plan, rich: RichStart, another_fuel: bool) -> Work {
    let film_s = plan.after.report.symptoms.idle_film_time_constant_s;
    let from_rich = apart(plan.after.setting, rich.setting);
    let turned = |act, screw: Screw| {
        let k = screw as usize;
        Step {
            act,
            screw: Some(screw),
            turns: Some(from_rich[k]),
            spread_turns: plan.moves.get(k).map(|m| m.spread_turns),
        }
    };
    let purge = another_fuel.then_some(plain(Act::Purge));
    let rest = if plan.nothing_worth_turning() {
        vec![plain(Act::WarmUp), plain(Act::Confirm)]
    } else {
        vec![
            plain(Act::RichStart),
            plain(Act::WarmUp),
            turned(Act::HighNeedle, Screw::High),
            turned(Act::IdleStop, Screw::Idle),
            turned(Act::LowNeedle, Screw::Low),
            plain(Act::SecondPass),
            plain(Act::Confirm),
        ]
    };
    Work {
        purge_s: film_s.filter(|_| another_fuel).map(|film_s| PURGES * film_s),
        warm_up_s: warm_up_s(solver, rich),
        steps: purge.into_iter().chain(rest).collect(),
    }
}

/// Gentle blips from cold until the head is warm.
fn warm_up_s(solver: &Solver, rich: RichStart) -> Option<f64> {
    let mut rig = Rig::cold(solver.setup(), rich.setting, solver.seed());
    rig.play(&table::start(), Unseen);
    let began = rig.state.time;
    rig.play(&table::warm_up(kelvin_from_celsius(WARM_HEAD_C)), Unseen);
    let took = rig.state.time - began;
    (!rig.stalled() && took < LONGEST_WARM_UP_S).then_some(took)
}
