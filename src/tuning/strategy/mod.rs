//! Strategies: who tunes knowing only what may be known. A strategy gets a [`Sight`] after every action and the scenario's limits,
//! never the practice itself, so it can't see what is hidden. One file each.

pub mod advice;
pub mod by_the_book;
pub mod reason;

use serde::Serialize;

use by_the_book::Book;

use super::action::{Action, Screw};
use super::episode::{Ending, Episode, Found, Refusal};
use super::hidden::HiddenError;
use super::scenario::Scenario;
use super::score::Score;
use crate::bench::instruments::Note;

/// A built-in strategy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BuiltIn {
    /// Name.
    pub name: &'static str,
    /// How it tunes, in one line.
    pub summary: &'static str,
}

/// The built-in strategies.
pub const STRATEGIES: &[BuiltIn] = &[BuiltIn {
    name: "by-the-book",
    summary: "looks it over, warms it up, high-speed needle from the rich side, then the low one by pinch and snap; `guided` follows it",
}];

/// Screws against where they stood at the start, turns; needles out and idle stop in are positive.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Marks {
    /// High-speed needle.
    pub high_turns: f64,
    /// Low-speed needle.
    pub low_turns: f64,
    /// Idle stop.
    pub idle_turns: f64,
}

impl Marks {
    /// The mark of one screw.
    pub fn of(&self, screw: Screw) -> f64 {
        match screw {
            Screw::High => self.high_turns,
            Screw::Low => self.low_turns,
            Screw::Idle => self.idle_turns,
        }
    }
}

/// What can be heard, seen and read at one moment; speeds only where there is a tachometer. It is all that screens and strategies
/// get of an engine before the end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sight {
    /// Time on the practice's clock.
    pub clock_s: f64,
    /// Whether the engine runs.
    pub running: bool,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Screws against their start.
    pub marks: Marks,
    /// Gap left by the idle stop.
    pub idle_gap_mm: f64,
    /// Fuel left in the tank, in quarters as one sees it.
    pub tank_quarters: u8,
    /// What is heard and seen.
    pub notes: Vec<Note>,
    /// What the action brought to light.
    pub found: Vec<Found>,
    /// Tachometer, where there is one.
    pub tachometer_rpm: Option<f64>,
    /// How it ended, if it did.
    pub ended: Option<Ending>,
}

impl Sight {
    /// Of somebody with a tachometer, after an action that brought `found` to light.
    pub fn of(episode: &Episode, found: Vec<Found>) -> Self {
        Self {
            clock_s: episode.clock_ms() as f64 / 1000.0,
            running: episode.running(),
            throttle: episode.throttle(),
            marks: Marks {
                high_turns: episode.mark(Screw::High),
                low_turns: episode.mark(Screw::Low),
                idle_turns: episode.mark(Screw::Idle),
            },
            idle_gap_mm: episode.idle_gap_mm(),
            tank_quarters: episode.tank_quarters(),
            notes: episode.notes(),
            found,
            tachometer_rpm: Some(episode.tachometer_rpm()),
            ended: episode.ending(),
        }
    }

    /// Whether `note` is among what is heard and seen.
    pub fn has(&self, note: Note) -> bool {
        self.notes.contains(&note)
    }
}

/// Does one action, and shows it as it is seen with a tachometer; after a held throttle that is its last moment.
///
/// # Errors
/// It can't be done now; nothing has changed then.
pub fn act(episode: &mut Episode, action: &Action) -> Result<Sight, Refusal> {
    let found = episode.act(action)?;
    Ok(Sight::of(episode, found))
}

/// What the book does with a practice, from its start: the score of somebody who knows nothing of what is hidden.
///
/// # Errors
/// A model that can't be used.
pub fn by_the_book(scenario: &Scenario, seed: u64, episode: u64) -> Result<Score, HiddenError> {
    Ok(by_the_book_from(&Episode::reset(scenario, seed, episode)?, scenario))
}

/// The same from a practice in which nothing was done yet.
pub fn by_the_book_from(fresh: &Episode, scenario: &Scenario) -> Score {
    let mut practice = fresh.clone();
    let mut book = Book::new(scenario.limits);
    // Its own limit of turns ends it long before; a proposal that can't be done ends it too.
    for _ in 0..1000 {
        let advice = book.next();
        match act(&mut practice, &advice.action) {
            Ok(sight) if sight.ended.is_none() => book.did(&advice.action, &sight),
            _ => break,
        }
    }
    practice.score()
}
