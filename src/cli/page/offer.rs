//! What every page is given: a practice or a demonstration; and what all benches share of an offered practice: the file for the first
//! recording, and the first recording that stopped.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use needlebench::config::Source;
use needlebench::practise::demonstration::Tape;
use needlebench::practise::session::Level;
use needlebench::practise::web::ask::At;

/// Where practices are recorded.
#[derive(Clone, Debug)]
pub enum Recorded {
    /// Nowhere.
    Not,
    /// The first to this file, others to the folder.
    To(PathBuf),
    /// To new files in the practices' folder.
    ToFolder,
}

/// What the pages are given.
#[derive(Clone, Debug)]
pub enum Given {
    /// A practice, each its own.
    Practice(Arc<Offer>),
    /// A recording to watch, each from its beginning.
    Demonstration(Arc<Tape>),
}

impl Given {
    /// Where a page is.
    pub fn at(&self) -> At {
        match self {
            Self::Practice(_) => At::Bench,
            Self::Demonstration(_) => At::Demonstration,
        }
    }

    /// The first recording that has stopped, if any has, and why.
    pub fn trouble(&self) -> Option<(String, String)> {
        match self {
            Self::Practice(offer) => offer.trouble(),
            Self::Demonstration(_) => None,
        }
    }
}

/// What a page is offered.
#[derive(Debug)]
pub struct Offer {
    /// The situation that was asked for.
    pub scenario: Source,
    /// Its name.
    pub name: String,
    /// How much is shown, unless the page chooses otherwise.
    pub level: Level,
    /// Seed, if one was asked for.
    pub seed: Option<u64>,
    /// Whether and where it is recorded; a file goes to the first practice that takes it.
    recorded: Mutex<Recorded>,
    stopped: Mutex<Option<(String, String)>>,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Offer {
    /// This situation.
    pub fn new(scenario: Source, name: String, level: Level, seed: Option<u64>, recorded: Recorded) -> Self {
        Self {
            scenario,
            name,
            level,
            seed,
            recorded: Mutex::new(recorded),
            stopped: Mutex::new(None),
        }
    }

    /// Where the practice that begins now is recorded.
    pub fn next_recorded(&self) -> Recorded {
        let mut recorded = held(&self.recorded);
        match &*recorded {
            Recorded::Not => Recorded::Not,
            Recorded::To(_) | Recorded::ToFolder => std::mem::replace(&mut *recorded, Recorded::ToFolder),
        }
    }

    /// Whether anything is kept at all.
    pub fn keeps(&self) -> bool {
        !matches!(*held(&self.recorded), Recorded::Not)
    }

    /// A recording has stopped.
    pub fn stopped(&self, path: String, cause: String) {
        held(&self.stopped).get_or_insert((path, cause));
    }

    /// The first recording that has stopped, if any has, and why.
    fn trouble(&self) -> Option<(String, String)> {
        held(&self.stopped).take()
    }
}
