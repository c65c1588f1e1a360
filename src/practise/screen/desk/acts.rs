//! What the desk does to the practice, and what it takes in and writes down of what came of it.

use super::super::keys::Dialog;
use super::super::mode::{ENDS, Form, Mode};
use super::super::notebook::Kind;
use super::{Card, Desk, STRIP_S};
use crate::practise::debrief::Debrief;
use crate::practise::recording::Practice;
use crate::practise::session::Frame;
use crate::practise::words;
use crate::tuning::action::Action;
use crate::tuning::episode::Found;

impl Desk {
    pub(super) fn say(&mut self, text: &str) {
        self.message = Some((text.to_string(), self.now_ms));
    }

    pub(super) fn let_go(&mut self, practice: &mut Practice) {
        self.trigger.let_go();
        self.apply_trigger(practice);
    }

    pub(super) fn apply_trigger(&mut self, practice: &mut Practice) {
        let position = self.trigger.position();
        if position != self.frame.sight.throttle && self.frame.sight.ended.is_none() {
            self.act(practice, &Action::Throttle { position });
            self.moved_s = Some(self.frame.sight.clock_s);
        }
    }

    pub(super) fn turn(&mut self, practice: &mut Practice, positive: bool) {
        let turns = if positive { self.step() } else { -self.step() };
        let screw = self.screw;
        let before = practice.session().episode().adjustments();
        if self.act(practice, &Action::Turn { screw, turns }) {
            let goes_on = practice.session().episode().adjustments() == before;
            let marks = self.frame.sight.marks;
            self.notebook
                .turned(self.frame.sight.clock_s, screw, turns, marks.of(screw), goes_on);
        }
    }

    pub(super) fn open(&mut self, practice: &mut Practice, dialog: Dialog) {
        // A trigger that nobody keeps springs back before time stands still.
        if !self.trigger.kept() {
            self.let_go(practice);
        }
        self.message = None;
        self.mode = match dialog {
            Dialog::Help => Mode::Help,
            Dialog::Pause => Mode::Paused,
            Dialog::Judge => Mode::Judge(Form::default()),
            Dialog::Fix => Mode::Fix,
            Dialog::Note => Mode::Note(String::new()),
            Dialog::SignOff => Mode::SignOff,
            Dialog::Leave => Mode::Leave,
        };
    }

    pub(super) fn confirm(&mut self, practice: &mut Practice) {
        match self.mode.clone() {
            Mode::SignOff if !self.frame.sight.missing.is_empty() => self.mode = Mode::Bench,
            Mode::SignOff => {
                self.act(practice, &Action::SignOff);
            }
            Mode::Leave => {
                self.act(practice, &Action::Leave);
            }
            Mode::Note(text) => {
                let text = text.trim();
                if !text.is_empty() {
                    practice.note(text);
                    self.notebook.write(self.frame.sight.clock_s, Kind::Remark, text);
                    self.back = 0;
                }
                self.mode = Mode::Bench;
            }
            Mode::Judge(form) => self.judge(practice, form),
            _ => {}
        }
    }

    pub(super) fn judge(&mut self, practice: &mut Practice, mut form: Form) {
        let saying = form.sayings[form.row];
        let Some(verdict) = saying.verdict else {
            self.say("choose rich, right or lean with ← and → first");
            return;
        };
        let action = Action::Judge {
            end: ENDS[form.row],
            verdict,
            sure_percent: saying.sure_percent,
        };
        if !self.act(practice, &action) || !self.frame.sight.found.is_empty() {
            self.mode = Mode::Bench;
        } else if form.said() {
            self.mode = Mode::Bench;
            self.say("both ends judged: the debrief says how it was");
        } else {
            self.mode = Mode::Judge(form);
        }
    }

    /// Does an action and notes what came of it; whether it could be done.
    pub(super) fn act(&mut self, practice: &mut Practice, action: &Action) -> bool {
        let before_s = self.frame.sight.clock_s;
        let frame = match practice.act(action) {
            Ok(frame) => frame,
            Err(refusal) => {
                self.say(&words::refusal(&refusal));
                return false;
            }
        };
        let found = frame.sight.found.clone();
        if !matches!(action, Action::Throttle { .. }) {
            self.message = None;
            self.back = 0;
        }
        self.take_in(practice, frame);
        let (clock_s, took_s) = (self.frame.sight.clock_s, self.frame.sight.clock_s - before_s);
        // What these do with the throttle is their own affair.
        if matches!(
            action,
            Action::Start
                | Action::Stop
                | Action::Warm
                | Action::Laps { .. }
                | Action::Plug
                | Action::Pinch
                | Action::RollOn
                | Action::Fix { .. }
        ) {
            self.trigger.let_go();
            self.moved_s = None;
        }
        let not_judged = matches!(action, Action::Judge { .. }) && !found.is_empty();
        if let Some(text) = words::done(action, took_s, self.frame.sight.running).filter(|_| !not_judged) {
            self.notebook.write(clock_s, Kind::Did, &text);
            self.say(&text);
        }
        for found in &found {
            if let Some(head_c) = found.gun_c() {
                self.gun = Some((clock_s, head_c));
            }
            let text = words::found(found);
            self.notebook.write(clock_s, Kind::Found, &text);
            self.say(&text);
        }
        if found.iter().any(|found| matches!(found, Found::SignedOff { .. })) {
            self.card = Card::of(practice.session(), self.card.recorded.take());
            self.gun = None;
            let happened = self.card.summary.clone();
            self.notebook.write(clock_s, Kind::Did, &happened);
            self.say(&happened);
            self.mode = Mode::Bench;
        }
        self.tell_events();
        if found.len() > 1 {
            self.message = None;
            self.mode = Mode::Told(found);
        }
        true
    }

    /// Says and writes down what has happened besides.
    pub(super) fn tell_events(&mut self) {
        for event in std::mem::take(&mut self.frame.events) {
            let text = words::event(&event);
            self.notebook.write(self.frame.sight.clock_s, Kind::Found, &text);
            self.say(&text);
        }
    }

    pub(super) fn take_in(&mut self, practice: &Practice, frame: Frame) {
        self.heard.hear(&frame.sight.notes, frame.sight.clock_s);
        for compared in self.said.compared(&frame.sight.compared) {
            self.notebook
                .write(frame.sight.clock_s, Kind::Found, &words::compared(&compared));
        }
        self.strip = practice.session().strip(STRIP_S);
        self.frame = frame;
        if self.frame.sight.ended.is_some() && self.mode != Mode::Debrief {
            self.mode = Mode::Debrief;
            self.message = None;
            let debrief = Debrief::begin(practice.session());
            self.told = words::told(&debrief);
            self.debrief = Some(debrief);
        }
    }

    /// Makes a little more of the debrief, so that it can be read and scrolled meanwhile.
    pub(super) fn go_on_with_debrief(&mut self, practice: &Practice) {
        if self.busy()
            && let Some(debrief) = &mut self.debrief
        {
            debrief.go_on(practice.session());
            self.told = words::told(debrief);
        }
    }

    pub(super) fn look_for_trouble(&mut self, practice: &mut Practice) {
        if let Some(error) = practice.trouble() {
            self.trigger.let_go();
            self.apply_trigger(practice);
            self.mode = Mode::Trouble(error.to_string());
            self.trouble = Some(error);
        }
    }
}
