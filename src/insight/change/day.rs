//! A day's weather as a plan: hour by hour where the clean setting lies, when a screw is worth turning and when it is better left alone, and
//! one setting that is rich enough for every hour.

use rayon::prelude::*;
use serde::Serialize;

use super::place::Solver;
use super::{Change, Left, Place, WORTH, apart, turns};
use crate::bench::checks::Failed;
use crate::engine::params::Setting;
use crate::fluids::air::{Air, Weather};
use crate::fluids::equilibrium::EquilibriumError;

/// One hour.
#[derive(Clone, Debug, Serialize)]
pub struct Hour {
    /// Its weather.
    #[serde(flatten)]
    pub weather: Weather,
    /// Altitude in the standard atmosphere with its density, m.
    pub density_altitude_m: f64,
    /// Where the screws are best left.
    pub left: Left,
    /// What fails if they stay where the hour finds them; nothing is clean.
    pub failed_if_left: Failed,
    /// From where the hour finds them, turns: high, low, idle; nought where nothing is worth turning.
    pub turns: [f64; 3],
    /// Where they stand after that.
    pub stands: Setting,
    /// What fails in this hour at the one setting for the whole day.
    pub failed_at_one: Failed,
}

/// A day.
#[derive(Clone, Debug, Serialize)]
pub struct Day {
    /// Seed of the engine's noise.
    pub seed: u64,
    /// Where the screws stand before it.
    pub stands: Setting,
    /// The hours.
    pub hours: Vec<Hour>,
    /// The needles as rich as the richest hour asks for, the idle stop in the middle.
    pub one_setting: Setting,
}

impl Day {
    /// Whether every hour has a clean setting in reach.
    pub fn is_clean(&self) -> bool {
        self.hours.iter().all(|hour| hour.left.clean)
    }
}

/// Plans the day of an engine that comes from `change.from`; `change.to` says all but the weather. `shown` is told the share that is done.
///
/// # Errors
/// A fuel whose heat can't be computed.
pub fn plan(change: &Change, weathers: &[Weather], mut shown: impl FnMut(f64)) -> Result<Day, EquilibriumError> {
    let from = Solver::new(change.from, change)?;
    let stands = change.stands.unwrap_or_else(|| from.left().setting);
    let places: Vec<Place> = weathers
        .iter()
        .map(|weather| Place {
            weather: *weather,
            ..change.to.clone()
        })
        .collect();
    let first = if change.from.usual == change.to.usual {
        from
    } else {
        Solver::new(change.to, change)?
    };
    let solvers: Vec<Solver> = places
        .iter()
        .map(|place| first.beside(place))
        .collect::<Result<_, _>>()?;
    // Two hours at a time, so that what is done can be shown.
    let mut lefts: Vec<Left> = Vec::with_capacity(solvers.len());
    for some in solvers.chunks(rayon::current_num_threads().max(1)) {
        lefts.par_extend(some.par_iter().map(Solver::left));
        shown(lefts.len() as f64 / solvers.len() as f64);
    }
    let richest = |k: usize| lefts.iter().map(|left| turns(left.setting)[k]).fold(0.0, f64::max);
    let idles = lefts.iter().map(|left| left.setting.idle_turns);
    let (least, most) = (idles.clone().fold(f64::INFINITY, f64::min), idles.fold(0.0, f64::max));
    let one_setting = Setting {
        high_turns: richest(0),
        low_turns: richest(1),
        idle_turns: if least <= most {
            0.5 * (least + most)
        } else {
            stands.idle_turns
        },
    };
    let mut now = stands;
    let hours = weathers
        .iter()
        .zip(&solvers)
        .zip(lefts)
        .map(|((weather, solver), left)| {
            let failed_if_left = solver.checked(now).failing();
            let apart = apart(left.setting, now);
            let worth = left.clean && (0..3).any(|k| apart[k].abs() >= WORTH[k]);
            if worth {
                now = left.setting;
            }
            Hour {
                weather: *weather,
                density_altitude_m: Air::new(weather).density_altitude,
                failed_if_left,
                turns: if worth { apart } else { [0.0; 3] },
                stands: now,
                failed_at_one: solver.checked(one_setting).failing(),
                left,
            }
        })
        .collect();
    Ok(Day {
        seed: change.seed,
        stands,
        hours,
        one_setting,
    })
}
