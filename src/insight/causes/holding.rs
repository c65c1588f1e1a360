//! Hands that follow a manoeuvre while some links of the engine are held at what passed along them in another run at the same time: so
//! one can ask what a turn of a screw would have done, had this or that path not answered.

use crate::bench::player::{Observer, Player};
use crate::engine::links::{LINKS, Links, Passed};
use crate::engine::state::{Controls, Revolution, State};
use crate::engine::{Hands, Next};

/// What passed along every link in a run, revolution by revolution.
#[derive(Clone, Debug, Default)]
pub struct Past {
    /// When each revolution began, s.
    began: Vec<f64>,
    passed: Vec<Passed>,
}

/// Hands that note what passes, and hold nothing.
#[derive(Clone, Debug)]
pub struct Noting<O> {
    player: Player<O>,
    time: f64,
    /// What has passed so far.
    pub past: Past,
}

impl<O> Noting<O> {
    /// Hands at the beginning of a manoeuvre.
    pub fn new(player: Player<O>) -> Self {
        Self {
            player,
            time: 0.0,
            past: Past::default(),
        }
    }

    /// Who watched, and what passed.
    pub fn parted(self) -> (O, Past) {
        (self.player.watch, self.past)
    }
}

impl<O: Observer> Hands for Noting<O> {
    const HOLDS: bool = true;

    fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.time = state.time;
        self.player.begin(state, controls)
    }

    fn passed(&mut self, own: &Passed) {
        self.past.began.push(self.time);
        self.past.passed.push(*own);
    }

    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        self.time = state.time;
        self.player.turned(state, revolution, controls)
    }

    fn asked(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.player.asked(state, controls)
    }
}

/// Hands that hold links at what passed along them in another run at the same time.
#[derive(Clone, Debug)]
pub struct Holding<'a, O> {
    player: Player<O>,
    links: Links,
    past: &'a Past,
    /// The revolution of the past that was on when this one began.
    at: usize,
    time: f64,
}

impl<'a, O> Holding<'a, O> {
    /// Hands at the beginning of a manoeuvre that the past began at the same time.
    pub fn new(player: Player<O>, links: Links, past: &'a Past) -> Self {
        Self {
            player,
            links,
            past,
            at: 0,
            time: 0.0,
        }
    }

    /// Who watched.
    pub fn watched(self) -> O {
        self.player.watch
    }
}

impl<O: Observer> Hands for Holding<'_, O> {
    const HOLDS: bool = true;

    fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.time = state.time;
        self.player.begin(state, controls)
    }

    fn hold(&mut self) -> (Links, Passed) {
        while self
            .past
            .began
            .get(self.at + 1)
            .is_some_and(|began| *began <= self.time)
        {
            self.at += 1;
        }
        match self.past.passed.get(self.at) {
            Some(passed) => (self.links, *passed),
            None => (Links::NONE, [0.0; LINKS]),
        }
    }

    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        self.time = state.time;
        self.player.turned(state, revolution, controls)
    }

    fn asked(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.player.asked(state, controls)
    }
}
