//! What was noticed in a practice, held against how the engine stood at that moment: what a sign says by the book, whether it was so
//! there, and what it misled by where it was not. Kept while one practises, told at the end.

use serde::Serialize;

use crate::bench::instruments::{Note, PinchRise, PlugColour};
use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::episode::{Episode, Found};

/// A head that reads this says lean, °C; some ten below what a sign-off allows (common practice).
const HOT_HEAD_C: f64 = 125.0;
/// A needle this far off stands on a side, turns: a click of a screw is heard by few.
const SIDE_TURNS: f64 = 1.0 / 24.0;
/// And so far off it no longer stands right.
const NEAR_TURNS: f64 = 1.0 / 8.0;
/// An idle stop this far off has an idle speed of its own, turns (assumed).
const STOP_TURNS: f64 = 1.0 / 6.0;
/// A high end this far off is heard at the low end too, since the needles are in series, turns (assumed).
const FELT_TURNS: f64 = 1.0 / 4.0;
/// Signs kept: far more than anybody notices.
const MOST: usize = 400;

/// A sign of the mixture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "sign", rename_all = "kebab-case")]
pub enum Sign {
    /// Heard or seen.
    Note {
        /// What.
        note: Note,
    },
    /// The pinch test.
    Pinch {
        /// How much the pitch rose.
        rise: PinchRise,
    },
    /// The plug's colour.
    Plug {
        /// Which.
        colour: PlugColour,
    },
    /// A hot head.
    Gun {
        /// What it read.
        head_c: f64,
    },
}

/// What an end was said to be.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Saying {
    /// The end.
    pub end: Screw,
    /// How it is.
    pub verdict: Verdict,
}

/// Why a sign misled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum Misled {
    /// The engine was cold.
    Cold,
    /// A part was at fault.
    Fault {
        /// Which.
        part: Part,
    },
    /// Fuel lay in the crankcase: a rich engine stays high, too, until that is burnt.
    LoadedUp,
    /// The idle stop made the idle's speed.
    IdleStop,
    /// The other end was so far off that it was heard here.
    OtherEnd,
    /// None of these: such a sign is only so good.
    OnlySoGood,
}

/// One thing noticed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Noticed {
    /// When it was first noticed at this setting.
    pub clock_s: f64,
    /// Adjustments of all screws before it.
    pub adjustments: u32,
    /// What.
    #[serde(flatten)]
    pub sign: Sign,
    /// What it says by the book.
    pub says: Saying,
    /// How far that end stood from the true setting then: rich is positive.
    pub stood_turns: f64,
    /// Why it misled, if it did.
    pub misled: Option<Misled>,
}

/// What a sign says by the book, heard together with `others`.
fn reading(sign: Sign, others: &[Note]) -> Option<Saying> {
    let puffs = others.contains(&Note::SnapPuffs);
    let (end, verdict) = match sign {
        Sign::Note { note } => match note {
            Note::SnapHesitates | Note::SnapBogs if puffs => (Screw::Low, Verdict::Rich),
            Note::ReturnHangs | Note::IdleRises | Note::IdleFast | Note::SnapHesitates | Note::SnapBogs => {
                (Screw::Low, Verdict::Lean)
            }
            Note::ReturnSinks
            | Note::ReturnDrops
            | Note::SnapPuffs
            | Note::SnapStutters
            | Note::IdleFalls
            | Note::IdleSlow => (Screw::Low, Verdict::Rich),
            Note::ReturnClean | Note::SnapCrisp => (Screw::Low, Verdict::Right),
            Note::PartRough
            | Note::FullRough
            | Note::FullDull
            | Note::FullLazy
            | Note::OpeningStuttersMiddle
            | Note::OpeningStuttersTop => (Screw::High, Verdict::Rich),
            Note::OpeningStuttersLow | Note::IdleBurbles => (Screw::Low, Verdict::Rich),
            Note::FullClean => (Screw::High, Verdict::Right),
            Note::Crackle | Note::FullSags => (Screw::High, Verdict::Lean),
            // The rest tells neither end.
            _ => return None,
        },
        Sign::Pinch { rise } => match rise {
            PinchRise::Hardly => (Screw::Low, Verdict::Lean),
            PinchRise::Barely | PinchRise::Little => (Screw::Low, Verdict::Right),
            PinchRise::Clear | PinchRise::Lot => (Screw::Low, Verdict::Rich),
        },
        Sign::Plug { colour } => match colour {
            PlugColour::Pale | PlugColour::Specks => (Screw::High, Verdict::Lean),
            PlugColour::Moist => (Screw::High, Verdict::Right),
            PlugColour::Wet => (Screw::High, Verdict::Rich),
        },
        Sign::Gun { .. } => (Screw::High, Verdict::Lean),
    };
    Some(Saying { end, verdict })
}

/// How everything stood when something was noticed.
#[derive(Clone, Copy, Debug)]
struct Standing {
    high_turns: f64,
    low_turns: f64,
    idle_turns: f64,
    cold: bool,
    fault: Option<Part>,
}

impl Standing {
    fn of(episode: &Episode) -> Self {
        Self {
            high_turns: episode.off(Screw::High),
            low_turns: episode.off(Screw::Low),
            idle_turns: episode.off(Screw::Idle),
            cold: !episode.warm_head(),
            fault: episode.left_at_fault().first().copied(),
        }
    }

