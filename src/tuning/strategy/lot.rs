//! What a strategy leaves to chance: drawn by address, the same until what was drawn has been done or refused.

use crate::chance::Chance;
use crate::noise::Channel;
use crate::tuning::action::Action;

/// The lot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lot {
    chance: Chance,
    /// How often it has decided.
    drawn: u32,
    /// What it decided last, while that is neither done nor refused.
    offered: Option<Action>,
}

impl Lot {
    /// Before it has decided anything.
    pub fn new(chance: Chance) -> Self {
        Self {
            chance,
            drawn: 0,
            offered: None,
        }
    }

    /// The chance it draws from.
    pub fn chance(&self) -> Chance {
        self.chance
    }

    /// One of these, as chance has it; none of none.
    pub fn draw(&self, actions: &[Action]) -> Option<Action> {
        let most = actions.len() as f64;
        let at = self.chance.uniform(Channel::Choice, u64::from(self.drawn), 0.0, most);
        actions.get((at as usize).min(actions.len().saturating_sub(1))).copied()
    }

    /// What was drawn is proposed.
    pub fn offer(&mut self, action: Action) {
        self.offered = Some(action);
    }

    /// An action was done or refused: if it is the one that was drawn, the next is drawn anew.
    pub fn decided(&mut self, action: &Action) {
        self.drawn += u32::from(self.offered.take() == Some(*action));
    }
}
