//! A practice and who tunes it: a [`Tuner`] that knows only what may be known.
//!
//! A practice is terminated by its own course (signed off, or the engine lost) and truncated by our limits: the hour, the actions that a
//! tuner may take, a tuner that has nothing to propose or is itself gone.

use serde::{Deserialize, Serialize};

use crate::bench::checks::Report;
use crate::engine::params::Setting;
use crate::tuning::action::Action;
use crate::tuning::episode::{Begun, Ending, Episode, Found, Refusal, Stretch, Which};
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
#[derive(Clone, Debug)]
pub struct Practice<T> {
    /// The practice.
    pub episode: Episode,
    /// Who tunes.
    pub tuner: T,
    /// Actions so far, refused ones too.
    pub actions: u32,
    /// Revolutions that it has played itself: neither those of the draw nor those of the sign-off's checks.
    pub revolutions: u64,
    /// How it ended, if it has.
    pub end: Option<End>,
    /// The action under way.
    doing: Option<Action>,
    /// It was signed off, and waits for the checks.
    unchecked: bool,
    /// Revolutions of the engine before it was played.
    before: u64,
}

impl<T: Tuner> Practice<T> {
    /// At its beginning.
    pub fn new(episode: Episode, mut tuner: T) -> Self {
        tuner.begin(&Sight::of(&episode, Vec::new()));
        Self {
            before: episode.revolutions(),
            episode,
            tuner,
            actions: 0,
            revolutions: 0,
            end: None,
            doing: None,
            unchecked: false,
        }
    }

    /// Begins the next action; whether there is one, or it has ended.
    fn next(&mut self) -> bool {
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
            match self.episode.set_out(&action) {
                Ok(begun) => {
                    self.doing = Some(action);
                    self.unchecked = begun == Begun::Unchecked;
                    return true;
                }
                Err(refusal) => self.tuner.refused(&action, refusal),
            }
        }
        false
    }

    /// Shows what came of the action under way.
    fn did(&mut self, found: Vec<Found>) {
        self.revolutions = self.episode.revolutions() - self.before;
        let sight = Sight::of(&self.episode, found);
        self.end = sight.ended.map(|ending| match ending {
            Ending::Clean => End::Clean,
            Ending::NotClean => End::NotClean,
            Ending::Lost => End::Lost,
            Ending::OutOfTime => End::OutOfTime,
            Ending::Left => End::NothingProposed,
        });
        if let (Some(action), None) = (self.doing.take(), self.end) {
            self.tuner.did(&action, &sight);
        }
    }

    /// The settings whose checks it waits for, if it does.
    pub(super) fn to_check(&self) -> Option<[Setting; 2]> {
        self.unchecked.then(|| self.episode.to_check())
    }

    /// Takes in those checks.
    pub(super) fn checked(&mut self, reports: Vec<Report>) {
        self.unchecked = false;
        self.episode.checked(reports);
    }

    /// Goes on to the next stretch that has revolutions, begun already. None if it has ended, waits for checks, or another engine turns
    /// than that one.
    pub(super) fn stretch(&mut self, which: &Which) -> Option<Stretch> {
        while self.episode.is_on(which) && !self.unchecked {
            if self.doing.is_none() {
                if !self.next() {
                    return None;
                }
            } else if let Some(mut stretch) = self.episode.next_stretch(u64::MAX) {
                if self.episode.enter(&mut stretch) {
                    return Some(stretch);
                }
                self.episode.played(&stretch);
            } else if let Some(found) = self.episode.finished() {
                self.did(found);
            }
        }
        None
    }
}
