//! The listening room: what can be told by ear alone, played from the simulated engine and asked blind, so that an ear learns what it hears
//! worst.
//!
//! A [`drill`] is one thing to tell; a [`staircase`] makes it harder while it is told and easier when it is not; a [`clip`] is what is
//! played. [`Room`] chooses the drill, draws the question and counts the answers. A [`sweep`] takes one needle through its range, said aloud.

pub mod clip;
pub mod drill;
pub mod staircase;
pub mod sweep;

use serde::{Deserialize, Serialize};

use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::noise::{Channel, Noise};
use crate::tuning::judging::off;
use clip::Clip;
use drill::{Answer, Drill};
use staircase::Staircase;

/// Turns of a click, the step that everything here is counted in.
pub const CLICK: f64 = 1.0 / 24.0;
/// The setting that a pair is drawn around is off the clean one by up to so many clicks, so that no pitch can be learnt by heart.
const ABOUT_CLICKS: f64 = 3.0;

/// An answer that was given, as it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answered {
    /// What was to be told.
    pub drill: Drill,
    /// How far apart it was, clicks.
    pub step_clicks: u32,
    /// Whether it was told.
    pub right: bool,
}

/// A question with what is true of it; whoever listens gets its [`Question::asked`] alone.
#[derive(Clone, Debug)]
pub struct Question {
    /// What is to be told.
    pub drill: Drill,
    /// How far apart it is, clicks.
    pub step_clicks: u32,
    /// What is right.
    truth: Answer,
    /// What is played, in the order of playing.
    clips: Vec<Clip>,
}

/// What the listener gets.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// What is to be told.
    pub drill: Drill,
    /// What may be answered.
    pub answers: [Answer; 2],
    /// What is played.
    pub clips: &'a [Clip],
}

impl Question {
    /// The part that may be seen before the answer.
    pub fn asked(&self) -> Asked<'_> {
        Asked {
            drill: self.drill,
            answers: self.drill.answers(),
            clips: &self.clips,
        }
    }

    /// How right an answer is, for keeping.
    pub fn answered(&self, answer: Answer) -> Answered {
        Answered {
            drill: self.drill,
            step_clicks: self.step_clicks,
            right: answer == self.truth,
        }
    }

    /// What was right: for after the answer.
    pub fn truth(&self) -> Answer {
        self.truth
    }
}

/// How one drill goes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Standing {
    /// Which.
    pub drill: Drill,
    /// Times it was asked.
    pub asked: u32,
    /// Times it was told.
    pub right: u32,
    /// The smallest step heard, clicks, as the staircase has it; none before it has turned often enough.
    pub smallest_step_clicks: Option<f64>,
    /// The step that it stands at, clicks.
    pub step_clicks: u32,
}

/// One listener's room: the drills with how they stand.
#[derive(Clone, Debug)]
pub struct Room {
    seed: u64,
    number: u64,
    stairs: [Staircase; Drill::ALL.len()],
}

impl Room {
    /// A room under a seed, with what was answered before.
    pub fn new(seed: u64, before: impl IntoIterator<Item = Answered>) -> Self {
        let mut room = Self {
            seed,
            number: 0,
            stairs: [Staircase::default(); Drill::ALL.len()],
        };
        for answered in before {
            room.take(answered);
        }
        room
    }

    fn stairs(&self, drill: Drill) -> &Staircase {
        &self.stairs[drill as usize]
    }

    /// Counts an answer.
    pub fn take(&mut self, answered: Answered) {
        self.number += 1;
        self.stairs[answered.drill as usize].answer(answered.right);
    }

    /// How every drill stands.
    pub fn standing(&self) -> [Standing; Drill::ALL.len()] {
        Drill::ALL.map(|drill| {
            let stairs = self.stairs(drill);
            Standing {
                drill,
                asked: stairs.asked(),
                right: stairs.right(),
                smallest_step_clicks: stairs.smallest(),
                step_clicks: stairs.step_clicks(),
            }
        })
    }

    /// How often each drill should come up, one beside the other: what is heard worst most, and what was never asked as often as that.
    pub fn weights(&self) -> [f64; Drill::ALL.len()] {
        Drill::ALL.map(|drill| f64::from(self.stairs(drill).step_clicks()))
    }

    /// The drill that is asked next.
    pub fn next_drill(&self) -> Drill {
        let weights = self.weights();
        let at = self.chance().between(0, 0.0, weights.iter().sum());
        let mut sum = 0.0;
        let found = Drill::ALL.into_iter().zip(weights).find(|(_, weight)| {
            sum += weight;
            at < sum
        });
        found.map_or(Drill::ALL[0], |(drill, _)| drill)
    }

    fn chance(&self) -> Noise {
        Noise::new(self.seed, self.number, Channel::Choice)
    }

    /// A question of this drill (or of the one that is due), on an engine whose clean setting is `clean`; `rate_hz` is that of its clips.
    pub fn question(&self, drill: Option<Drill>, setup: &Setup, clean: Setting, rate_hz: u32) -> Question {
        let drill = drill.unwrap_or_else(|| self.next_drill());
        let chance = self.chance();
        let step_clicks = self.stairs(drill).step_clicks();
        let step = f64::from(step_clicks) * CLICK;
        let first = chance.between(1, 0.0, 1.0) < 0.5;
        let about = chance.between(2, -ABOUT_CLICKS, ABOUT_CLICKS) * CLICK;
        let truth = drill.answers()[usize::from(!first)];
        let play = |turns: [f64; 3], number: u64| {
            clip::clip(
                setup,
                off(clean, turns),
                drill.manoeuvre(),
                chance.bits(10 + number),
                rate_hz,
            )
        };
        let clips = if drill.is_pair() {
            let (leaner, richer) = (drill.along(about - step / 2.0), drill.along(about + step / 2.0));
            let order = if first { [leaner, richer] } else { [richer, leaner] };
            order
                .into_iter()
                .enumerate()
                .map(|(k, turns)| play(turns, k as u64))
                .collect()
        } else {
            vec![play(drill.symptom(truth, step_clicks), 0)]
        };
        Question {
            drill,
            step_clicks,
            truth,
            clips,
        }
    }
}

#[cfg(test)]
mod tests;
