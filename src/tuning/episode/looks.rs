//! What looking shows, and what is said of the mixture before the first turn.

use super::{Episode, Found, Quantity, RIGHT_TURNS, Refusal};
use crate::bench::instruments::PlugReading;
use crate::bench::measures::Mean;
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
        let mixture = self.seen_phi.value().zip(best).map(|(phi, best)| phi / best);
        let reading = PlugReading::of(tired, mixture, self.seen_knock_s);
        self.seen_phi = Mean::default();
        self.seen_knock_s = 0.0;
        Found::Plug(reading)
    }

    pub(super) fn judge(&mut self, end: Screw, said: Verdict, sure_percent: u8) -> Result<(), Refusal> {
        if end == Screw::Idle {
            return Err(Refusal::NoEnd);
        }
        if self.counter.needle_turns > 0 {
            return Err(Refusal::TooLate);
        }
        Quantity::SurePercent.holds(f64::from(sure_percent))?;
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
        let cleared = self.cleared_ms.is_some_and(|at| self.clock_ms - at < 60_000);
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
