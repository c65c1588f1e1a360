//! Where the clean setting moves when fuel, weather, plug or engine change: solved, not tabulated.
//!
//! Both ends of the change start from the same place: the setting at which the engine gets there the mixture it gets on its usual day,
//! its idle where a careful racer leaves it. Where that is clean with a click of room to all sides it is taken, so that small changes
//! give small moves; else the middle of what is clean around it is sought, as for a practice. Clean means clean as `check` judges it and
//! as the engine comes in from laps in that weather.

pub mod day;
pub mod levers;
mod place;
mod rich;
pub mod unknown;
pub mod work;

use rayon::prelude::*;
use serde::Serialize;

pub use levers::{Lever, Part};
use place::Solver;
pub use place::{Left, Place};
pub use rich::RichStart;
pub use unknown::{Cause, Known, Set};
pub use work::{Act, Step, Work};

use crate::bench::checks::{Failed, Limits};
use crate::config::SetupError;
use crate::engine::params::Setting;
use crate::tuning::action::Screw;

/// Least worth turning, turns: a click of a needle, an eighth of the idle stop (common practice: less is not heard).
const WORTH: [f64; 3] = [1.0 / 24.0, 1.0 / 24.0, 1.0 / 8.0];

/// A change that is asked about.
#[derive(Clone, Copy, Debug)]
pub struct Change<'a> {
    /// Where the engine was set.
    pub from: &'a Place,
    /// Where it is to run.
    pub to: &'a Place,
    /// Where the owner's screws stand; where they are best left before the change, if nothing is said.
    pub stands: Option<Setting>,
    /// What nobody knows, one set of numbers for each way in which it may be.
    pub sets: &'a [Set],
    /// Limits of a clean setting.
    pub limits: Limits,
    /// Seed of the engine's noise.
    pub seed: u64,
}

/// What one screw has to do.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Move {
    /// Which.
    pub screw: Screw,
    /// How far from where it stands, turns; out is positive at the needles, in at the idle stop: more fuel, more air.
    pub turns: f64,
    /// The same in whole clicks of a twenty-fourth.
    pub clicks: i64,
    /// Half of the span from the least to the most, turns.
    pub spread_turns: f64,
    /// The least it may have to be, by what is not known.
    pub least_turns: f64,
    /// The most.
    pub most_turns: f64,
    /// Whether a hand can make a difference by it.
    pub worth_turning: bool,
}

/// What one cause of doubt adds to the moves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Doubt {
    /// The cause.
    #[serde(flatten)]
    pub cause: Cause,
    /// Sets that stand for it.
    pub sets: usize,
    /// How much less and how much more it may make of each move, turns: high, low, idle.
    pub turns: [[f64; 2]; 3],
}

/// The moves that one set of numbers asks for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OfSet {
    /// The unknown it stands for.
    #[serde(flatten)]
    pub cause: Cause,
    /// Turns from where the screws stand: high, low, idle.
    pub turns: [f64; 3],
}

/// The answer.
#[derive(Clone, Debug, Serialize)]
pub struct Plan {
    /// Seed of the engine's noise.
    pub seed: u64,
    /// Where the screws stand.
    pub stands: Setting,
    /// Where they are best left before the change.
    pub before: Left,
    /// Where they are best left after it.
    pub after: Left,
    /// What passes where the screws stand, after the change: nothing failed is clean.
    pub as_it_stands_failed: Failed,
    /// High, low, idle; none where nothing in reach is clean.
    pub moves: Vec<Move>,
    /// Where to start; none where nothing in reach is clean.
    pub rich_start: Option<RichStart>,
    /// By what the moves may be off, each cause by itself.
    pub doubts: Vec<Doubt>,
    /// What each set of numbers asks of the screws from where they stand, turns: high, low, idle.
    pub of_sets: Vec<OfSet>,
    /// What the spread counts, and no more.
    pub spread_covers: Vec<&'static str>,
    /// What to do, in its order; nothing where nothing in reach is clean.
    pub work: Option<Work>,
    /// What else could be changed, and its effect there.
    pub levers: Vec<Lever>,
}

