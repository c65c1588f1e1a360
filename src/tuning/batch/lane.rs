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

impl<T: Tuner> Lane<'_, T> {
    /// Goes on where hands have something to do. The engine's numbers come and go by value, so that they need not lie in memory in
    /// all the revolutions in which nothing changes.
    #[inline(never)]
    fn go_on(&mut self, mut state: State, mut controls: Controls) -> (Next, State, Controls) {
        let next = self.stretch.turned(&mut state, &mut controls);
        if next != Next::Done {
            return (next, state, controls);
        }
        let practice = &mut *self.practice;
        practice.episode.leave(state, controls);
        practice.episode.played(&self.stretch);
        let next = match practice.stretch(self.which) {
            Some(stretch) => {
                self.stretch = stretch;
                Next::Moved
            }
            None => Next::Done,
        };
        let stand = practice.episode.stand();
        (next, stand.state, stand.controls)
    }
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
            return Next::On;
        }
        let next;
        (next, *state, *controls) = self.go_on(*state, *controls);
        next
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
