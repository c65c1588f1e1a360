//! The score, in its order: engine unharmed, seconds too lean, clean, turns, rotation, fuel, minutes; and the rules by which
//! turning is counted.

use serde::{Deserialize, Serialize};

use super::action::{Screw, Verdict};
use super::brier;
use super::sums::{LeanSeconds, Wear};

/// Number of these rules: raised whenever a rule of the practice or of its score changes.
pub const RULES: u32 = 8;

/// How the first turn of a needle went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FirstTurn {
    /// Towards the truth.
    Right,
    /// Away from it.
    WrongWay,
    /// The needle stood right already.
    NotNeeded,
}

/// An adjustment holds pauses of less than this in all with the engine running, ms: who listens longer goes on knowing more.
const PAUSE_MS: u64 = 2000;

/// Counts adjustments: one continuous turn of one screw in one direction. A reversal, another screw, a use of the throttle, a reading
/// or pauses of 2 s in all with the engine running start the next.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TurnCounter {
    /// Adjustments of either needle.
    pub needle_turns: u32,
    /// Adjustments of the idle stop, counted beside.
    pub idle_trims: u32,
    /// Rotation of the needles, turns.
    pub rotation_turns: f64,
    /// The adjustment that goes on.
    going_on: Option<Adjustment>,
}

/// One adjustment.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Adjustment {
    screw: Screw,
    outward: bool,
    /// How long the engine had run when it began, ms.
    since_ms: u64,
}

impl TurnCounter {
    /// A screw was turned, after the engine has run for `ran_ms` in all.
    pub fn turned(&mut self, screw: Screw, turns: f64, ran_ms: u64) {
        if turns == 0.0 {
            return;
        }
        let outward = turns > 0.0;
        let goes_on = self
            .going_on
            .is_some_and(|a| a.screw == screw && a.outward == outward && ran_ms.saturating_sub(a.since_ms) < PAUSE_MS);
        if !goes_on {
            let since_ms = ran_ms;
            self.going_on = Some(Adjustment {
                screw,
                outward,
                since_ms,
            });
        }
        match screw {
            Screw::Idle => self.idle_trims += u32::from(!goes_on),
            _ => {
                self.needle_turns += u32::from(!goes_on);
                self.rotation_turns += turns.abs();
            }
        }
    }

    /// The throttle was used or something was read: the next turn is another adjustment.
    pub fn interrupted(&mut self) {
        self.going_on = None;
    }

    /// Every number it holds, for a digest of the practice.
    pub fn words(&self) -> [u64; 5] {
        let Self {
            needle_turns,
            idle_trims,
            rotation_turns,
            going_on,
        } = self;
        let (kind, since_ms) = going_on.map_or((0, 0), |a| (1 + 2 * a.screw as u64 + u64::from(a.outward), a.since_ms));
        [
            u64::from(*needle_turns),
            u64::from(*idle_trims),
            rotation_turns.to_bits(),
            kind,
            since_ms,
        ]
    }
}

/// What somebody said of one end, and how it was.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Judgement {
    /// The high-speed or the low-speed end.
    pub end: Screw,
    /// What was said.
    pub said: Verdict,
    /// How sure, 34 to 100.
    pub sure_percent: u8,
    /// How it was.
    pub was: Verdict,
    /// Whether the engine was warm and had been cleared out, so that it could be judged.
    pub readable: bool,
    /// Adjustments of the needles before it: later judgements know what a turn did, and are scored apart.
    #[serde(default)]
    pub turns_before: u32,
}

impl Judgement {
    /// Said before the first turn.
    pub fn first(&self) -> bool {
        self.turns_before == 0
    }

    /// It was as said.
    pub fn right(&self) -> bool {
        self.said == self.was
    }

    /// Brier score over rich, right and lean: 0 is certain and right, 2 certain and wrong. What is not given to the answer is shared by
    /// the other two.
    pub fn brier(&self) -> f64 {
        let said = f64::from(self.sure_percent) / 100.0;
        let rest = (1.0 - said) / 2.0;
        let all = [Verdict::Rich, Verdict::Right, Verdict::Lean];
        brier::score(
            &all.map(|v| if v == self.said { said } else { rest }),
            all.iter().position(|v| *v == self.was),
        )
    }
}

