//! What a scripted tuner reaches who knows only what a frame shows. Common practice: start rich, lean the high-speed needle until
//! it pulls cleanly, trim the idle, then the low-speed needle, then a second pass. These rest on the calibrated constants.

use needlebench::bench::instruments::Note;
use needlebench::practise::session::{Frame, Level, Session};
use needlebench::tuning::action::{Action, Part, Screw};
use needlebench::tuning::episode::Ending;
use needlebench::tuning::scenario::{Scenario, source};

/// A tuner by the book: reads frames, nothing else.
struct Tuner {
    session: Session,
    last: Frame,
}

impl Tuner {
    fn new(scenario: &str, seed: u64) -> Self {
        let scenario = Scenario::read(&source(scenario).unwrap()).unwrap();
        let session = Session::start(scenario, Level::ByEar, seed, 0).unwrap();
        let last = session.frame(Vec::new());
        Self { session, last }
    }

    fn act(&mut self, action: Action) -> &Frame {
        if let Ok(frame) = self.session.act(&action) {
            self.last = frame;
        }
        &self.last
    }

    fn hears(&self, note: Note) -> bool {
        self.last.notes.contains(&note)
    }

    fn turn(&mut self, screw: Screw, turns: f64) {
        self.act(Action::Turn { screw, turns });
    }

    fn full(&mut self, ms: u32) {
        self.act(Action::Hold { position: 1.0, ms });
    }

    fn wait(&mut self, ms: u32) {
        self.act(Action::Wait { ms });
    }

    fn keep_alive(&mut self) {
        for _ in 0..6 {
            if self.last.running {
                return;
            }
            self.turn(Screw::Idle, 0.125);
            self.act(Action::Start);
        }
    }

    /// After a settled wait: does a snap stutter or hesitate, did the return sink?
    fn high_end(&mut self) {
        for _ in 0..10 {
            self.keep_alive();
            self.full(1500);
            self.wait(10_000);
            self.full(3000);
            if self.hears(Note::Crackle) || self.hears(Note::FullSags) {
                self.turn(Screw::High, 0.125);
            } else if self.hears(Note::SnapStutters) || self.hears(Note::FullRough) || self.hears(Note::SnapBogs) {
                self.turn(Screw::High, -1.0 / 12.0);
            } else {
                return;
            }
        }
    }

    fn idle(&mut self) {
        for _ in 0..10 {
            self.keep_alive();
            self.full(1500);
            self.wait(10_000);
            if self.hears(Note::IdleFast) {
                self.turn(Screw::Idle, -0.125);
            } else if self.hears(Note::IdleSlow) {
                self.turn(Screw::Idle, 0.125);
            } else {
                return;
            }
        }
    }

    fn low_end(&mut self) {
        for _ in 0..10 {
            self.keep_alive();
            self.full(1500);
            self.wait(12_000);
            if self.hears(Note::ReturnHangs) {
                self.turn(Screw::Low, 1.0 / 12.0);
            } else if self.hears(Note::ReturnSinks) || self.hears(Note::ReturnDrops) || self.hears(Note::IdleFalls) {
                self.turn(Screw::Low, -1.0 / 12.0);
            } else {
                return;
            }
        }
    }

    /// Plays by the book and signs off.
    fn play(mut self) -> Session {
        self.act(Action::Start);
        self.keep_alive();
        self.act(Action::Warm);
        // Low end roughly first, or nothing above it can be heard; then the order of the book, twice.
        for _ in 0..2 {
            self.idle();
            self.low_end();
            self.high_end();
            self.low_end();
            self.idle();
        }
        self.act(Action::SignOff);
        self.session
    }
}

#[test]
#[ignore = "rests on calibrated constants"]
fn the_book_ends_clean_on_ordinary_scenarios_within_a_sensible_number_of_turns() {
    let mut failed = Vec::new();
    for scenario in [
        "lesson-1",
        "lesson-2",
        "lesson-3",
        "fuel-change",
        "false-idle",
        "cold-morning",
        "summer-heat",
    ] {
        for seed in 1..=3 {
            let session = Tuner::new(scenario, seed).play();
            let score = session.episode().score();
            let failing = session.episode().report().map(|r| r.failed());
            println!(
                "{scenario} {seed}: {:?} turns {} lean {:.1} s {failing:?}",
                session.episode().ending(),
                score.turns,
                score.lean_s
            );
            if session.episode().ending() != Some(Ending::Clean) || score.turns > 16 {
                failed.push((scenario, seed));
            }
        }
    }
    assert!(failed.is_empty(), "{failed:?}");
}

#[test]
#[ignore = "rests on calibrated constants"]
fn a_fault_is_not_cured_by_needles() {
    for (scenario, part) in [
        ("air-leak", Part::Leak),
        ("tired-plug", Part::Plug),
        ("clogged-line", Part::Line),
    ] {
        assert_ne!(
            Tuner::new(scenario, 1).play().episode().ending(),
            Some(Ending::Clean),
            "{scenario}"
        );
        let mut tuner = Tuner::new(scenario, 1);
        tuner.act(Action::Fix { part });
        assert_eq!(
            tuner.play().episode().ending(),
            Some(Ending::Clean),
            "{scenario}, fixed"
        );
    }
}

#[test]
#[ignore = "rests on calibrated constants"]
fn leaning_for_speed_alone_loses_an_engine() {
    let mut tuner = Tuner::new("lesson-1", 1);
    tuner.act(Action::Start);
    for _ in 0..20 {
        tuner.turn(Screw::High, -0.125);
        tuner.full(60_000);
        tuner.act(Action::Fuel);
        if tuner.last.ended.is_some() {
            break;
        }
    }
    assert_eq!(tuner.session.episode().ending(), Some(Ending::Lost));
}
