//! What looking shows, and what is said of the mixture before the first turn.

use super::{Episode, Found, RIGHT_TURNS, Refusal, in_range};
use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::score::Judgement;

/// Mean equivalence ratio at full throttle above which a plug comes out wet, and above which moist. Assumed: power is best at some
/// 1.1 to 1.3, a clean setting lies a tenth or two above, and a plug is read in three words, no finer.
const WET: f64 = 1.6;
const MOIST: f64 = 1.1;
/// Detonation index times seconds that leave specks on a plug. Assumed: a few hard beats, not one.
const KNOCKED_S: f64 = 0.05;

impl Episode {
    /// What is left at fault, as far as looking shows it.
    pub(super) fn inspect(&self) -> Vec<Found> {
        let has = |part| self.left_at_fault.contains(&part);
        let tell = |part, bad: &str, good: &str| Found::Seen(if has(part) { bad } else { good }.to_string());
        vec![
            tell(Part::Filter, "air filter: caked with dust", "air filter: clean"),
            tell(
                Part::Line,
                "fuel line: little comes when you blow through it",
                "fuel line: free",
            ),
            tell(
                Part::Pressure,
                "pressure line: split at the nipple",
                "pressure line: tight",
            ),
            tell(Part::Tank, "tank: bubbles in the line as it runs", "tank: no bubbles"),
            tell(
                Part::Leak,
                "carburettor: an oily trace at its foot",
                "carburettor: dry at its foot",
            ),
            tell(
                Part::Brake,
                "wheels: they stop by themselves, the brake drags",
                "wheels: they spin freely",
            ),
        ]
    }

    pub(super) fn read_plug(&self) -> Found {
        let wire = if self.left_at_fault.contains(&Part::Plug) {
            "the wire is dull and bent"
        } else {
            "the wire is bright"
        };
        let colour = match self.seen_phi.value() {
            None => "it has seen no full throttle to be read by",
            Some(_) if self.seen_crackle > KNOCKED_S => "grey specks on its rim: it has been knocking",
            Some(phi) if phi > WET => "wet and dark: rich on the straight",
            Some(phi) if phi > MOIST => "moist and shiny: about right on the straight",
            Some(_) => "dry and pale: lean on the straight",
        };
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
