//! The hint as a hand needs it: it stays until it is done. A hand opens the throttle, holds it and turns a screw click by click; the
//! coach's proposal changes many times meanwhile.

use crate::bench::instruments::SHUT;
use crate::tuning::action::Action;
use crate::tuning::strategy::Sight;
use crate::tuning::strategy::advice::Advice;
use crate::tuning::strategy::reason::{Because, Reason};

/// Another proposal must stand for so long before it takes the hint's place, s: nobody reads what goes again at once.
const STEADY_S: f64 = 1.5;
/// A throttle so far off what is asked for isn't that.
const NEAR: f64 = 0.1;
/// Turns closer than this are the same.
const SAME_TURNS: f64 = 1e-6;

/// What is hinted.
#[derive(Clone, Debug, Default)]
pub struct Hinted {
    shown: Option<Advice>,
    /// For how long the hand has done what it says, s.
    done_s: f64,
    /// Another proposal, and since when it stands, s.
    other: Option<(Advice, f64)>,
    clock_s: f64,
    running: bool,
}

impl Hinted {
    /// What is hinted now.
    pub fn shown(&self) -> Option<&Advice> {
        self.shown.as_ref()
    }

    /// An action was done or refused, and this is proposed now.
    pub fn did(&mut self, action: &Action, proposed: Option<Advice>, sight: &Sight) {
        match (action, &mut self.shown) {
            // The hand on the throttle: what it does shows as time passes.
            (Action::Throttle { .. }, Some(_)) => return,
            (Action::Turn { screw, turns }, Some(Advice { action: asked, .. })) => {
                if let Action::Turn {
                    screw: other,
                    turns: left,
                } = asked
                    && other == screw
                    && turns * *left > 0.0
                    && left.abs() - turns.abs() > SAME_TURNS
                {
                    // A part of it.
                    *left -= turns;
                    return;
                }
            }
            (Action::Laps { laps: driven }, Some(Advice { action: asked, .. })) => {
                if let Action::Laps { laps: left } = asked
                    && *left > *driven
                    && sight.running
                {
                    // A key drives two.
                    *left -= driven;
                    return;
                }
            }
            _ => {}
        }
        self.take(proposed, sight);
    }

    /// Time has passed with a hand on the throttle. What it has done of what was hinted, if that is as good as an action now: whoever
    /// proposes is told, and asked again.
    pub fn passed(&mut self, proposed: Option<Advice>, sight: &Sight) -> Option<Action> {
        let passed_s = sight.clock_s - self.clock_s;
        self.clock_s = sight.clock_s;
        if self.running != sight.running || self.shown.is_none() {
            self.take(proposed, sight);
            return None;
        }
        let action = self.shown.as_ref()?.action;
        let (does, whole_s) = match action {
            Action::Hold { position, ms } => (sight.throttle >= position - NEAR, f64::from(ms) / 1e3),
            Action::Wait { ms } => (sight.throttle < SHUT, f64::from(ms) / 1e3),
            Action::RollOn => (sight.throttle >= SHUT, f64::INFINITY),
            _ => (false, f64::INFINITY),
        };
        self.done_s = if does { self.done_s + passed_s } else { 0.0 };
        if self.done_s >= whole_s {
            return Some(action);
        }
        let Some(proposed) = proposed.filter(|proposed| self.shown.as_ref() != Some(proposed)) else {
            self.other = None;
            return None;
        };
        let since_s = match &self.other {
            Some((other, since_s)) if *other == proposed => *since_s,
            _ => sight.clock_s,
        };
        let waits = matches!(action, Action::Wait { .. });
        if cannot_wait(&proposed) || ((waits || !does) && sight.clock_s - since_s >= STEADY_S) {
            self.take(Some(proposed), sight);
            // A wait that isn't needed any longer is done.
            return waits.then_some(action);
        }
        self.other = Some((proposed, since_s));
        None
    }

    /// This is hinted from now on.
    pub fn take(&mut self, proposed: Option<Advice>, sight: &Sight) {
        (self.shown, self.other, self.done_s) = (proposed, None, 0.0);
        (self.clock_s, self.running) = (sight.clock_s, sight.running);
    }
}

/// An engine that is heard to be lean is helped now.
fn cannot_wait(proposed: &Advice) -> bool {
    proposed.because == Because::Known(Reason::SoundsLean)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A key drives two laps; a hint of three is done when they have been driven.
    #[test]
    fn laps_that_were_hinted_stay_until_all_are_driven() {
        let advice = |action| Advice {
            action,
            because: Because::Known(Reason::NotHot),
        };
        let sight = |running| Sight {
            running,
            ..Sight::standing()
        };
        let (hinted, next) = (advice(Action::Laps { laps: 3 }), advice(Action::Pinch));
        let after = |driven: &[u8], running: bool| {
            let mut shown = Hinted::default();
            shown.take(Some(hinted.clone()), &sight(true));
            for laps in driven {
                shown.did(&Action::Laps { laps: *laps }, Some(next.clone()), &sight(running));
            }
            shown.shown().cloned()
        };
        assert_eq!(after(&[2], true), Some(advice(Action::Laps { laps: 1 })));
        assert_eq!(after(&[2, 2], true), Some(next.clone()));
        assert_eq!(after(&[3], true), Some(next.clone()));
        // One that died on them is no longer driven.
        assert_eq!(after(&[2], false), Some(next.clone()));
    }
}
