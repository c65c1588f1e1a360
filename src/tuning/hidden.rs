//! What a scenario hides: what was drawn for it (the blend in the jug, the oil's viscosity, the sleeve's wear, the screws' ends), and
//! from that the true setting and where the screws start.
//!
//! The true setting is sought from where the engine gets the mixture it gets at its reference setting: there the needles are moved
//! until idle and full throttle meter the same equivalence ratio, the idle stop until the idle speed is the same. `truth` takes the
//! middle of what is clean around it.

use super::drawn::Drawn;
use super::judging::{Judging, off};
use super::scenario::{Fault, Scenario};
use super::truth::{self, CLICK};
use super::usual::Usual;
use crate::bench::checks::{CheckName, Limits, Report};
use crate::bench::manoeuvre::table;
use crate::bench::player::Unseen;
use crate::bench::rig::Rig;
use crate::config::{ConfigError, Ensemble, FuelModel, Models, SetupError};
use crate::engine::Setup;
use crate::engine::params::{Faults, Setting};
use crate::fluids::air::Weather;
use crate::fluids::equilibrium::EquilibriumError;
use crate::fluids::fuel::Blend;

/// Why a scenario can't be started.
#[derive(Debug, thiserror::Error)]
pub enum HiddenError {
    /// A model that can't be used.
    #[error(transparent)]
    Setup(#[from] SetupError),
    /// No setting in reach passes the checks.
    #[error(
        "scenario `{scenario}`: with seed {seed} no clean setting is in reach: the nearest fails {}; choose another seed, or \
         widen its [limits], or change its engine, fuel or weather",
        failed.iter().map(|name| name.key()).collect::<Vec<_>>().join(", ")
    )]
    NothingClean {
        /// Its name.
        scenario: String,
        /// The seed.
        seed: u64,
        /// What the nearest setting fails.
        failed: Vec<CheckName>,
    },
    /// No start that was drawn makes a practice.
    #[error(
        "scenario `{scenario}`: with seed {seed} none of {TRIES} starts makes a practice: either the engine can't be started there or \
         it is clean already; choose another seed, or another width in [start.high], [start.low] or [start.idle]"
    )]
    NoStart {
        /// Its name.
        scenario: String,
        /// The seed.
        seed: u64,
    },
}

impl From<ConfigError> for HiddenError {
    fn from(error: ConfigError) -> Self {
        Self::Setup(error.into())
    }
}

impl From<EquilibriumError> for HiddenError {
    fn from(error: EquilibriumError) -> Self {
        Self::Setup(error.into())
    }
}

/// What chance and the scenario made: nobody who practises may see it before the end.
#[derive(Clone, Debug)]
pub struct Hidden {
    /// The engine as it stands, its faults included.
    pub setup: Setup,
    /// The same with everything put right that can be.
    pub sound: Setup,
    /// How a setting is judged.
    pub judging: Judging,
    /// Limits of a clean setting.
    pub limits: Limits,
    /// The true setting.
    pub truth: Setting,
    /// The checks there, on the sound engine.
    pub at_truth: Report,
    /// Where the screws start.
    pub start: Setting,
    /// Where they stood when this stage began: at the start, where there is but one.
    pub came: Setting,
    /// The blend in the jug.
    pub blend: Blend,
    /// What chance drew.
    pub drawn: Drawn,
}

