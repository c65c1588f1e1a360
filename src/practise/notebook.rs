//! The notebook: what was done, what was found, and what the player wrote down, each with its time on the practice's clock.

use crate::practise::words;
use crate::tuning::action::Screw;

/// What an entry is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Something done.
    Did,
    /// Something seen.
    Found,
    /// A remark of the player's.
    Remark,
}

impl Kind {
    /// Its mark in the margin.
    pub fn mark(self) -> char {
        match self {
            Self::Did => ' ',
            Self::Found => '=',
            Self::Remark => '"',
        }
    }
}

/// An entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// When.
    pub clock_s: f64,
    /// What it is.
    pub kind: Kind,
    /// In words.
    pub text: String,
    turn: Option<(Screw, f64)>,
}

/// The notebook, oldest first.
#[derive(Clone, Debug, Default)]
pub struct Notebook {
    entries: Vec<Entry>,
}

impl Notebook {
    /// All entries.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Writes a line.
    pub fn write(&mut self, clock_s: f64, kind: Kind, text: &str) {
        self.entries.push(Entry {
            clock_s,
            kind,
            text: text.to_string(),
            turn: None,
        });
    }

    /// A screw was turned and now stands at `mark`; steps of what counts as one adjustment share a line.
    pub fn turned(&mut self, clock_s: f64, screw: Screw, turns: f64, mark: f64, goes_on: bool) {
        let mut sum = turns;
        if let Some(last) = self.entries.last()
            && let Some((s, before)) = last.turn
            && s == screw
            && goes_on
        {
            sum += before;
            self.entries.pop();
        }
        self.entries.push(Entry {
            clock_s,
            kind: Kind::Did,
            text: format!(
                "{} {}, now {}",
                words::short(screw),
                words::way(screw, sum),
                words::mark(screw, mark)
            ),
            turn: Some((screw, sum)),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLICK: f64 = 1.0 / 24.0;

    #[test]
    fn steps_of_one_adjustment_share_a_line_and_others_do_not() {
        let mut book = Notebook::default();
        for n in 1..=3 {
            book.turned(f64::from(n), Screw::High, -CLICK, -CLICK * f64::from(n), n > 1);
        }
        assert_eq!(book.entries().len(), 1);
        assert_eq!(book.entries()[0].text, "high in 1/8, now in 1/8");
        book.turned(9.0, Screw::High, -CLICK, -4.0 * CLICK, false);
        assert_eq!(book.entries().len(), 2, "another adjustment");
        book.write(9.2, Kind::Remark, "louder");
        book.turned(9.5, Screw::High, -CLICK, -5.0 * CLICK, true);
        assert_eq!(book.entries().len(), 4, "something stands between");
    }
}
