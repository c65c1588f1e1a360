//! What looking shows, and what is said of the mixture before the first turn.

use super::{Episode, Found, RIGHT_TURNS, Refusal};
use crate::bench::instruments::PlugReading;
use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::score::Judgement;

/// Parts that looking over shows, in the order in which one looks: what hands and eyes come to. A clogged filter inside the line and a
/// seal under the carburettor are hidden, and so is the plug until it is pulled: those are told by what the engine does.
const LOOKED_AT: [Part; 4] = [Part::Filter, Part::Pressure, Part::Tank, Part::Brake];

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

    pub(super) fn judge(&mut self, end: Screw, said: Verdict, sure_percent: u8) -> Result<(), Refusal> {
        if end == Screw::Idle {
            return Err(Refusal::NoEnd);
        }
        if self.counter.needle_turns > 0 {
            return Err(Refusal::TooLate);
        }
        let (start, truth) = (self.hidden.start, self.hidden.truth);
        let off = match end {
            Screw::High => start.high_turns - truth.high_turns,
            _ => start.low_turns - truth.low_turns,
        };
        let was = if off > RIGHT_TURNS {
            Verdict::Rich
        } else if off < -RIGHT_TURNS {
            Verdict::Lean
        } else {
            Verdict::Right
        };
        let warm = self.warm_head();
        let cleared = self
            .log
            .cleared_ms
            .is_some_and(|at| self.clock_ms.saturating_sub(at) < 60_000);
        self.judgements.retain(|j| j.end != end);
        self.judgements.push(Judgement {
            end,
            said,
            sure_percent,
            was,
            readable: warm && cleared,
        });
        Ok(())
    }
}
