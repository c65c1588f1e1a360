//! What the desk does to the practice, and what it takes in and writes down of what came of it.

use super::super::keys::Dialog;
use super::super::mode::{ENDS, Form, Mode};
use super::Desk;
use crate::practise::recording::Practice;
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
        if position != self.view.frame.sight.throttle && self.view.frame.sight.ended.is_none() {
            self.act(practice, &Action::Throttle { position });
            self.moved_s = Some(self.view.frame.sight.clock_s);
        }
    }

    pub(super) fn turn(&mut self, practice: &mut Practice, positive: bool) {
        let turns = if positive { self.step() } else { -self.step() };
        let screw = self.screw;
        let before = practice.session().episode().adjustments();
        if self.act(practice, &Action::Turn { screw, turns }) {
            let goes_on = practice.session().episode().adjustments() == before;
            self.view.turned(screw, turns, goes_on);
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
            Mode::SignOff if !self.view.frame.sight.missing.is_empty() => self.mode = Mode::Bench,
            Mode::SignOff => {
                self.act(practice, &Action::SignOff);
            }
            Mode::Leave => {
                self.act(practice, &Action::Leave);
            }
            Mode::Note(text) => {
                self.view.remark(practice, &text);
                self.back = 0;
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
        if !self.act(practice, &action) || !self.view.frame.sight.found.is_empty() {
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
        let before_s = self.view.frame.sight.clock_s;
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
        let told = self.view.did(practice.session(), action, frame, before_s);
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
        told.iter().for_each(|text| self.say(text));
        if found.iter().any(|found| matches!(found, Found::SignedOff { .. })) {
            self.mode = Mode::Bench;
        }
        self.look_whether_over();
        if found.len() > 1 {
            self.message = None;
            self.mode = Mode::Told(found);
        }
        true
    }

    /// Goes over to the debrief once the practice has ended.
    pub(super) fn look_whether_over(&mut self) {
        if self.view.over() && self.mode != Mode::Debrief {
            self.mode = Mode::Debrief;
            self.message = None;
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
