//! What looking shows, and what is said of the mixture before the first turn.

use super::{Episode, Found, RIGHT_TURNS, Refusal};
use crate::bench::instruments::PlugReading;
use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::score::Judgement;

/// Parts that looking over shows, in the order in which one looks; the plug is hidden until it is pulled.
const LOOKED_AT: [Part; 6] = [
    Part::Filter,
    Part::Line,
    Part::Pressure,
    Part::Tank,
    Part::Leak,
    Part::Brake,
];

/// What the plug has seen since it was last looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Seen {
    /// Sum over time of the mixture at full throttle, and that time, s.
    mixture: [f64; 2],
    /// Time of knocking, s.
    pub knock_s: f64,
}

impl Seen {
    /// Takes in a mixture that held for `seconds`.
    pub fn mixture(&mut self, equivalence_ratio: f64, seconds: f64) {
        self.mixture[0] += equivalence_ratio * seconds;
        self.mixture[1] += seconds;
    }

    /// The mean mixture, if there was any.
    fn mean(&self) -> Option<f64> {
        let [sum, seconds] = self.mixture;
        (seconds > 0.0).then(|| sum / seconds)
    }

    /// Every number it holds.
    pub fn numbers(&self) -> [f64; 3] {
        let Self {
            mixture: [sum, seconds],
            knock_s,
        } = *self;
        [sum, seconds, knock_s]
    }
}

impl Episode {
    /// What is left at fault, as far as looking shows it.
    pub(super) fn inspect(&self) -> Vec<Found> {
        LOOKED_AT
            .into_iter()
            .map(|part| Found::Looked {
                part,
                at_fault: self.left_at_fault.contains(&part),
            })
            .collect()
    }

    pub(super) fn read_plug(&mut self) -> Found {
        let tired = self.left_at_fault.contains(&Part::Plug);
        let best = self.hidden.at_truth.symptoms.equivalence_ratio_best_power;
        let mixture = self.log.seen.mean().zip(best).map(|(phi, best)| phi / best);
        let reading = PlugReading::of(tired, mixture, self.log.seen.knock_s);
        self.log.seen = Seen::default();
        Found::Plug(reading)
    }

    /// How far a screw stands from the true setting, turns; a needle that is rich is positive. For the end.
    pub fn off(&self, screw: Screw) -> f64 {
        let (at, truth) = (self.setting(), self.hidden.truth);
        match screw {
            Screw::High => at.high_turns - truth.high_turns,
            Screw::Low => at.low_turns - truth.low_turns,
            Screw::Idle => at.idle_turns - truth.idle_turns,
        }
    }

    pub(super) fn judge(&mut self, end: Screw, said: Verdict, sure_percent: u8) -> Result<(), Refusal> {
        if end == Screw::Idle {
            return Err(Refusal::NoEnd);
        }
        let cleared = self
            .log
            .cleared_ms
            .is_some_and(|at| self.clock_ms.saturating_sub(at) < 60_000);
        let turns_before = self.counter.needle_turns;
        // Said again before anything was turned it takes the place of what was said.
        self.judgements
            .retain(|j| j.end != end || j.turns_before != turns_before);
        self.judgements.push(Judgement {
            end,
            said,
            sure_percent,
            was: stands(self.off(end)),
            readable: self.warm_head() && cleared,
            turns_before,
        });
        Ok(())
    }
}

/// How an end stands that is so far from the truth, turns.
fn stands(off: f64) -> Verdict {
    if off > RIGHT_TURNS {
        Verdict::Rich
    } else if off < -RIGHT_TURNS {
        Verdict::Lean
    } else {
        Verdict::Right
    }
}