impl Hidden {
    /// Draws a scenario's hidden side.
    ///
    /// # Errors
    /// A model that can't be used, or no clean setting in reach: such a practice couldn't be won.
    pub fn draw(scenario: &Scenario, seed: u64, episode: u64) -> Result<Self, HiddenError> {
        let (mut drawn, today) = on_a_set_with_room(scenario, Drawn::draw(scenario, seed, episode), seed);
        let today = today?;
        let (truth, judging) = (today.at_truth.setting, today.judging);
        let setup = Setup {
            faults: Fault::faults(drawn.fault, drawn.sleeve_wear_share),
            ..today.sound
        };
        // An engine that doesn't start at its true setting either, in this cold and with this fault, is not held against the draw.
        let startable = starts(&setup, truth, drawn.engine_seed, scenario.cold);
        let asks_for_the_truth = scenario.start.offs().iter().all(|off| off.chance == 0.0);
        let practice = Drawn::starts(scenario, seed, episode).take(TRIES).find(|turns| {
            let start = off(truth, *turns);
            asks_for_the_truth
                || (!startable || starts(&setup, start, drawn.engine_seed, scenario.cold))
                    && (drawn.fault.is_some() || !judging.check(&setup, start).clean)
        });
        drawn.start_turns = practice.ok_or_else(|| HiddenError::NoStart {
            scenario: scenario.name.clone(),
            seed,
        })?;
        let start = off(truth, drawn.start_turns);
        Ok(today.hidden(setup, start, start, scenario, drawn))
    }

    /// The same engine after so many sign-offs, in the situation of that stage, its screws where they stand now. But for those and for
    /// the faults it came with it is the same for all that were drawn alike (`came_to`).
    ///
    /// # Errors
    /// A model that can't be used, or no clean setting in reach.
    pub fn later(
        &self,
        scenario: &Scenario,
        seed: u64,
        episode: u64,
        signed_off: usize,
        stand: Setting,
    ) -> Result<Self, HiddenError> {
        let (before, now) = (scenario.at_stage(signed_off - 1), scenario.at_stage(signed_off));
        let mut drawn = self.drawn;
        if now.fuel != before.fuel {
            drawn = drawn.another_jug(scenario, seed, episode, signed_off);
        }
        let stage = &scenario.stages[signed_off - 1];
        drawn.sleeve_wear_share += stage.numbers.sleeve_wear_share;
        let today = Today::of(&now, &drawn, seed)?;
        let setup = today.sound;
        let day = today.hidden(setup, self.start, stand, scenario, drawn);
        Ok(self.came_to(&day, stand))
    }

    /// This engine on that day, its screws where they stand and with the faults it has.
    pub(super) fn came_to(&self, day: &Self, stand: Setting) -> Self {
        Self {
            setup: Setup {
                faults: Faults {
                    sleeve_wear_share: day.drawn.sleeve_wear_share,
                    ..self.setup.faults
                },
                ..day.sound
            },
            came: stand,
            ..day.clone()
        }
    }
}

/// What one day makes of an engine: its fuel, its air, and the true setting in them.
struct Today {
    sound: Setup,
    judging: Judging,
    at_truth: Report,
    blend: Blend,
    /// A click more or less at a needle is clean, too. Asked of an engine whose constants were drawn, and taken for granted of the
    /// reference's.
    room: bool,
}

impl Today {
    fn hidden(self, setup: Setup, start: Setting, came: Setting, scenario: &Scenario, drawn: Drawn) -> Hidden {
        Hidden {
            setup,
            sound: self.sound,
            judging: self.judging,
            limits: scenario.limits,
            truth: self.at_truth.setting,
            at_truth: self.at_truth,
            start,
            came,
            blend: self.blend,
            drawn,
        }
    }

