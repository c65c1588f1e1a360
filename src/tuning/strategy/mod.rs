//! Strategies: who tunes knowing only what may be known. A strategy gets a [`Sight`] after every action and the scenario's limits,
//! never the practice itself, so it can't see what is hidden. One file each.

pub mod advice;
pub mod by_the_book;

use by_the_book::Book;

use super::action::Action;
use super::episode::{Ending, Episode, Found, Refusal};
use super::hidden::HiddenError;
use super::scenario::Scenario;
use super::score::Score;
use crate::bench::instruments::Note;

/// What can be heard, seen and read at one moment; speeds only where there is a tachometer.
#[derive(Clone, Debug, PartialEq)]
pub struct Sight {
    /// Time on the practice's clock, s.
    pub clock_s: f64,
    /// Whether the engine runs.
    pub running: bool,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Gap left by the idle stop, mm.
    pub idle_gap_mm: f64,
    /// Fuel left, in quarters of the tank.
    pub tank_quarters: u8,
    /// What is heard and seen.
    pub notes: Vec<Note>,
    /// What the action brought to light.
    pub found: Vec<Found>,
    /// Tachometer, rpm.
    pub tachometer_rpm: Option<f64>,
    /// How it ended, if it did.
    pub ended: Option<Ending>,
}

impl Sight {
    /// Whether `note` is among what is heard and seen.
    pub fn has(&self, note: Note) -> bool {
        self.notes.contains(&note)
    }
}

/// An episode in the hands of somebody with a tachometer.
///
/// # Errors
/// It can't be done now; nothing has changed then.
pub fn act(episode: &mut Episode, action: &Action) -> Result<Sight, Refusal> {
    let found = episode.act(action)?;
    let sight = Sight {
        clock_s: episode.clock_ms() as f64 / 1000.0,
        running: episode.running(),
        throttle: episode.throttle(),
        idle_gap_mm: episode.idle_gap_mm(),
        tank_quarters: episode.tank_quarters(),
        notes: episode.notes(),
        found,
        tachometer_rpm: Some(episode.tachometer_rpm()),
        ended: episode.ending(),
    };
    if matches!(action, Action::Hold { .. }) && sight.ended.is_none() {
        // A held throttle springs back.
        episode.act(&Action::Throttle { position: 0.0 })?;
    }
    Ok(sight)
}

/// What the book does with a practice, from its start: the score of somebody who knows nothing of what is hidden.
///
/// # Errors
/// A model that can't be used.
pub fn by_the_book(scenario: &Scenario, seed: u64, episode: u64) -> Result<Score, HiddenError> {
    let mut practice = Episode::reset(scenario, seed, episode)?;
    let mut book = Book::new(scenario.limits);
    // Its own limit of turns ends it long before; a proposal that can't be done ends it too.
    for _ in 0..1000 {
        let advice = book.next();
        match act(&mut practice, &advice.action) {
            Ok(sight) if sight.ended.is_none() => book.did(&advice.action, &sight),
            _ => break,
        }
    }
    Ok(practice.score())
}
