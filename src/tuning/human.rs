//! What a hand, an ear and an eye get wrong when they read something: drawn for each reading, so that the same reading of the same
//! practice always errs alike.
//!
//! All sizes are assumed.

use serde::{Deserialize, Serialize};

use crate::chance::Chance;
use crate::noise::Channel;

/// Scatter of a hand-held gun on a small head, K.
const GUN_C: f64 = 2.0;
/// Two pitches a few seconds apart are compared to half a percent.
const PINCH_PERCENT: f64 = 0.5;
/// An ear without an instrument is right to about two percent.
const PITCH_PERCENT: f64 = 2.0;
/// An ear errs alike for so long, ms: then it listens anew.
const PITCH_MS: u64 = 4000;

/// Somebody who reads, and what was read so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Human {
    chance: Chance,
    guns: u64,
    pinches: u64,
}

/// Every error made in a practice, in the order of the readings.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Errors {
    /// Of the temperature gun.
    pub gun_c: Vec<f64>,
    /// Of the rise heard in a pinch test.
    pub pinch_percent: Vec<f64>,
    /// Of the pitch of the idle, for each four seconds.
    pub pitch_percent: Vec<f64>,
}

impl Human {
    /// Somebody who has read nothing yet.
    pub fn new(chance: Chance) -> Self {
        Self {
            chance,
            guns: 0,
            pinches: 0,
        }
    }

    /// Reads the gun: its error.
    pub fn gun_c(&mut self) -> f64 {
        self.guns += 1;
        self.gun_at(self.guns - 1)
    }

    /// Hears a pinch test: the error of the rise.
    pub fn pinch_percent(&mut self) -> f64 {
        self.pinches += 1;
        self.pinch_at(self.pinches - 1)
    }

    /// The error of a pitch heard now.
    pub fn pitch_percent(&self, clock_ms: u64) -> f64 {
        self.pitch_at(clock_ms / PITCH_MS)
    }

    /// Readings taken: of the gun, and pinch tests.
    pub fn readings(&self) -> [u64; 2] {
        [self.guns, self.pinches]
    }

    /// All errors up to now.
    pub fn errors(&self, clock_ms: u64) -> Errors {
        Errors {
            gun_c: (0..self.guns).map(|i| self.gun_at(i)).collect(),
            pinch_percent: (0..self.pinches).map(|i| self.pinch_at(i)).collect(),
            pitch_percent: (0..=clock_ms / PITCH_MS).map(|i| self.pitch_at(i)).collect(),
        }
    }

    fn gun_at(&self, reading: u64) -> f64 {
        self.chance.normal(Channel::Gun, reading, GUN_C)
    }
    fn pinch_at(&self, reading: u64) -> f64 {
        self.chance.normal(Channel::Pinch, reading, PINCH_PERCENT)
    }
    fn pitch_at(&self, window: u64) -> f64 {
        self.chance.normal(Channel::Pitch, window, PITCH_PERCENT)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_errors_told_at_the_end_are_those_made() {
        let mut human = Human::new(Chance::new(4, 0));
        let guns = [human.gun_c(), human.gun_c()];
        let pinch = human.pinch_percent();
        let pitches = [0, 3999, 4000, 8000].map(|ms| human.pitch_percent(ms));
        let errors = human.errors(8000);
        assert_eq!(errors.gun_c, guns);
        assert_eq!(errors.pinch_percent, [pinch]);
        assert_eq!(pitches[0], pitches[1]);
        assert_eq!(errors.pitch_percent, [pitches[0], pitches[2], pitches[3]]);
        assert!(guns[0] != guns[1] && pitches[1] != pitches[2]);
    }

    #[test]
    fn what_is_read_in_one_way_moves_no_other_reading() {
        let mut often = Human::new(Chance::new(4, 0));
        let mut once = often;
        for _ in 0..5 {
            often.gun_c();
        }
        assert_eq!(often.pinch_percent(), once.pinch_percent());
    }
}
