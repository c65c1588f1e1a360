//! What looking shows, and what is said of the mixture before the first turn.

use super::{Episode, Found, RIGHT_TURNS, Refusal, in_range};
use crate::bench::measures::Mean;
use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::score::Judgement;

/// Mean mixture at full throttle since the plug was last looked at, over that of best power, below which it comes out pale and above
/// which wet. Assumed: a plug is hottest, and palest, where combustion is; a clean setting lies up to some twelve percent on the
/// rich side; and a plug is read in three words, no finer.
const PALE: f64 = 0.97;
const WET: f64 = 1.12;
/// Seconds of knocking that leave specks on a plug. Assumed: a few hard beats, not one.
const KNOCKED_S: f64 = 0.1;

impl Episode {
    /// What is left at fault, as far as looking shows it.
    pub(super) fn inspect(&self) -> Vec<Found> {
        let tell = |part: Part, place: &str, good: &str| {
            let seen = if self.left_at_fault.contains(&part) {
                part.sign()
            } else {
                good
            };
            Found::Seen(format!("{place}: {seen}"))
        };
        vec![
            tell(Part::Filter, "air filter", "clean"),
            tell(Part::Line, "fuel line", "free"),
            tell(Part::Pressure, "pressure line", "tight"),
            tell(Part::Tank, "tank", "no bubbles"),
            tell(Part::Leak, "carburettor", "dry at its foot"),
            tell(Part::Brake, "wheels", "they spin freely"),
        ]
    }

    pub(super) fn read_plug(&mut self) -> Found {
        let wire = if self.left_at_fault.contains(&Part::Plug) {
            Part::Plug.sign()
        } else {
            "the wire is bright"
        };
        let best = self.hidden.at_truth.symptoms.equivalence_ratio_best_power;
        let mixture = self.seen_phi.value().zip(best).map(|(phi, best)| phi / best);
        let colour = match mixture {
            None => "it has seen no full throttle to be read by",
            Some(_) if self.seen_knock_s > KNOCKED_S => "grey specks on its rim: it has been knocking",
            Some(m) if m > WET => "wet and dark: rich on the straight",
            Some(m) if m > PALE => "moist and shiny: about right on the straight",
            Some(_) => "dry and pale: lean on the straight",
        };
        self.seen_phi = Mean::default();
        self.seen_knock_s = 0.0;
        Found::Seen(format!("plug: {wire}; {colour}"))
    }

    pub(super) fn judge(&mut self, end: Screw, said: Verdict, sure_percent: u8) -> Result<(), Refusal> {
        if end == Screw::Idle {
            return Err(Refusal::NoEnd);
        }
        if self.counter.needle_turns > 0 {
            return Err(Refusal::TooLate);
        }
        in_range(f64::from(sure_percent), 34.0, 100.0)?;
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