    fn of(scenario: &Scenario, drawn: &Drawn, seed: u64) -> Result<Self, HiddenError> {
        let mut reference = Models::among(&scenario.own, &scenario.engine)?;
        if let Some(share) = drawn.set_share {
            // From here on it is another engine, and all that is known of it is known of that one.
            let (ensemble, engine) = (Ensemble::built_in()?, &mut reference.engine);
            let set = ((share * ensemble.sets as f64) as usize).min(ensemble.sets - 1);
            ensemble.apply(&engine.name, set, &mut engine.params, &mut reference.laws);
        }
        let label = scenario.own.fuel(&scenario.fuel)?;
        let blend = Blend {
            nitro_percent: label.blend.nitro_percent + drawn.nitro_percent,
            oil_percent: label.blend.oil_percent + drawn.oil_percent,
            ..label.blend
        }
        .held();
        let wear = drawn.sleeve_wear_share;
        let poured = Models {
            plug: scenario.own.plug(&scenario.plug)?,
            fuel: FuelModel {
                blend,
                viscosity_factor: label.viscosity_factor * (1.0 + drawn.viscosity_share),
                ..label
            },
            ..reference.clone()
        };
        let worn = Faults {
            sleeve_wear_share: wear,
            ..Faults::NONE
        };
        let (sound, undrawn) = rayon::join(
            || poured.setup(&scenario.weather(), worn),
            || reference.setup(&Weather::REFERENCE, Faults::NONE),
        );
        let (sound, undrawn) = (sound?, undrawn?);
        let usual = Usual {
            engine: &reference.engine,
            setup: &undrawn,
            setting: reference.engine.reference,
            limits: scenario.limits,
            seed: drawn.engine_seed,
        };
        let same = usual.same_on(&sound);
        let judging = usual.judging(&sound, same);
        let at_truth = truth::sought(&|settings: &[Setting]| judging.check_on_both(&sound, settings), same);
        if !at_truth.clean {
            return Err(HiddenError::NothingClean {
                scenario: scenario.name.clone(),
                seed,
                failed: at_truth.failed(),
            });
        }
        let beside = || BESIDE.map(|turns| off(at_truth.setting, turns));
        let clean = |settings: &[Setting]| {
            judging
                .check_on_both(&sound, settings)
                .iter()
                .all(|report| report.clean)
        };
        let room = drawn.set_share.is_none() || clean(&beside());
        Ok(Self {
            room,
            sound,
            judging,
            at_truth,
            blend,
        })
    }
}

/// A day on the set of constants that was drawn, or on another where nothing is clean with that one on this fuel and in this air, or where
/// what is clean is narrower than a click: no screw could be set there, and no engine that is sold is like that (common practice).
fn on_a_set_with_room(scenario: &Scenario, drawn: Drawn, seed: u64) -> (Drawn, Result<Today, HiddenError>) {
    let mut found = (drawn, Today::of(scenario, &drawn, seed));
    let mut share = drawn.set_share;
    for _ in 0..OTHER_SETS {
        let Some(tried) = share else { break };
        match &found.1 {
            Ok(today) if today.room => break,
            Ok(_) | Err(HiddenError::NothingClean { .. }) => {}
            Err(_) => break,
        }
        share = Some((tried + ANOTHER_SET).fract());
        let other = Drawn {
            set_share: share,
            ..drawn
        };
        let today = Today::of(scenario, &other, seed);
        if today.as_ref().is_ok_and(|today| today.room || found.1.is_err()) {
            found = (other, today);
        }
    }
    found
}

/// A click at either needle, either way, turns.
const BESIDE: [[f64; 3]; 4] = [
    [CLICK, 0.0, 0.0],
    [-CLICK, 0.0, 0.0],
    [0.0, CLICK, 0.0],
    [0.0, -CLICK, 0.0],
];

/// How many other sets are tried; how far on one is, as a share of all (the golden ratio: never near one that was tried).
const OTHER_SETS: u32 = 3;
const ANOTHER_SET: f64 = 0.618_034;

/// Starts that are drawn until one makes a practice.
const TRIES: usize = 12;

/// Pulls of the starter after which an engine counts as one that can't be started.
const PULLS: u32 = 4;

/// Whether the engine starts there, as it comes, and stays alight while the lead is on.
fn starts(setup: &Setup, start: Setting, seed: u64, cold: bool) -> bool {
    let mut rig = Rig::warm(setup, start, seed);
    if cold {
        rig.state = rig.engine.cold_state();
    }
    rig.state.speed = 0.0;
    (0..PULLS).any(|_| {
        rig.play(&table::start(), Unseen);
        !rig.stalled()
    })
}
