//! What nobody knows and a plan rests on, as sets of numbers: the blend within its label's tolerance, the oil's viscosity, the rule by
//! which a blend's viscosity follows from its parts'. Each set is the engine on its usual day and at both ends of the change, one thing
//! different in it. Another source of sets adds to the same list.

use serde::Serialize;

use super::{Doubt, Place};
use crate::config::FuelModel;
use crate::engine::Setup;
use crate::engine::params::{EngineParams, LawParams};
use crate::fluids::equilibrium::EquilibriumError;
use crate::fluids::fuel::Blend;
use crate::fluids::mixing_rule::MixingRule;

/// How far a jug may be off its label, percent by volume (assumed, as in the practice's ordinary situations).
pub const NITRO_TOLERANCE_PERCENT: f64 = 1.0;
/// The same for the oil.
pub const OIL_TOLERANCE_PERCENT: f64 = 0.5;
/// How far an oil's viscosity may be off the book, as a share (lots of castor oil differ by 10 %: Smithsonian Physical Tables).
pub const OIL_VISCOSITY_SHARE: f64 = 0.1;

/// Which jug is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Jug {
    /// The one before the change.
    Before,
    /// The one after it.
    After,
    /// The same all the way.
    Same,
}

/// Why a move may be another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "cause", content = "jug", rename_all = "snake_case")]
pub enum Cause {
    /// Nitromethane in a jug against its label.
    LabelNitro(Jug),
    /// Oil in a jug against its label.
    LabelOil(Jug),
    /// The viscosity of a jug's blend against the book.
    Viscosity(Jug),
    /// The rule by which the viscosity follows from the blend.
    MixingRule,
    /// The constants of the model itself.
    Constants,
}

/// An engine on its usual day, and somewhere else.
#[derive(Clone, Copy, Debug)]
pub struct Known {
    /// With its usual fuel and plug in the usual weather.
    pub usual: Setup,
    /// As it runs here.
    pub setup: Setup,
}

/// One way in which things may be, at both ends of a change.
#[derive(Clone, Copy, Debug)]
pub struct Set {
    /// Which unknown it stands for.
    pub cause: Cause,
    /// Before the change; none where it is as nominal there.
    pub from: Option<Known>,
    /// After it.
    pub to: Option<Known>,
}

impl Cause {
    /// What it is called where it is told what a spread covers.
    pub fn covers(self) -> &'static str {
        match self {
            Self::LabelNitro(_) | Self::LabelOil(_) => "label tolerance",
            Self::Viscosity(_) => "viscosity of the oil",
            Self::MixingRule => "viscosity mixing rule",
            Self::Constants => "constants of the model",
        }
    }
}

/// How a jug may differ from its label.
#[derive(Clone, Copy)]
struct Off {
    nitro_percent: f64,
    oil_percent: f64,
    viscosity_share: f64,
}

const ON_LABEL: Off = Off {
    nitro_percent: 0.0,
    oil_percent: 0.0,
    viscosity_share: 0.0,
};

fn poured(place: &Place, off: Off) -> Result<Known, EquilibriumError> {
    let mut place = place.clone();
    let fuel = &place.models.fuel;
    place.models.fuel = FuelModel {
        blend: Blend {
            nitro_percent: fuel.blend.nitro_percent + off.nitro_percent,
            oil_percent: fuel.blend.oil_percent + off.oil_percent,
            ..fuel.blend
        }
        .held(),
        viscosity_factor: fuel.viscosity_factor * (1.0 + off.viscosity_share),
        ..fuel.clone()
    };
    place.known()
}

/// By another mixing rule: the needles' gaps were set on the usual fuel, so there nothing changes.
fn ruled(place: &Place, rule: MixingRule) -> Result<Option<Known>, EquilibriumError> {
    let beyond = rule.beyond(place.usual.fuel.blend, place.models.fuel.blend);
    if beyond == 1.0 {
        return Ok(None);
    }
    let mut place = place.clone();
    place.models.fuel.viscosity_factor *= beyond;
    place.known().map(Some)
}

