//! A player with a script: acts through a session, sees frames, nothing else.

use needlebench::practise::session::{Frame, Level, Session};
use needlebench::practise::words::{Line, command, read};
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::ALL_HEARD;
use needlebench::tuning::scenario::{Scenario, source};
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::coach;

/// A built-in scenario.
pub fn scenario(name: &str) -> Scenario {
    Scenario::read(&source(name).unwrap()).unwrap()
}

/// A session and the last frame it showed.
pub struct Player {
    pub session: Session,
    pub last: Frame,
}

impl Player {
    pub fn new(name: &str, level: Level, seed: u64) -> Self {
        Self::with(scenario(name), level, seed)
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

    /// Starts it if it stands, in some pulls if it is cold, does all that signing off asks for, and signs off.
    pub fn hear_all_and_sign_off(&mut self) {
        for _ in 0..4 {
            self.act(Action::Start);
        }
        ALL_HEARD.iter().for_each(|action| _ = self.act(*action));
        self.act(Action::SignOff);
    }

    /// Follows the coach to the end, only pretending to do some of it.
    pub fn coached_but(&mut self, pretends: impl Fn(&Action) -> bool) {
        let mut follower = Follower::new(
            coach().unwrap(),
            self.session.scenario.limits,
            self.session.episode().chance(),
        );
        for _ in 0..600 {
            if self.last.sight.ended.is_some() {
                return;
            }
            let Some(advice) = follower.next() else { return };
            let line = command(&advice.action);
            assert_eq!(read(&line), Ok(Line::Act(advice.action)), "the hint's words");
            if !pretends(&advice.action) {
                self.act(advice.action);
            }
            follower.memory.did(&advice.action, &self.last.sight);
        }
    }
}
