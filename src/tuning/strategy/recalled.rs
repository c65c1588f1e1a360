//! What is recalled of every finding: the word with the screws as they stand, and the one before.

use super::findings::{FINDINGS, Finding, When};
use crate::bench::instruments::Note;

/// A finding with the screws as they stand, and the one before the last turn that made it old.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard<T> {
    /// With the screws as they stand.
    pub now: Option<T>,
    /// Before.
    pub before: Option<T>,
}

impl<T: Copy> Heard<T> {
    pub(super) const NOTHING: Self = Self {
        now: None,
        before: None,
    };

    /// It counts as before from now on.
    pub(super) fn grows_old(&mut self) {
        if let Some(now) = self.now.take() {
            self.before = Some(now);
        }
    }
}

/// What is recalled, in the order of the table of findings.
#[derive(Clone, Debug)]
pub struct Recalled(Vec<Heard<&'static str>>);

impl Default for Recalled {
    /// Nothing yet.
    fn default() -> Self {
        Self(vec![Heard::NOTHING; FINDINGS.len()])
    }
}

impl Recalled {
    /// Each finding with what is recalled of it.
    pub fn each(&self) -> impl Iterator<Item = (&'static Finding, &Heard<&'static str>)> {
        FINDINGS.iter().zip(&self.0)
    }

    /// What is recalled of the finding at a place of the table.
    pub fn at(&self, place: usize) -> &Heard<&'static str> {
        &self.0[place]
    }

    fn each_mut(&mut self) -> impl Iterator<Item = (&'static Finding, &mut Heard<&'static str>)> {
        FINDINGS.iter().zip(&mut self.0)
    }

    /// An action has brought a finding to light.
    pub(super) fn told(&mut self, name: &str, word: &'static str) {
        for (_, heard) in self.each_mut().filter(|(finding, _)| finding.name == name) {
            heard.now = Some(word);
        }
    }

    /// What was found of these counts as before from now on.
    pub(super) fn grows_old(&mut self, which: impl Fn(&Finding) -> bool) {
        for (_, heard) in self.each_mut().filter(|(finding, _)| which(finding)) {
            heard.grows_old();
        }
    }

    /// Takes in what is heard, of the findings for which it counts now.
    pub(super) fn hear(&mut self, counts: impl Fn(When) -> bool, has: impl Fn(Note) -> bool) {
        for (finding, heard) in self.each_mut().filter(|(finding, _)| counts(finding.when)) {
            if let Some(word) = finding.heard(&has) {
                let worst = heard.now.filter(|_| finding.worst);
                heard.now = Some(worst.map_or(word, |before| finding.worse(before, word)));
            }
        }
    }
}
