//! A small map of the settings around the true one, as data: what the sign-off finds in each field, and the path that the screws took
//! over it. It takes a check a field, so it is made a few fields at a time.

use rayon::prelude::*;
use serde::Serialize;

use crate::bench::checks::{Bog, CheckName, Outside, Report};
use crate::engine::params::Setting;
use crate::tuning::hidden::Hidden;
use crate::tuning::judging::within;

/// Width of a field, turns: two clicks.
const FIELD_TURNS: f64 = 1.0 / 12.0;
/// Fields to the lean and to the rich side of the true setting.
const FIELDS: (i32, i32) = (3, 5);

/// What the sign-off finds in a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Clean.
    Clean,
    /// The high end is lean, or hot, or knocks.
    Lean,
    /// The low end is lean.
    LeanLow,
    /// Rich, at either end.
    Rich,
    /// Only the idle's speed is off.
    IdleSpeed,
    /// The engine dies.
    Dies,
}

impl Ground {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Clean,
        Self::Lean,
        Self::LeanLow,
        Self::Rich,
        Self::IdleSpeed,
        Self::Dies,
    ];

    fn of(report: &Report) -> Self {
        let failed = report.failed();
        let below = |name| report.check(name).and_then(|c| c.outside()) == Some(Outside::Below);
        let above = |name| report.check(name).and_then(|c| c.outside()) == Some(Outside::Above);
        // A loaded-up engine stays high, too, while it burns what lies in the crankcase; but it puffs.
        let hangs = above(CheckName::BurstHang) && !above(CheckName::SnapPuff);
        if report.clean {
            Self::Clean
        } else if report.symptoms.stalled {
            Self::Dies
        } else if below(CheckName::FullRichOfBestPower)
            || above(CheckName::FullDetonation)
            || above(CheckName::FullHeadTemperature)
        {
            Self::Lean
        } else if below(CheckName::IdlePinchRise)
            || above(CheckName::HotIdle)
            || hangs
            || report.bog == Some(Bog::Dry)
            || failed.contains(&CheckName::BurstReturn)
        {
            Self::LeanLow
        } else if failed == [CheckName::IdleSpeed] {
            Self::IdleSpeed
        } else {
            Self::Rich
        }
    }
}

/// A field, counted from the true setting: rich is positive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Place {
    /// High-speed needle, fields.
    pub high: i32,
    /// Low-speed needle, fields.
    pub low: i32,
}

/// A field and what is found there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Field {
    /// Where.
    #[serde(flatten)]
    pub place: Place,
    /// What the sign-off finds there; none until it is looked at.
    pub ground: Option<Ground>,
}

/// The map of a practice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Map {
    /// Width of a field.
    pub field_turns: f64,
    /// The idle stop everywhere on it: where it was left.
    pub idle_turns: f64,
    /// The fields, row by row: low-speed needle from rich to lean, in each row the high-speed needle from lean to rich.
    pub fields: Vec<Field>,
    /// The path's stops in order, those beyond the edge drawn on it; turns of the idle stop alone are no stop.
    pub stops: Vec<Place>,
}

/// Fields looked at in one step, so that progress is told often on any machine. Eight side by side on one thread are nearly as quick as
/// more, so two threads have enough to do.
const STEP: usize = 16;

impl Map {
    /// Fields that every map has.
    pub const SIZE: u32 = ((FIELDS.0 + 1 + FIELDS.1) * (FIELDS.0 + 1 + FIELDS.1)).cast_unsigned();

