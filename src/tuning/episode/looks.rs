//! What looking shows, and what is said of the mixture before the first turn.

use super::{Episode, Found, RIGHT_TURNS, Refusal};
use crate::bench::instruments::PlugReading;
use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::score::Judgement;

/// Parts that looking over shows, in the order in which one looks: what hands and eyes come to. A clogged filter inside the line and a
/// seal under the carburettor are hidden, and so is the plug until it is pulled: those are told by what the engine does.
pub const LOOKED_AT: [Part; 4] = [Part::Filter, Part::Pressure, Part::Tank, Part::Brake];

/// A plug with this share of its coat gone looks it: dull and bent (assumed). One less worn looks like any other, and only what no
/// needle cures tells it, or another in its place.
const LOOKS_TIRED_SHARE: f64 = 0.5;

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
        let tired = self.hidden.setup.faults.plug_tired_share >= LOOKS_TIRED_SHARE;
        let best = self.at_best.best_power.unwrap_or(f64::NAN);
        let mixture = self.log.seen.chop().map(|chopped| chopped / best);
        let reading = PlugReading::of(tired, mixture, self.log.seen.knock_s, self.log.seen.all_full_s());
        self.log.seen = super::chop::Seen::default();
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
pub fn stands(off: f64) -> Verdict {
    if off > RIGHT_TURNS {
        Verdict::Rich
    } else if off < -RIGHT_TURNS {
        Verdict::Lean
    } else {
        Verdict::Right
    }
}
