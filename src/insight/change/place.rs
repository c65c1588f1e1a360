//! One end of a change: an engine on some fuel in some weather, and where its screws are best left there.

use serde::Serialize;

use super::{Change, Known};
use crate::bench::checks::{Failed, Limits, Report};
use crate::config::{EngineModel, Models};
use crate::engine::Setup;
use crate::engine::params::{Faults, Setting};
use crate::fluids::air::Weather;
use crate::fluids::equilibrium::EquilibriumError;
use crate::tuning::judging::{Judging, off};
use crate::tuning::truth;
use crate::tuning::usual::Usual;

/// A click of a screw, turns.
const CLICK: f64 = 1.0 / 24.0;
/// The room that a setting is to have: a click of either needle, either way.
const ROOM: [[f64; 3]; 5] = [
    [0.0, 0.0, 0.0],
    [CLICK, 0.0, 0.0],
    [-CLICK, 0.0, 0.0],
    [0.0, CLICK, 0.0],
    [0.0, -CLICK, 0.0],
];

/// What is looked at around the usual mixture before it is said that nothing in reach is clean, turns: high, low, idle.
const GRID: [&[f64]; 3] = [
    &[-4.0 * CLICK, -2.0 * CLICK, 0.0, 2.0 * CLICK, 4.0 * CLICK],
    &[-2.0 * CLICK, 0.0, 2.0 * CLICK, 3.0 * CLICK, 4.0 * CLICK],
    &[-0.4, -0.2, 0.0, 0.2],
];

/// An engine, what it runs on, and the weather.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The engine with the plug and the fuel that its reference setting belongs to.
    pub usual: Models,
    /// The same with the plug and the fuel it has here.
    pub models: Models,
    /// The weather here.
    pub weather: Weather,
}

impl Place {
    /// The engine on its usual day and as it runs here, both sound.
    ///
    /// # Errors
    /// A fuel whose heat can't be computed.
    pub fn known(&self) -> Result<Known, EquilibriumError> {
        Ok(Known {
            usual: self.usual.setup(&Weather::REFERENCE, Faults::NONE)?,
            setup: self.models.setup(&self.weather, Faults::NONE)?,
        })
    }
}

/// Where screws are best left at one end of a change.
#[derive(Clone, Debug, Serialize)]
pub struct Left {
    /// The setting: clean, or the nearest to it that was found.
    pub setting: Setting,
    /// Whether it is clean as `check` judges it.
    pub clean: bool,
    /// What fails there, if anything does.
    pub failed: Failed,
    /// What fails as the engine comes in from laps in this weather, though `check` passes.
    pub failed_from_laps: Failed,
    /// Where the usual mixture is, from which it was sought.
    #[serde(skip)]
    pub same: Setting,
    /// The sign-off there.
    #[serde(skip)]
    pub report: Report,
}

/// Seeks clean settings at one end of a change.
#[derive(Clone, Copy)]
pub(super) struct Solver<'a> {
    engine: &'a EngineModel,
    known: Known,
    /// Where the engine is best left on its usual day.
    anchor: Setting,
    limits: Limits,
    seed: u64,
}

/// How settings are judged: as `check` does, and as the engine comes in from laps.
struct Judges {
    checked: Judging,
    from_laps: Judging,
}

impl Judges {
    fn of(usual: &Usual, setup: &Setup, same: Setting) -> Self {
        Self {
            checked: usual.judging_as_checked(setup),
            from_laps: usual.judging(setup, same),
        }
    }

    /// Of each setting the less clean of both sign-offs.
    fn worse(&self, setup: &Setup, settings: &[Setting]) -> Vec<Report> {
        let checked = self.checked.check_on_both(setup, settings);
        let from_laps = self.from_laps.check_on_both(setup, settings);
        let worse = |(a, b): (Report, Report)| if a.margin() <= b.margin() { a } else { b };
        checked.into_iter().zip(from_laps).map(worse).collect()
    }

    /// A clean setting near by, or the nearest to one that is found.
    fn sought(&self, setup: &Setup, same: Setting) -> Setting {
        let around = self.worse(setup, &ROOM.map(|by| off(same, by)));
        if around.iter().all(|report| report.clean) {
            return same;
        }
        let both = truth::sought(&|settings: &[Setting]| self.worse(setup, settings), same);
        if both.clean {
            return both.setting;
        }
        // Clean where `check` looks is better than clean nowhere: what fails from laps is told.
        let checked = truth::sought(
            &|settings: &[Setting]| self.checked.check_on_both(setup, settings),
            both.setting,
        );
        if checked.clean {
            return checked.setting;
        }
        // The search goes by the worst check and can be caught between two; before nothing is said to be in reach, all around is looked at.
        let grid: Vec<Setting> = GRID[0]
            .iter()
            .flat_map(|high| GRID[1].iter().map(move |low| (high, low)))
            .flat_map(|(high, low)| GRID[2].iter().map(move |idle| off(same, [*high, *low, *idle])))
            .collect();
        let found = self.checked.check_on_both(setup, &grid).into_iter();
        let best = found.chain([checked]).max_by(|a, b| a.margin().total_cmp(&b.margin()));
        best.map_or(same, |report| report.setting)
    }
}

impl<'a> Solver<'a> {
    /// For an end whose anchor is not known yet.
    pub fn new(place: &'a Place, change: &Change) -> Result<Self, EquilibriumError> {
        let mut solver = Self {
            engine: &place.usual.engine,
            known: place.known()?,
            anchor: place.usual.engine.reference,
            limits: change.limits,
            seed: change.seed,
        };
        let usual = solver.usual(&solver.known);
        let setup = &solver.known.usual;
        let same = usual.same_on(setup);
        solver.anchor = Judges::of(&usual, setup, same).sought(setup, same);
        Ok(solver)
    }

    /// For another end of the same engine.
    pub fn beside(&self, place: &'a Place) -> Result<Self, EquilibriumError> {
        Ok(Self {
            engine: &place.usual.engine,
            known: place.known()?,
            ..*self
        })
    }

    /// The engine as it runs here.
    pub fn setup(&self) -> &Setup {
        &self.known.setup
    }

    /// The engine on its usual day and here.
    pub fn known(&self) -> &Known {
        &self.known
    }

    /// Seed of the engine's noise.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// Limits of a clean setting.
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// The day from which this is sought, for an engine of these numbers.
    pub fn usual<'b>(&'b self, known: &'b Known) -> Usual<'b> {
        Usual {
            engine: self.engine,
            setup: &known.usual,
            setting: self.anchor,
            limits: self.limits,
            seed: self.seed,
        }
    }

    /// The setting with the usual mixture, for an engine of other numbers.
    pub fn same_in(&self, known: &Known) -> Setting {
        self.usual(known).same_on(&known.setup)
    }

    /// What `check` says to a setting here.
    pub fn checked(&self, setting: Setting) -> Report {
        self.usual(&self.known)
            .judging_as_checked(self.setup())
            .check(self.setup(), setting)
    }

    /// Where the screws are best left here.
    pub fn left(&self) -> Left {
        let usual = self.usual(&self.known);
        let setup = self.setup();
        let same = self.same_in(&self.known);
        let judges = Judges::of(&usual, setup, same);
        let setting = judges.sought(setup, same);
        let report = judges.checked.check(setup, setting);
        let from_laps = judges.from_laps.check(setup, setting);
        Left {
            setting,
            clean: report.clean,
            failed: report.failing(),
            failed_from_laps: if report.clean {
                from_laps.failing()
            } else {
                Failed::default()
            },
            same,
            report,
        }
    }
}