    /// A map with nothing looked at yet; `path` in the order in which it was walked, the idle stop at the last of it.
    pub fn begin(hidden: &Hidden, path: &[Setting]) -> Self {
        let truth = hidden.truth;
        let columns = -FIELDS.0..=FIELDS.1;
        let field = |turns: f64| {
            let fields = (turns / FIELD_TURNS).round();
            fields.clamp(f64::from(-FIELDS.0), f64::from(FIELDS.1)) as i32
        };
        let mut stops: Vec<Place> = path
            .iter()
            .map(|setting| Place {
                high: field(setting.high_turns - truth.high_turns),
                low: field(setting.low_turns - truth.low_turns),
            })
            .collect();
        stops.dedup();
        Self {
            field_turns: FIELD_TURNS,
            idle_turns: path.last().map_or(truth.idle_turns, |s| s.idle_turns),
            fields: columns
                .clone()
                .rev()
                .flat_map(|low| {
                    columns.clone().map(move |high| Field {
                        place: Place { high, low },
                        ground: None,
                    })
                })
                .collect(),
            stops,
        }
    }

    /// Looks at the next few fields; how many are done.
    pub fn go_on(&mut self, hidden: &Hidden) -> u32 {
        let done = self.fields.iter().take_while(|f| f.ground.is_some()).count();
        let few = STEP.min(self.fields.len() - done);
        let abreast = STEP.div_ceil(rayon::current_num_threads());
        let (truth, idle_turns) = (hidden.truth, self.idle_turns);
        self.fields[done..done + few]
            .par_chunks_mut(abreast)
            .for_each(|fields| {
                let setting = |field: &Field| {
                    within(Setting {
                        high_turns: truth.high_turns + f64::from(field.place.high) * FIELD_TURNS,
                        low_turns: truth.low_turns + f64::from(field.place.low) * FIELD_TURNS,
                        idle_turns,
                    })
                };
                let settings: Vec<Setting> = fields.iter().map(setting).collect();
                let reports = hidden.judging.check_all(&hidden.sound, &settings);
                for (field, report) in fields.iter_mut().zip(&reports) {
                    field.ground = Some(Ground::of(report));
                }
            });
        (done + few) as u32
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::checks::{Check, Symptoms};

    /// What a field is where these checks fail on these sides.
    fn ground(failed: &[(CheckName, Outside)], bog: Option<Bog>) -> Ground {
        let check = |(name, outside): &(CheckName, Outside)| Check {
            name: *name,
            value: Some(if *outside == Outside::Below { -1.0 } else { 1.0 }),
            unit: name.unit(),
            low: Some(-0.5),
            high: Some(0.5),
            pass: false,
        };
        Ground::of(&Report {
            seed: 1,
            setting: Setting {
                high_turns: 3.0,
                low_turns: 1.0,
                idle_turns: 2.0,
            },
            clean: false,
            checks: failed.iter().map(check).collect(),
            symptoms: Symptoms::default(),
            bog,
            warnings: Vec::new(),
        })
    }

    #[test]
    fn the_lean_side_is_known_by_hang_pinch_hot_idle_and_a_bog_without_a_puff() {
        use CheckName::{
            BurstHang, FullDetonation, FullPower, FullRichOfBestPower, HotIdle, IdlePinchRise, SnapDelay, SnapPuff,
        };
        use Outside::{Above, Below};
        let late = (SnapDelay, Above);
        for (failed, bog, wanted) in [
            (&[(BurstHang, Above)][..], None, Ground::LeanLow),
            (&[(BurstHang, Above), (SnapPuff, Above)], None, Ground::Rich),
            (&[(IdlePinchRise, Below)], None, Ground::LeanLow),
            (&[(FullDetonation, Above), (IdlePinchRise, Below)], None, Ground::Lean),
            (&[(FullRichOfBestPower, Below)], None, Ground::Lean),
            (&[(FullPower, Below)], None, Ground::Rich),
            (&[(HotIdle, Above)], None, Ground::LeanLow),
            (&[(HotIdle, Below)], None, Ground::Rich),
            (&[late], Some(Bog::Dry), Ground::LeanLow),
            (&[late], Some(Bog::Smoky), Ground::Rich),
        ] {
            assert_eq!(ground(failed, bog), wanted, "{failed:?} {bog:?}");
        }
    }
}
