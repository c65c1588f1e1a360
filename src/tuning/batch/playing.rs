//! Practices played to their end, each by a [`Tuner`] that knows only what may be known.
//!
//! A practice is terminated by its own course (signed off, or the engine lost) and truncated by our limits: the hour, the actions that a
//! tuner may take, a tuner that has nothing to propose or was itself lost.

use serde::{Deserialize, Serialize};

use crate::tuning::action::Action;
use crate::tuning::episode::{Ending, Episode, Refusal};
use crate::tuning::strategy::Sight;
use crate::tuning::strategy::advice::Follower;

/// Who tunes: proposes the next action, and is shown what came of it.
pub trait Tuner {
    /// What can be seen before the first action.
    fn begin(&mut self, _sight: &Sight) {}
    /// The next action.
    ///
    /// # Errors
    /// How the practice ends where there is none: nothing can be proposed, or who tunes is gone.
    fn next(&mut self) -> Result<Action, End>;
    /// What came of an action.
    fn did(&mut self, action: &Action, sight: &Sight);
    /// An action that could not be done.
    fn refused(&mut self, action: &Action, refusal: Refusal);
}

impl<T: Tuner + ?Sized> Tuner for Box<T> {
    fn begin(&mut self, sight: &Sight) {
        (**self).begin(sight);
    }
    fn next(&mut self) -> Result<Action, End> {
        (**self).next()
    }
    fn did(&mut self, action: &Action, sight: &Sight) {
        (**self).did(action, sight);
    }
    fn refused(&mut self, action: &Action, refusal: Refusal) {
        (**self).refused(action, refusal);
    }
}

impl Tuner for Follower {
    fn next(&mut self) -> Result<Action, End> {
        let advice = Follower::next(self).ok_or(End::NothingProposed)?;
        Ok(advice.action)
    }
    fn did(&mut self, action: &Action, sight: &Sight) {
        self.memory.did(action, sight);
    }
    fn refused(&mut self, action: &Action, refusal: Refusal) {
        self.memory.refused(action, refusal);
    }
}

/// How a practice in batch came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// Signed off, and clean.
    Clean,
    /// Signed off, and not clean.
    NotClean,
    /// The engine is lost.
    Lost,
    /// Truncated: the hour is over.
    OutOfTime,
    /// Truncated: more actions than a practice takes; a rule that never stops.
    OutOfActions,
    /// Truncated: nothing was proposed.
    NothingProposed,
    /// Truncated: the program that tuned is gone.
    TunerDied,
    /// Truncated: it took longer for an answer than it may.
    TunerSilent,
    /// Truncated: it answered what is no action.
    TunerUnreadable,
    /// Truncated: it answered more than a line may hold.
    TunerFlooded,
}

impl End {
    /// Whether it ended by its own course, and not by our limits.
    pub fn terminated(self) -> bool {
        matches!(self, Self::Clean | Self::NotClean | Self::Lost)
    }
}

/// Actions after which a tuner goes in circles. The hour of a practice holds some hundred that take time.
pub const MOST_ACTIONS: u32 = 1000;

/// A practice and who tunes it.
#[derive(Debug)]
pub struct Practice<T> {
    /// The practice.
    pub episode: Episode,
    /// Who tunes.
    pub tuner: T,
    /// Actions so far, refused ones too.
    pub actions: u32,
    /// Revolutions of the engine so far.
    pub revolutions: u64,
    /// How it ended, if it has.
    pub end: Option<End>,
}

impl<T: Tuner> Practice<T> {
    /// At its beginning.
    pub fn new(episode: Episode, tuner: T) -> Self {
        Self {
            episode,
            tuner,
            actions: 0,
            revolutions: 0,
            end: None,
        }
    }

    /// The next action that is begun, or none: then it has ended.
    fn next(&mut self) -> Option<Action> {
        while self.end.is_none() {
            if self.actions >= MOST_ACTIONS {
                self.end = Some(End::OutOfActions);
                break;
            }
            let action = match self.tuner.next() {
                Ok(action) => action,
                Err(end) => {
                    self.end = Some(end);
                    break;
                }
            };
            self.actions += 1;
            match self.episode.begin(&action) {
                Ok(()) => return Some(action),
                Err(refusal) => self.tuner.refused(&action, refusal),
            }
        }
        None
    }

    /// Shows what came of an action.
    fn did(&mut self, action: &Action, sight: &Sight) {
        self.end = sight.ended.map(|ending| match ending {
            Ending::Clean => End::Clean,
            Ending::NotClean => End::NotClean,
            Ending::Lost => End::Lost,
            Ending::OutOfTime => End::OutOfTime,
            Ending::Left => End::NothingProposed,
        });
        if self.end.is_none() {
            self.tuner.did(action, sight);
        }
    }
}

/// Plays every practice to its end.
pub fn play<T: Tuner>(practices: &mut [Practice<T>]) {
    use crate::bench::player::Unseen;
    for practice in practices {
        practice.tuner.begin(&Sight::of(&practice.episode, Vec::new()));
        while let Some(action) = practice.next() {
            let found = loop {
                if let Some(found) = practice.episode.advance(u32::MAX, Unseen) {
                    break found;
                }
            };
            let sight = Sight::of(&practice.episode, found);
            practice.did(&action, &sight);
        }
    }
}