/// By other constants of engine and laws, on its usual day, too.
fn made(place: &Place, (engine, laws): &(EngineParams, LawParams)) -> Result<Known, EquilibriumError> {
    let mut place = place.clone();
    for models in [&mut place.usual, &mut place.models] {
        (models.engine.params, models.laws) = (*engine, *laws);
    }
    place.known()
}

/// The sets for what is known not to be known. A jug that stays the same is off its label in the same way before and after. `engines`
/// are further sets of constants of this engine, each tuned so that its reference setting is clean; they say nothing of a change from
/// one engine to another.
///
/// # Errors
/// A fuel whose heat can't be computed.
pub fn sets(from: &Place, to: &Place, engines: &[(EngineParams, LawParams)]) -> Result<Vec<Set>, EquilibriumError> {
    let same_jug = from.models.fuel == to.models.fuel;
    let jugs: &[Jug] = if same_jug {
        &[Jug::Same]
    } else {
        &[Jug::Before, Jug::After]
    };
    let mut sets = Vec::new();
    for jug in jugs {
        let (before, after) = (*jug != Jug::After, *jug != Jug::Before);
        for way in [-1.0, 1.0] {
            let offs = [
                (
                    Cause::LabelNitro(*jug),
                    Off {
                        nitro_percent: way * NITRO_TOLERANCE_PERCENT,
                        ..ON_LABEL
                    },
                ),
                (
                    Cause::LabelOil(*jug),
                    Off {
                        oil_percent: way * OIL_TOLERANCE_PERCENT,
                        ..ON_LABEL
                    },
                ),
                (
                    Cause::Viscosity(*jug),
                    Off {
                        viscosity_share: way * OIL_VISCOSITY_SHARE,
                        ..ON_LABEL
                    },
                ),
            ];
            for (cause, off) in offs {
                sets.push(Set {
                    cause,
                    from: before.then(|| poured(from, off)).transpose()?,
                    to: after.then(|| poured(to, off)).transpose()?,
                });
            }
        }
    }
    for rule in [MixingRule::Mass, MixingRule::Mole] {
        let (from, to) = (ruled(from, rule)?, ruled(to, rule)?);
        let cause = Cause::MixingRule;
        sets.extend((from.is_some() || to.is_some()).then_some(Set { cause, from, to }));
    }
    if from.usual.engine == to.usual.engine {
        for engine in engines {
            sets.push(Set {
                cause: Cause::Constants,
                from: Some(made(from, engine)?),
                to: Some(made(to, engine)?),
            });
        }
    }
    Ok(sets)
}

/// What each cause makes of the moves: the least and the most of its sets, beyond what is nominal.
pub(super) fn doubts(sets: &[Set], beyond: &[[f64; 3]]) -> Vec<Doubt> {
    let mut doubts: Vec<Doubt> = Vec::new();
    for (set, beyond) in sets.iter().zip(beyond) {
        let place = doubts.iter().position(|doubt| doubt.cause == set.cause);
        let place = place.unwrap_or_else(|| {
            doubts.push(Doubt {
                cause: set.cause,
                sets: 0,
                turns: [[0.0; 2]; 3],
            });
            doubts.len() - 1
        });
        let doubt = &mut doubts[place];
        doubt.sets += 1;
        for (turns, beyond) in doubt.turns.iter_mut().zip(beyond) {
            *turns = [turns[0].min(*beyond), turns[1].max(*beyond)];
        }
    }
    doubts
}

/// Causes that have nothing to do with each other, together: the root of the sum of their squares, to either side.
pub fn together(causes: impl Iterator<Item = [f64; 2]>) -> [f64; 2] {
    let [less, more] = causes.fold([0.0; 2], |[less, more], turns| {
        [less + turns[0] * turns[0], more + turns[1] * turns[1]]
    });
    [-f64::sqrt(less), f64::sqrt(more)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_causes_add_by_their_squares_to_either_side() {
        let both = together([[-3.0, 0.0], [-4.0, 1.0]].into_iter());
        assert_eq!(both, [-5.0, 1.0]);
        assert_eq!(together(std::iter::empty()), [0.0, 0.0]);
    }
}