/// How a practice went, in the order in which it counts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Score {
    /// The engine still runs true: damage below 1.
    pub unharmed: bool,
    /// Damage done, 1 is a lost engine.
    pub damage: f64,
    /// The same by cause.
    #[serde(default)]
    pub wear: Wear,
    /// Seconds under load too lean.
    pub lean_s: f64,
    /// The same by cause.
    #[serde(default)]
    pub lean: LeanSeconds,
    /// Signed off, and every check passed, and no fault left.
    pub clean: bool,
    /// Clean, and it would still be with the needles a little leaner.
    #[serde(default)]
    pub safe_clean: bool,
    /// Adjustments of the needles.
    pub turns: u32,
    /// Adjustments of the idle stop.
    pub idle_trims: u32,
    /// Rotation of the needles.
    pub rotation_turns: f64,
    /// Fuel used.
    pub fuel_g: f64,
    /// Time on the clock.
    pub minutes: f64,
    /// Whether the first turn of a needle went the right way; none without one.
    pub first_turn_right: Option<bool>,
    /// And if not, whether it went the wrong way or was not needed.
    #[serde(default)]
    pub first_turn: Option<FirstTurn>,
    /// Times the engine went from safe to too lean.
    pub lean_crossings: u32,
    /// What was said of the ends.
    pub judgements: Vec<Judgement>,
    /// Parts put right.
    #[serde(default)]
    pub cures: u32,
    /// Those of them that were sound.
    #[serde(default)]
    pub cures_in_vain: u32,
    /// What all of them cost, euros.
    #[serde(default)]
    pub cures_euros: u32,
}

impl Score {
    /// Mean Brier score of what was said before the first turn, none without any.
    pub fn brier(&self) -> Option<f64> {
        self.mean_brier(Judgement::first)
    }

    /// The same of what was said after it.
    pub fn later_brier(&self) -> Option<f64> {
        self.mean_brier(|judgement| !judgement.first())
    }

    fn mean_brier(&self, which: impl Fn(&Judgement) -> bool) -> Option<f64> {
        let scores: Vec<f64> = self
            .judgements
            .iter()
            .filter(|j| which(j))
            .map(Judgement::brier)
            .collect();
        (!scores.is_empty()).then(|| scores.iter().sum::<f64>() / scores.len() as f64)
    }

    /// Which of two went better, by the stated order; less is better.
    pub fn compare(&self, other: &Self) -> std::cmp::Ordering {
        other
            .unharmed
            .cmp(&self.unharmed)
            .then(self.lean_s.total_cmp(&other.lean_s))
            .then(other.clean.cmp(&self.clean))
            .then(self.turns.cmp(&other.turns))
            .then(self.rotation_turns.total_cmp(&other.rotation_turns))
            .then(self.fuel_g.total_cmp(&other.fuel_g))
            .then(self.minutes.total_cmp(&other.minutes))
            .then(self.cures_euros.cmp(&other.cures_euros))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_continuous_turn_is_one_adjustment() {
        let mut counter = TurnCounter::default();
        for at in [0, 500, 1999] {
            counter.turned(Screw::High, -1.0 / 24.0, at);
        }
        assert_eq!((counter.needle_turns, counter.idle_trims), (1, 0));
        assert!((counter.rotation_turns - 0.125).abs() < 1e-12);
    }

    #[test]
    fn reversal_throttle_and_another_screw_start_the_next() {
        let mut counter = TurnCounter::default();
        counter.turned(Screw::High, -0.1, 0);
        counter.turned(Screw::High, 0.1, 100);
        assert_eq!(counter.needle_turns, 2, "reversal");
        counter.interrupted();
        counter.turned(Screw::High, 0.1, 200);
        assert_eq!(counter.needle_turns, 3, "throttle, or a reading");
        counter.turned(Screw::Low, 0.1, 300);
        counter.turned(Screw::High, 0.1, 400);
        assert_eq!(counter.needle_turns, 5, "another needle");
        counter.turned(Screw::Idle, 0.5, 500);
        counter.turned(Screw::Idle, 0.5, 600);
        counter.turned(Screw::Idle, -0.5, 700);
        assert_eq!((counter.needle_turns, counter.idle_trims), (5, 2));
        assert!((counter.rotation_turns - 0.5).abs() < 1e-12);
    }

    /// A sweep under a running engine is no single turn: its pauses add up.
    #[test]
    fn pauses_with_the_engine_running_add_up_to_two_seconds() {
        let mut counter = TurnCounter::default();
        let clicks: Vec<u32> = (0..16)
            .map(|click| {
                counter.turned(Screw::High, -1.0 / 24.0, 500 * click);
                counter.needle_turns
            })
            .collect();
        assert_eq!(clicks, [1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4]);
    }

    #[test]
    fn brier_rewards_knowing_and_honest_doubt() {
        let judgement = |said, sure_percent| Judgement {
            end: Screw::High,
            said,
            sure_percent,
            was: Verdict::Rich,
            readable: true,
            turns_before: 0,
        };
        assert_eq!(judgement(Verdict::Rich, 100).brier(), 0.0);
        assert_eq!(judgement(Verdict::Lean, 100).brier(), 2.0);
        assert!(judgement(Verdict::Lean, 40).brier() < judgement(Verdict::Lean, 90).brier());
        assert!(judgement(Verdict::Rich, 80).brier() < judgement(Verdict::Rich, 50).brier());
    }
}
