//! Manoeuvres played: a [`Player`] is hands that a [`Guide`] leads through one, and an [`Observer`] sees every revolution. [`play`] plays many engines side by side; [`advance`] plays one or many only so far in time, and further
//! when it is called again, so nothing that takes long has to block.

use super::guide::Guide;
pub use super::guide::{Cursor, Pace};
use super::manoeuvre::{Manoeuvre, Mark};
use crate::engine::state::{Controls, Revolution, State};
use crate::engine::{Engine, Hands, Next, Run};
use crate::noise::Noise;

/// An engine where it stands, with nobody's hands on it.
#[derive(Clone, Copy, Debug)]
pub struct Stand {
    /// Its state.
    pub state: State,
    /// How its controls were left.
    pub controls: Controls,
    /// Its chance.
    pub noise: Noise,
}

impl Stand {
    /// With hands on it.
    pub fn with<H>(self, hands: H) -> Run<H> {
        Run {
            state: self.state,
            controls: self.controls,
            noise: self.noise,
            hands,
        }
    }

    /// The hands taken off it.
    pub fn parted<H>(run: Run<H>) -> (Self, H) {
        let stand = Self {
            state: run.state,
            controls: run.controls,
            noise: run.noise,
        };
        (stand, run.hands)
    }
}

/// Where in a manoeuvre a revolution was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Now {
    /// Mark of the segment.
    pub mark: Mark,
    /// Seconds since the segment began, at the revolution's end.
    pub seconds: f64,
    /// Throttle during the revolution.
    pub throttle: f64,
}

impl Now {
    /// Of a revolution that ended at `time` on the engine's clock, s.
    #[inline(always)]
    pub fn of(guide: &Guide, time: f64, throttle: f64) -> Self {
        Self {
            mark: guide.mark(),
            seconds: guide.seconds(time),
            throttle,
        }
    }
}

/// Eyes and ears: they see every revolution, and what they keep is theirs.
pub trait Observer {
    /// A revolution, and the state after it.
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State);
}

impl<F: FnMut(&Now, &Revolution, &State)> Observer for F {
    #[inline(always)]
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
        self(now, revolution, state);
    }
}

/// Two that watch the same.
impl<A: Observer, B: Observer> Observer for (A, B) {
    #[inline(always)]
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
        self.0.see(now, revolution, state);
        self.1.see(now, revolution, state);
    }
}

/// Nobody watches.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unseen;

impl Observer for Unseen {
    #[inline(always)]
    fn see(&mut self, _: &Now, _: &Revolution, _: &State) {}
}

/// Hands that follow a manoeuvre while somebody watches.
#[derive(Clone, Debug)]
pub struct Player<O> {
    guide: Guide,
    /// Who watches.
    pub watch: O,
}

impl<O: Observer> Player<O> {
    /// At the beginning of a manoeuvre.
    pub fn new(engine: &Engine, manoeuvre: &Manoeuvre, pace: Pace, watch: O) -> Self {
        Self::at(engine, manoeuvre, Cursor::new(pace), f64::INFINITY, watch)
    }

    /// Where a cursor stands, up to a time on the engine's clock, s.
    pub fn at(engine: &Engine, manoeuvre: &Manoeuvre, cursor: Cursor, pause: f64, watch: O) -> Self {
        Self {
            guide: Guide::at(engine.tank_capacity(), manoeuvre, cursor, pause),
            watch,
        }
    }

    /// Where it stands.
    pub fn cursor(&self) -> Cursor {
        self.guide.cursor()
    }

    /// Whether the manoeuvre has been played to its end.
    pub fn over(&self) -> bool {
        self.guide.over()
    }
}

impl<O: Observer> Hands for Player<O> {
    fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.guide.begin(state, controls)
    }

    #[inline(always)]
    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        let now = Now::of(&self.guide, state.time, controls.throttle);
        self.watch.see(&now, revolution, state);
        if self.guide.stays(state.time) {
            Next::On
        } else {
            Next::Asks
        }
    }

    fn asked(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.guide.turned(state, controls)
    }
}

/// One engine's part in a play: where it starts, what hands do, who watches.
#[derive(Clone, Debug)]
pub struct Play<O> {
    /// Where it starts.
    pub from: Stand,
    /// What hands do.
    pub manoeuvre: Manoeuvre,
    /// Who watches.
    pub watch: O,
}

/// What has been played.
#[derive(Clone, Debug)]
pub struct Played<O> {
    /// Where the engine stands.
    pub end: Stand,
    /// Who watched.
    pub watch: O,
}

/// Plays every part to its end, side by side, each segment at its own pace. The engines share their constants.
pub fn play<O: Observer>(engine: &Engine, plays: impl IntoIterator<Item = Play<O>>) -> Vec<Played<O>> {
    let mut plays: Vec<(usize, Play<O>)> = plays.into_iter().enumerate().collect();
    // The longest first: one that was begun last would go on while the lanes beside it are empty.
    plays.sort_by(|(_, a), (_, b)| b.manoeuvre.longest_s().total_cmp(&a.manoeuvre.longest_s()));
    let (places, mut runs): (Vec<usize>, Vec<Run<Player<O>>>) = plays
        .into_iter()
        .map(|(place, play)| (place, begin(engine, play, Pace::Own)))
        .unzip();
    engine.play(&mut runs);
    let mut played: Vec<(usize, Played<O>)> = places
        .into_iter()
        .zip(runs)
        .map(|(place, run)| {
            let (end, player) = Stand::parted(run);
            let watch = player.watch;
            (place, Played { end, watch })
        })
        .collect();
    played.sort_unstable_by_key(|(place, _)| *place);
    played.into_iter().map(|(_, played)| played).collect()
}

/// Hands on an engine, before its first revolution.
pub fn begin<O: Observer>(engine: &Engine, play: Play<O>, pace: Pace) -> Run<Player<O>> {
    play.from.with(Player::new(engine, &play.manoeuvre, pace, play.watch))
}

/// Plays every run `seconds` further, or to its end if that comes first; whether all are over.
pub fn advance<O: Observer>(engine: &Engine, runs: &mut [Run<Player<O>>], seconds: f64) -> bool {
    for run in runs.iter_mut() {
        run.hands.guide.go_on(seconds, run.state.time);
    }
    engine.play(runs);
    runs.iter().all(|run| run.hands.over())
}