    fn at(&self, end: Screw) -> f64 {
        match end {
            Screw::High => self.high_turns,
            Screw::Low => self.low_turns,
            Screw::Idle => self.idle_turns,
        }
    }

    /// Why `sign` misled, if it did.
    fn misled(&self, sign: Sign, says: Saying) -> Option<Misled> {
        let off = self.at(says.end);
        let so = match says.verdict {
            Verdict::Rich => off >= SIDE_TURNS,
            Verdict::Right => off.abs() <= NEAR_TURNS,
            Verdict::Lean => off <= -SIDE_TURNS,
        };
        if so {
            return None;
        }
        let idles = |note| matches!(note, Note::IdleFast | Note::IdleSlow);
        let returns = |note| matches!(note, Note::ReturnHangs | Note::IdleRises);
        Some(match (sign, self.fault) {
            _ if self.cold => Misled::Cold,
            (_, Some(part)) => Misled::Fault { part },
            (Sign::Note { note }, _) if returns(note) && off > NEAR_TURNS => Misled::LoadedUp,
            (Sign::Note { note }, _) if (idles(note) || returns(note)) && self.idle_turns.abs() > STOP_TURNS => {
                Misled::IdleStop
            }
            _ if says.end == Screw::Low && self.high_turns.abs() > FELT_TURNS => Misled::OtherEnd,
            _ if says.end == Screw::High && self.low_turns.abs() > FELT_TURNS => Misled::OtherEnd,
            _ => Misled::OnlySoGood,
        })
    }
}

/// Takes in what is seen at one moment: the same sign at the same setting is kept once.
pub(super) fn notice(kept: &mut Vec<Noticed>, episode: &Episode, notes: &[Note], found: &[Found]) {
    let signs = notes.iter().map(|note| Sign::Note { note: *note });
    let found = found.iter().filter_map(|found| match *found {
        Found::Pinched { rise, .. } => Some(Sign::Pinch { rise }),
        Found::Plug(plug) => plug.colour.map(|colour| Sign::Plug { colour }),
        Found::Gun { head_c } if head_c >= HOT_HEAD_C => Some(Sign::Gun { head_c }),
        _ => None,
    });
    let standing = Standing::of(episode);
    let adjustments = episode.adjustments();
    for sign in signs.chain(found) {
        let Some(says) = reading(sign, notes) else { continue };
        let noticed = Noticed {
            clock_s: episode.clock_ms() as f64 / 1e3,
            adjustments,
            sign,
            says,
            stood_turns: standing.at(says.end),
            misled: standing.misled(sign, says),
        };
        let same = |old: &Noticed| {
            old.adjustments == adjustments && old.sign == sign && old.misled.is_some() == noticed.misled.is_some()
        };
        let full = kept.len() >= MOST;
        if !full && !kept.iter().any(same) {
            kept.push(noticed);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RIGHT: Standing = Standing {
        high_turns: 0.0,
        low_turns: 0.0,
        idle_turns: 0.0,
        cold: false,
        fault: None,
    };

    /// Why a note misled there.
    fn misled(note: Note, others: &[Note], standing: Standing) -> Option<Misled> {
        let sign = Sign::Note { note };
        standing.misled(sign, reading(sign, others).unwrap())
    }

    #[test]
    fn a_sign_that_is_so_does_not_mislead_and_one_that_is_not_has_its_reason() {
        let lean = Standing {
            low_turns: -0.15,
            ..RIGHT
        };
        let rich = Standing {
            low_turns: 0.2,
            ..RIGHT
        };
        let fault = Standing {
            fault: Some(Part::Leak),
            ..RIGHT
        };
        let stop_in = Standing {
            idle_turns: 0.5,
            ..RIGHT
        };
        let high_rich = Standing {
            high_turns: 0.5,
            ..RIGHT
        };
        let cold = Standing { cold: true, ..lean };
        for (note, standing, wanted) in [
            (Note::ReturnHangs, lean, None),
            (Note::ReturnHangs, rich, Some(Misled::LoadedUp)),
            (Note::ReturnHangs, fault, Some(Misled::Fault { part: Part::Leak })),
            (Note::IdleFast, stop_in, Some(Misled::IdleStop)),
            (Note::SnapPuffs, high_rich, Some(Misled::OtherEnd)),
            (Note::SnapPuffs, cold, Some(Misled::Cold)),
            (Note::ReturnHangs, cold, None),
            (Note::SnapCrisp, rich, Some(Misled::OnlySoGood)),
            (Note::SnapCrisp, RIGHT, None),
            (Note::FullRough, high_rich, None),
        ] {
            assert_eq!(misled(note, &[], standing), wanted, "{note:?} {standing:?}");
        }
    }

    #[test]
    fn a_hesitation_is_rich_with_a_puff_and_lean_without() {
        let says = |others: &[Note]| reading(Sign::Note { note: Note::SnapBogs }, others).unwrap().verdict;
        assert_eq!(says(&[Note::SnapBogs, Note::SnapPuffs]), Verdict::Rich);
        assert_eq!(says(&[Note::SnapBogs]), Verdict::Lean);
        assert_eq!(reading(Sign::Note { note: Note::SmokeThin }, &[]), None);
    }
}
