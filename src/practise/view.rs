//! What any screen shows of a practice, without a screen: the card, the newest frame, the notebook, what was heard a moment ago, and in
//! the end the debrief. The terminal's desk and the page's keep one each and hand it what the practice answers.

use super::class_code::Class;
use super::debrief::{Debrief, Piece};
use super::heard::Heard;
use super::notebook::{Kind, Notebook};
use super::recording::Practice;
use super::said::Said;
use super::session::{Frame, Level, Session};
use super::words::{self, Told};
use crate::bench::instruments::Row;
use crate::tuning::action::{Action, Screw};
use crate::tuning::episode::Found;

/// Length of the strip chart, s.
pub const STRIP_S: f64 = 20.0;

/// What is known of the practice from its start.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Name of the scenario.
    pub scenario: String,
    /// What it is, in one line.
    pub summary: String,
    /// How much is shown.
    pub level: Level,
    /// Its seed.
    pub seed: u64,
    /// What others type to have this very engine; none of a situation or a seed that a code has no room for.
    pub class_code: Option<String>,
    /// Engine, fuel and plug.
    pub engine: String,
    /// Today's weather.
    pub weather: String,
    /// Where it is recorded.
    pub recorded: Option<String>,
}

impl Card {
    /// Of the situation as it is now.
    pub fn of(session: &Session, recorded: Option<String>) -> Self {
        let s = &session.scenario;
        let w = &s.weather;
        Self {
            scenario: s.name.clone(),
            summary: s.summary.clone(),
            level: session.level,
            seed: session.seed,
            class_code: Class::code(&session.whole.name, session.seed, session.level),
            engine: format!("{}, {} on the label, {} plug", s.engine, s.fuel, s.plug),
            weather: format!(
                "{} °C, {:.0} hPa, {} % humidity",
                w.temperature_c, w.pressure_hpa, w.humidity_percent
            ),
            recorded,
        }
    }
}

/// What a screen shows.
#[derive(Clone, Debug)]
pub struct View {
    /// From the start.
    pub card: Card,
    /// What can be seen now.
    pub frame: Frame,
    /// Rows of the strip chart; none by ear.
    pub strip: Vec<Row>,
    /// The notebook.
    pub notebook: Notebook,
    /// What was heard a moment ago.
    pub heard: Heard,
    /// What was said of comparisons.
    said: Said,
    /// Last reading of the gun: when, °C.
    pub gun: Option<(f64, f64)>,
    /// The debrief, once it is over.
    pub debrief: Option<Debrief>,
    /// Its lines, as they are now.
    pub told: Vec<Told>,
}

impl View {
    /// Of a practice that begins; `recorded` names its recording.
    pub fn of(session: &Session, recorded: Option<String>) -> Self {
        Self {
            card: Card::of(session, recorded),
            frame: session.frame(Vec::new()),
            strip: Vec::new(),
            notebook: Notebook::default(),
            heard: Heard::default(),
            said: Said::default(),
            gun: None,
            debrief: None,
            told: Vec::new(),
        }
    }

    /// The practice's clock, s.
    pub fn clock_s(&self) -> f64 {
        self.frame.sight.clock_s
    }

    /// It is over.
    pub fn over(&self) -> bool {
        self.debrief.is_some()
    }

    /// The debrief is still being made.
    pub fn busy(&self) -> bool {
        self.debrief.as_ref().is_some_and(|d| d.next() != Piece::Done)
    }

    /// Takes in a frame, whatever it came from; the first after the end begins the debrief.
    pub fn take_in(&mut self, session: &Session, frame: Frame) {
        self.heard.hear(&frame.sight.notes, frame.sight.clock_s);
        for compared in self.said.compared(&frame.sight.compared) {
            let text = words::compared(&compared);
            // While a throttle wanders, one place of it after the other is compared.
            if self.notebook.entries().last().is_none_or(|entry| entry.text != text) {
                self.notebook.write(frame.sight.clock_s, Kind::Found, &text);
            }
        }
        self.strip = session.strip(STRIP_S);
        self.frame = frame;
        if self.frame.sight.ended.is_some() && self.debrief.is_none() {
            let debrief = Debrief::begin(session);
            self.told = words::told(&debrief);
            self.debrief = Some(debrief);
        }
    }

    /// Takes in the frame of time that passed; what there is to say.
    pub fn passed(&mut self, session: &Session, frame: Frame) -> Vec<String> {
        let ran = self.frame.sight.running;
        self.take_in(session, frame);
        let mut say = self.events();
        if ran && !self.frame.sight.running {
            self.notebook.write(self.clock_s(), Kind::Found, "it died");
            say.push("the engine has died".to_string());
        }
        say
    }

    /// Takes in the frame of an action that began at `began_s`, and writes down what came of it; what there is to say.
    pub fn did(&mut self, session: &Session, action: &Action, frame: Frame, began_s: f64) -> Vec<String> {
        let found = frame.sight.found.clone();
        self.take_in(session, frame);
        let clock_s = self.clock_s();
        let mut say = Vec::new();
        let not_judged = matches!(action, Action::Judge { .. }) && !found.is_empty();
        let done = words::done(action, clock_s - began_s, self.frame.sight.running).filter(|_| !not_judged);
        if let Some(text) = done {
            self.notebook.write(clock_s, Kind::Did, &text);
            say.push(text);
        }
        for found in &found {
            if let Some(head_c) = found.gun_c() {
                self.gun = Some((clock_s, head_c));
            }
            let text = words::found(found);
            self.notebook.write(clock_s, Kind::Found, &text);
            say.push(text);
        }
        if found.iter().any(|found| matches!(found, Found::SignedOff { .. })) {
            self.card = Card::of(session, self.card.recorded.take());
            self.gun = None;
            let happened = self.card.summary.clone();
            self.notebook.write(clock_s, Kind::Did, &happened);
            say.push(happened);
        }
        say.extend(self.events());
        say
    }

    /// Writes down a turn whose frame was taken in; `goes_on` if it is part of the adjustment before.
    pub fn turned(&mut self, screw: Screw, turns: f64, goes_on: bool) {
        let mark = self.frame.sight.marks.of(screw);
        self.notebook.turned(self.clock_s(), screw, turns, mark, goes_on);
    }

    /// Writes down a remark of the player's, and records it.
    pub fn remark(&mut self, practice: &mut Practice, text: &str) {
        let text = text.trim();
        if !text.is_empty() {
            practice.note(text);
            self.notebook.write(self.clock_s(), Kind::Remark, text);
        }
    }

    /// Says and writes down what has happened besides.
    fn events(&mut self) -> Vec<String> {
        let mut say = Vec::new();
        for event in std::mem::take(&mut self.frame.events) {
            let text = words::event(&event);
            self.notebook.write(self.clock_s(), Kind::Found, &text);
            say.push(text);
        }
        say
    }

    /// Makes a little more of the debrief, so that it can be read meanwhile; whether there was anything to make.
    pub fn go_on_with_debrief(&mut self, session: &Session) -> bool {
        let busy = self.busy();
        if busy && let Some(debrief) = &mut self.debrief {
            debrief.go_on(session);
            self.told = words::told(debrief);
        }
        busy
    }
}
