//! Lines of a practice: commands with their amounts changed, several in a row on one engine. What is said of each is all of
//! numbers.

use needlebench::practise::said::Said;
use needlebench::practise::session::{Level, Session};
use needlebench::practise::show;
use needlebench::practise::words::{self, Line};
use needlebench::tuning::action::Action;
use needlebench::tuning::scenario::{Scenario, source};

use super::draw::Draw;
use super::finite::no_number;
use super::{Outcome, Subject};

/// Lines in a row.
const ROW: usize = 8;

/// Commands to change; those that take the engine anywhere come more than once.
const COMMANDS: &[&str] = &[
    "high in 1/8",
    "high out 1/8",
    "low in 1/24",
    "low out 1/12",
    "idle in 1/8",
    "idle out 0.125",
    "high in 2 clicks",
    "low out click",
    "high out 1/4 turn",
    "start",
    "start",
    "start",
    "stop",
    "warm",
    "warm up",
    "blip",
    "blip",
    "full",
    "full 2",
    "full 3",
    "half 3",
    "hold 30% 5",
    "hold full 1",
    "wait 10",
    "wait 2",
    "listen",
    "gun",
    "inspect",
    "pinch",
    "plug",
    "laps 2",
    "fuel",
    "judge high rich 80",
    "judge low lean 50",
    "judge low right 34",
    "note it smokes 3 times",
    "fix leak",
    "fix filter",
    "help",
    "",
];
/// Commands that end it, or take long: seldom drawn.
const SELDOM: &[&str] = &["sign off", "quit", "laps 20", "wait 600", "hold 100% 600"];

/// Practices as they begin.
pub struct Lines {
    begun: Vec<Session>,
}

impl Lines {
    pub fn new() -> Self {
        let session = |name: &str, level| {
            let scenario = Scenario::read(&source(name).expect("built in")).expect("built in");
            Session::start(scenario, level, 1, 0).expect("it can be won")
        };
        Self {
            begun: vec![
                session("lesson-1", Level::Guided),
                session("cold-morning", Level::ByEar),
                session("club-day", Level::Assisted),
            ],
        }
    }
}

impl Subject for Lines {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        let mut session = draw.pick(&self.begun).clone();
        let mut outcome = Outcome::default();
        for _ in 0..ROW {
            let command = if draw.once_in(300) {
                draw.pick(SELDOM)
            } else {
                draw.pick(COMMANDS)
            };
            let line = if draw.once_in(2) {
                draw.change(command)
            } else {
                (*command).to_string()
            };
            *shown += &line;
            shown.push('\n');
            outcome.tried += 1;
            let action = match words::read(&line) {
                Err(message) => {
                    outcome.refused += 1;
                    outcome.fault = outcome
                        .fault
                        .or(message.is_empty().then(|| "an empty message".to_string()));
                    continue;
                }
                Ok(Line::Act(action)) => action,
                Ok(Line::Listen) => Action::Wait { ms: 1000 },
                Ok(Line::Help | Line::Note(_) | Line::Empty) => {
                    outcome.parsed += 1;
                    continue;
                }
            };
            outcome.parsed += 1;
            match session.act(&action) {
                Ok(frame) => outcome.fault = outcome.fault.or(no_number(&show::frame(&frame, &mut Said::default()))),
                Err(_) => outcome.refused += 1,
            }
        }
        outcome
    }
}
