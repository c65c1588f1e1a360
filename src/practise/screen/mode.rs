//! What the screen is at: the bench, or something opened over it while time stands still.

use crate::tuning::action::{Screw, Verdict};
use crate::tuning::episode::Found;

/// What the screen is at.
#[derive(Clone, Debug, PartialEq)]
pub enum Mode {
    /// The cautions and the card, before anything else.
    Cautions,
    /// The bench: time passes.
    Bench,
    /// The list of keys.
    Help,
    /// A pause.
    Paused,
    /// The form of the judgement.
    Judge(Form),
    /// Which part to put right.
    Fix,
    /// A remark being written.
    Note(String),
    /// Whether to sign off.
    SignOff,
    /// Whether to leave.
    Leave,
    /// Several things that came to light at once.
    Told(Vec<Found>),
    /// Recording stopped, and why.
    Trouble(String),
    /// It is over: the debrief.
    Debrief,
}

/// The form of the judgement: both ends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Form {
    /// The end being filled in: 0 high, 1 low.
    pub row: usize,
    /// What is said of each.
    pub sayings: [Saying; 2],
}

/// What is said of one end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saying {
    /// How it is; nothing is chosen beforehand.
    pub verdict: Option<Verdict>,
    /// How sure, percent.
    pub sure_percent: u8,
    /// It has been said.
    pub said: bool,
}

impl Default for Saying {
    fn default() -> Self {
        Self {
            verdict: None,
            sure_percent: 60,
            said: false,
        }
    }
}

/// The ends in the order of the form.
pub const ENDS: [Screw; 2] = [Screw::High, Screw::Low];
/// The verdicts in the order of the form.
pub const VERDICTS: [Verdict; 3] = [Verdict::Rich, Verdict::Right, Verdict::Lean];
/// How sure one can be: a guess between three to certain, percent.
const SURE: [u8; 8] = [34, 40, 50, 60, 70, 80, 90, 100];

impl Form {
    /// One row up or down.
    pub fn move_row(&mut self, down: bool) {
        self.row = if down { 1 } else { 0 };
    }

    /// One verdict left or right.
    pub fn move_column(&mut self, right: bool) {
        let saying = &mut self.sayings[self.row];
        let at = VERDICTS.iter().position(|v| Some(*v) == saying.verdict);
        let next = match (at, right) {
            (None, true) => 0,
            (None, false) => VERDICTS.len() - 1,
            (Some(i), true) => (i + 1).min(VERDICTS.len() - 1),
            (Some(i), false) => i.saturating_sub(1),
        };
        saying.verdict = Some(VERDICTS[next]);
        saying.said = false;
    }

    /// More or less sure.
    pub fn surer(&mut self, more: bool) {
        let saying = &mut self.sayings[self.row];
        let at = SURE.iter().position(|s| *s >= saying.sure_percent).unwrap_or(0);
        let next = if more {
            (at + 1).min(SURE.len() - 1)
        } else {
            at.saturating_sub(1)
        };
        saying.sure_percent = SURE[next];
        saying.said = false;
    }

    /// Marks the row as said, and goes to the other; whether both are said now.
    pub fn said(&mut self) -> bool {
        self.sayings[self.row].said = true;
        let other = 1 - self.row;
        if !self.sayings[other].said {
            self.row = other;
        }
        self.sayings.iter().all(|s| s.said)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_form_offers_every_verdict_and_sureness_and_chooses_none_itself() {
        let mut form = Form::default();
        assert_eq!(form.sayings[0].verdict, None);
        form.move_column(true);
        assert_eq!(form.sayings[0].verdict, Some(Verdict::Rich));
        for _ in 0..3 {
            form.move_column(true);
        }
        assert_eq!(form.sayings[0].verdict, Some(Verdict::Lean));
        for _ in 0..9 {
            form.surer(false);
        }
        assert_eq!(form.sayings[0].sure_percent, 34);
        for _ in 0..9 {
            form.surer(true);
        }
        assert_eq!((form.sayings[0].sure_percent, form.sayings[1].sure_percent), (100, 60));
        assert!(!form.said());
        assert_eq!(form.row, 1);
        form.move_column(false);
        assert!(form.said());
    }
}
