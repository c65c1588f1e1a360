//! What was heard a moment ago: the notes of a snap are gone once the throttle is shut, and an ear remembers them for a while.

use crate::bench::instruments::Note;
use crate::practise::said::{About, about};

/// How long an ear remembers, s (assumed).
pub const REMEMBERED_S: f64 = 20.0;

/// A warning that comes first in any list.
pub fn alarming(note: Note) -> bool {
    matches!(note, Note::Crackle | Note::FullSags | Note::Cold)
}

/// The memory of an ear.
#[derive(Clone, Debug, Default)]
pub struct Heard {
    notes: Vec<(Note, f64)>,
}

impl Heard {
    /// Takes in the notes of a moment.
    pub fn hear(&mut self, notes: &[Note], clock_s: f64) {
        let now = |kind| notes.iter().any(|n| about(*n) == kind);
        self.notes
            .retain(|(note, at)| !now(about(*note)) && clock_s - at <= REMEMBERED_S);
        self.notes.extend(
            notes
                .iter()
                .filter(|n| !matches!(about(**n), About::Moment | About::Smoke | About::Standing))
                .map(|n| (*n, clock_s)),
        );
    }

    /// What is no longer heard, newest first, with its age in seconds.
    pub fn before(&self, notes: &[Note], clock_s: f64) -> Vec<(Note, f64)> {
        let mut before: Vec<(Note, f64)> = self
            .notes
            .iter()
            .filter(|(note, at)| !notes.contains(note) && clock_s - at <= REMEMBERED_S)
            .map(|(note, at)| (*note, clock_s - at))
            .collect();
        before.sort_by(|a, b| a.1.total_cmp(&b.1));
        before
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_snap_is_remembered_until_the_next_or_for_a_while() {
        let mut heard = Heard::default();
        heard.hear(&[Note::SnapBogs, Note::SmokeThin], 10.0);
        let idle = [Note::IdleTooSoon, Note::SmokeThin];
        heard.hear(&idle, 12.0);
        assert_eq!(heard.before(&idle, 12.0), [(Note::SnapBogs, 2.0)]);
        assert!(heard.before(&idle, 40.0).is_empty(), "forgotten");
        let again = [Note::SnapCrisp, Note::FullClean];
        heard.hear(&again, 15.0);
        assert!(
            heard.before(&again, 15.0).is_empty(),
            "a newer snap takes the place of the older"
        );
        heard.hear(&idle, 16.0);
        assert_eq!(heard.before(&idle, 16.0).len(), 2);
    }
}
