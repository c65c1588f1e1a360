//! The listening room: what can be told by ear alone, played from the simulated engine and asked blind, so that an ear learns what it hears
//! worst.
//!
//! A [`drill`] is one thing to tell; a [`staircase`] makes it harder while it is told and easier when it is not; a [`clip`] is what is
//! played. [`Room`] chooses the drill, draws the question and counts the answers, which are [`kept`] a line each. A [`sweep`] takes one needle through its range, said aloud.

pub mod clip;
pub mod drill;
pub mod kept;
pub mod staircase;
pub mod sweep;

use rayon::prelude::*;
use serde::Serialize;

use crate::chance::Chance;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::noise::Channel;
use crate::tuning::judging::off;
use clip::Clip;
use drill::{Answer, Drill};
use staircase::Staircase;

/// Turns of a click, the step that everything here is counted in.
pub const CLICK: f64 = 1.0 / 24.0;
/// Seeds of clips are whole numbers that a float holds.
const MOST_SEED: f64 = 9e15;
/// The setting that a pair is drawn around is off the clean one by up to so many clicks, so that no pitch can be learnt by heart.
const ABOUT_CLICKS: f64 = 3.0;

/// An answer that was given, as it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Answered {
    /// What was to be told.
    pub drill: Drill,
    /// How far apart it was, clicks.
    pub step_clicks: u32,
    /// Whether it was told.
    pub right: bool,
}

/// A question that was drawn, with what is true of it. Whoever listens gets its drill and its [clips](Question::clips), and the rest after
/// the answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// What is to be told.
    pub drill: Drill,
    /// How far apart it is, clicks.
    pub step_clicks: u32,
    truth: Answer,
    /// What a pair is drawn around, turns off the clean setting.
    about: f64,
    seeds: [u64; 2],
}

impl Question {
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

    /// How far apart a pair is, or how far a symptom's cause stands off the clean setting, turns of its needle; rich is positive.
    pub fn apart_turns(&self) -> f64 {
        if self.drill.is_pair() {
            f64::from(self.step_clicks) * CLICK
        } else {
            self.drill.symptom(self.truth, self.step_clicks).iter().sum()
        }
    }

    /// What is played, in the order of playing, by an engine whose clean setting is `clean`; `rate_hz` is that of the clips.
    pub fn clips(&self, setup: &Setup, clean: Setting, rate_hz: u32) -> Vec<Clip> {
        let (drill, half) = (self.drill, f64::from(self.step_clicks) * CLICK / 2.0);
        let turns = if drill.is_pair() {
            let (leaner, richer) = (drill.along(self.about - half), drill.along(self.about + half));
            match self.truth {
                Answer::First => vec![leaner, richer],
                _ => vec![richer, leaner],
            }
        } else {
            vec![drill.symptom(self.truth, self.step_clicks)]
        };
        turns
            .into_par_iter()
            .zip(self.seeds)
            .map(|(turns, seed)| clip::clip(setup, off(clean, turns), drill.manoeuvre(), seed, rate_hz))
            .collect()
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
    /// A room whose questions are drawn with a seed, with what was answered before.
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
        let at = self.chance().uniform(Channel::Choice, 0, 0.0, weights.iter().sum());
        let mut sum = 0.0;
        let found = Drill::ALL.into_iter().zip(weights).find(|(_, weight)| {
            sum += weight;
            at < sum
        });
        found.map_or(Drill::ALL[0], |(drill, _)| drill)
    }

    fn chance(&self) -> Chance {
        Chance::new(self.seed, self.number)
    }

    /// Draws a question of this drill, or of the one that is due; no two are the same draw.
    pub fn ask(&mut self, drill: Option<Drill>) -> Question {
        let drill = drill.unwrap_or_else(|| self.next_drill());
        let chance = self.chance();
        self.number += 1;
        let second = chance.uniform(Channel::Choice, 1, 0.0, 1.0) < 0.5;
        Question {
            drill,
            step_clicks: self.stairs(drill).step_clicks(),
            truth: drill.answers()[usize::from(second)],
            about: chance.uniform(Channel::Choice, 2, -ABOUT_CLICKS, ABOUT_CLICKS) * CLICK,
            seeds: [3, 4].map(|variable| chance.uniform(Channel::Choice, variable, 0.0, MOST_SEED) as u64),
        }
    }
}

#[cfg(test)]
mod tests;
