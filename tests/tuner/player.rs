//! A player with a script: acts through a session, sees frames, nothing else.

use needlebench::practise::session::{Frame, Level, Session};
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::scenario::{Scenario, source};
use needlebench::tuning::strategy::Sight;
use needlebench::tuning::strategy::by_the_book::Book;

/// A session and the last frame it showed.
pub struct Player {
    pub session: Session,
    pub last: Frame,
}

impl Player {
    pub fn new(scenario: &str, level: Level, seed: u64) -> Self {
        let scenario = Scenario::read(&source(scenario).unwrap()).unwrap();
        Self::with(scenario, level, seed)
    }

    pub fn with(scenario: Scenario, level: Level, seed: u64) -> Self {
        let session = Session::start(scenario, level, seed, 0).unwrap();
        let last = session.frame(Vec::new());
        Self { session, last }
    }

    /// What can't be done now is not done.
    pub fn act(&mut self, action: Action) -> &Frame {
        if let Ok(frame) = self.session.act(&action) {
            self.last = frame;
        }
        &self.last
    }

    pub fn turn(&mut self, screw: Screw, turns: f64) {
        self.act(Action::Turn { screw, turns });
    }

    pub fn full(&mut self, ms: u32) {
        self.act(Action::Hold { position: 1.0, ms });
    }

    pub fn wait(&mut self, ms: u32) {
        self.act(Action::Wait { ms });
    }

    /// Plays by the book to the end.
    pub fn by_the_book(&mut self) {
        let mut book = Book::new(self.session.scenario.limits);
        for _ in 0..600 {
            if self.last.ended.is_some() {
                return;
            }
            let advice = book.next();
            self.act(advice.action);
            book.did(&advice.action, &Sight::from(&self.last));
            if std::env::var("SAY").is_ok() {
                let e = self.session.episode();
                let (p, t) = (e.path().last().unwrap(), e.hidden.truth);
                println!(
                    "{:6.0} {:12} {:?} {:?} | off h{:+.1} l{:+.1} i{:+.1} clicks; {}",
                    self.last.clock_s,
                    advice.line,
                    self.last.notes,
                    self.last.found,
                    24.0 * (p.high_turns - t.high_turns),
                    24.0 * (p.low_turns - t.low_turns),
                    24.0 * (p.idle_turns - t.idle_turns),
                    advice.because
                );
            }
        }
    }
}