impl Plan {
    /// Whether there is a clean setting in reach.
    pub fn is_clean(&self) -> bool {
        self.after.clean
    }

    /// Clean as it stands, and no move that a hand would feel.
    pub fn nothing_worth_turning(&self) -> bool {
        self.is_clean() && self.as_it_stands_failed.is_empty() && self.moves.iter().all(|m| !m.worth_turning)
    }
}

fn turns(setting: Setting) -> [f64; 3] {
    [setting.high_turns, setting.low_turns, setting.idle_turns]
}

fn apart(to: Setting, from: Setting) -> [f64; 3] {
    let (to, from) = (turns(to), turns(from));
    [0, 1, 2].map(|k| to[k] - from[k])
}

/// Solves a change.
///
/// # Errors
/// A fuel whose heat can't be computed, or a plug that can't be read.
pub fn plan(change: &Change) -> Result<Plan, SetupError> {
    let from = Solver::new(change.from, change)?;
    let to = if change.from.usual == change.to.usual {
        from.beside(change.to)?
    } else {
        Solver::new(change.to, change)?
    };
    let (before, after) = rayon::join(|| from.left(), || to.left());
    let stands = change.stands.unwrap_or(before.setting);
    let as_it_stands_failed = to.checked(stands).failing();
    let mut plan = Plan {
        seed: change.seed,
        stands,
        before,
        after,
        as_it_stands_failed,
        moves: Vec::new(),
        rich_start: None,
        doubts: Vec::new(),
        of_sets: Vec::new(),
        spread_covers: Vec::new(),
        work: None,
        levers: Vec::new(),
    };
    if !plan.is_clean() {
        return Ok(plan);
    }
    let asked = apart(plan.after.setting, stands);
    let nominal = apart(plan.after.same, plan.before.same);
    // How much another set would have the screws move, beyond what is nominal.
    let beyond: Vec<[f64; 3]> = change
        .sets
        .par_iter()
        .map(|set| {
            let before = set.from.map_or(plan.before.same, |known| from.same_in(&known));
            let after = set.to.map_or(plan.after.same, |known| to.same_in(&known));
            let moved = apart(after, before);
            [0, 1, 2].map(|k| moved[k] - nominal[k])
        })
        .collect();
    plan.doubts = unknown::doubts(change.sets, &beyond);
    plan.spread_covers = plan.doubts.iter().map(|doubt| doubt.cause.covers()).collect();
    plan.spread_covers.sort_unstable();
    plan.spread_covers.dedup();
    plan.moves = Screw::ALL
        .into_iter()
        .enumerate()
        .map(|(k, screw)| {
            let [less, more] = unknown::together(plan.doubts.iter().map(|doubt| doubt.turns[k]));
            Move {
                screw,
                turns: asked[k],
                clicks: (asked[k] * 24.0).round() as i64,
                spread_turns: 0.5 * (more - less),
                least_turns: asked[k] + less,
                most_turns: asked[k] + more,
                worth_turning: asked[k].abs() >= WORTH[k],
            }
        })
        .collect();
    plan.of_sets = change
        .sets
        .iter()
        .zip(&beyond)
        .map(|(set, beyond)| OfSet {
            cause: set.cause,
            turns: [0, 1, 2].map(|k| asked[k] + beyond[k]),
        })
        .collect();
    // The richest that any set by itself, or all causes together, would ask for.
    let richest = [0, 1].map(|k| {
        let of_sets = plan.of_sets.iter().map(|set| set.turns[k]);
        of_sets.fold(plan.moves[k].most_turns, f64::max)
    });
    let rich = rich::start(&to, stands, plan.after.setting, richest);
    plan.rich_start = Some(rich);
    let another_fuel = change.from.models.fuel != change.to.models.fuel;
    plan.work = Some(work::order(&to, &plan, rich, another_fuel));
    plan.levers = levers::levers(&to, change.to, &plan.after)?;
    Ok(plan)
}
