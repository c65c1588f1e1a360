//! Practices of one engine in its lanes: where an action or a stretch of one ends, the next begins in the same lane, so the lanes stay
//! full until practices end or another engine is asked for.

use super::practice::{Practice, Tuner};
use crate::engine::state::{Controls, Revolution, State};
use crate::engine::{Hands, Next};
use crate::lanes::Instructions;
use crate::tuning::episode::{Stretch, Which};

/// A practice as the hands on an engine.
struct Lane<'a, T> {
    practice: &'a mut Practice<T>,
    which: &'a Which,
    /// What is being played of it.
    stretch: Stretch,
}

impl<T: Tuner> Hands for Lane<'_, T> {
    fn begin(&mut self, _: &mut State, _: &mut Controls) -> Next {
        // Its stretch has begun.
        Next::On
    }

    #[inline(always)]
    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        let episode = &mut self.practice.episode;
        episode.see(&mut self.stretch, controls.throttle, revolution, state);
        if self.stretch.stays(state.time) {
            Next::On
        } else {
            Next::Asks
        }
    }

    fn asked(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        let next = self.stretch.turned(state, controls);
        if next != Next::Done {
            return next;
        }
        let practice = &mut *self.practice;
        practice.episode.leave(*state, *controls);
        practice.episode.played(&self.stretch);
        let Some(stretch) = practice.stretch(self.which) else {
            return Next::Done;
        };
        self.stretch = stretch;
        let stand = practice.episode.stand();
        (*state, *controls) = (stand.state, stand.controls);
        Next::Moved
    }
}

/// Plays practices of one engine side by side, each until it has ended, waits for checks or another engine turns in it.
pub(super) fn play<T: Tuner>(which: &Which, practices: &mut [&mut Practice<T>], instructions: Instructions) {
    let Some(first) = practices.first() else { return };
    let engine = first.episode.engine().on(instructions);
    let mut runs: Vec<_> = practices
        .iter_mut()
        .filter_map(|practice| {
            let stretch = practice.stretch(which)?;
            let stand = practice.episode.stand();
            Some(stand.with(Lane {
                practice,
                which,
                stretch,
            }))
        })
        .collect();
    engine.play(&mut runs);
}
