//! What a hand, an ear and an eye get wrong when they read something: drawn for each reading, so that the same reading of the same
//! practice always errs alike; how much, by who reads.
//!
//! All sizes are assumed.

use serde::{Deserialize, Serialize};

use crate::chance::Chance;
use crate::noise::Channel;

/// How practised somebody is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Skill {
    /// Hears an engine for the first times.
    Beginner,
    /// Runs one every other weekend.
    #[default]
    Club,
    /// Has tuned for years.
    Expert,
}

/// How much somebody errs, each as a standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Of a hand-held gun on a small head, K.
    pub gun_c: f64,
    /// Of the rise of a pitch within some seconds, percent: a semitone is six.
    pub pinch_percent: f64,
    /// Of a pitch told without an instrument, percent.
    pub pitch_percent: f64,
    /// Of a stopwatch pressed by ear, s.
    pub stopwatch_s: f64,
}

impl Skill {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Beginner, Self::Club, Self::Expert];

    /// How much such a one errs. Assumed: a club member holds the gun within two kelvin of the same spot, compares pitches to half a
    /// percent and tells one to two, and presses a stopwatch to a seventh of a second; a beginner errs by twice as much, and years of it
    /// halve what is left.
    pub const fn sizes(self) -> Sizes {
        match self {
            Self::Beginner => Sizes {
                gun_c: 4.0,
                pinch_percent: 1.0,
                pitch_percent: 4.0,
                stopwatch_s: 0.3,
            },
            Self::Club => Sizes {
                gun_c: 2.0,
                pinch_percent: 0.5,
                pitch_percent: 2.0,
                stopwatch_s: 0.15,
            },
            Self::Expert => Sizes {
                gun_c: 1.0,
                pinch_percent: 0.25,
                pitch_percent: 1.0,
                stopwatch_s: 0.08,
            },
        }
    }
}

/// An ear errs alike for so long, ms: then it listens anew.
const PITCH_MS: u64 = 4000;

/// Somebody who reads, and what was read so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Human {
    chance: Chance,
    sizes: Sizes,
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
    /// Of the time that a pinch test took.
    pub stopwatch_s: Vec<f64>,
}

impl Human {
    /// Somebody of such skill who has read nothing yet.
    pub fn new(chance: Chance, skill: Skill) -> Self {
        Self {
            chance,
            sizes: skill.sizes(),
            guns: 0,
            pinches: 0,
        }
    }

    /// Reads the gun: its error.
    pub fn gun_c(&mut self) -> f64 {
        self.guns += 1;
        self.gun_at(self.guns - 1)
    }

    /// Hears and times a pinch test: the errors of the rise in percent and of the time in s.
    pub fn pinch(&mut self) -> (f64, f64) {
        self.pinches += 1;
        let reading = self.pinches - 1;
        (self.pinch_at(reading), self.stopwatch_at(reading))
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
            stopwatch_s: (0..self.pinches).map(|i| self.stopwatch_at(i)).collect(),
        }
    }

    fn gun_at(&self, reading: u64) -> f64 {
        self.chance.normal(Channel::Gun, reading, self.sizes.gun_c)
    }
    fn pinch_at(&self, reading: u64) -> f64 {
        self.chance.normal(Channel::Pinch, reading, self.sizes.pinch_percent)
    }
    fn stopwatch_at(&self, reading: u64) -> f64 {
        self.chance.normal(Channel::Stopwatch, reading, self.sizes.stopwatch_s)
    }
    fn pitch_at(&self, window: u64) -> f64 {
        self.chance.normal(Channel::Pitch, window, self.sizes.pitch_percent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_errors_told_at_the_end_are_those_made() {
        let mut human = Human::new(Chance::new(4, 0), Skill::Club);
        let guns = [human.gun_c(), human.gun_c()];
        let (pinch, stopwatch) = human.pinch();
        let pitches = [0, 3999, 4000, 8000].map(|ms| human.pitch_percent(ms));
        let errors = human.errors(8000);
        assert_eq!(errors.gun_c, guns);
        assert_eq!(
            (errors.pinch_percent, errors.stopwatch_s),
            (vec![pinch], vec![stopwatch])
        );
        assert_eq!(pitches[0], pitches[1]);
        assert_eq!(errors.pitch_percent, [pitches[0], pitches[2], pitches[3]]);
        assert!(guns[0] != guns[1] && pitches[1] != pitches[2]);
    }

    #[test]
    fn what_is_read_in_one_way_moves_no_other_reading() {
        let mut often = Human::new(Chance::new(4, 0), Skill::Club);
        let mut once = often;
        for _ in 0..5 {
            often.gun_c();
        }
        assert_eq!(often.pinch(), once.pinch());
    }

    #[test]
    fn the_more_practised_err_less_at_the_same_readings() {
        let errors = Skill::ALL.map(|skill| {
            let mut human = Human::new(Chance::new(4, 0), skill);
            let (rise, seconds) = human.pinch();
            [human.gun_c(), rise, human.pitch_percent(0), seconds].map(f64::abs)
        });
        for (less, more) in [(1, 0), (2, 1)] {
            assert!(errors[less].iter().zip(&errors[more]).all(|(a, b)| a < b), "{errors:?}");
        }
    }
}
