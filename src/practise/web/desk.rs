//! The bench of one page: its practice, what it is shown, and the actions that are under way at the page's pace. What the page asks and
//! the time that passed go in; moments, words and samples come out. It reads no clock and knows of no socket.

use std::collections::VecDeque;

use super::again::Again;
use super::ask::{Ask, Heard};
use super::debriefed::Debriefed;
use super::ear::Ear;
use super::pace::{Pace, pace};
use super::shown::{Bench, Card, Moment, State};
use crate::practise::recording::Practice;
use crate::practise::session::Frame;
use crate::practise::view::View;
use crate::practise::words;
use crate::tuning::action::Action;
use crate::tuning::episode::{Found, Refusal};

/// An action under way.
#[derive(Clone, Copy, Debug)]
struct Doing {
    action: Action,
    began_ms: u64,
    skipped: bool,
}

/// The bench of a page.
#[derive(Debug)]
pub struct Desk {
    practice: Practice,
    view: View,
    ear: Ear,
    rate_hz: u32,
    /// The cautions are read.
    begun: bool,
    paused: bool,
    /// Where the throttle hand is.
    hand: f64,
    /// Number of the last input.
    n: u32,
    doing: Option<Doing>,
    next: VecDeque<Action>,
    again: Option<Again>,
    say: Vec<String>,
    trouble: Vec<String>,
}

impl Desk {
    /// A practice that waits to begin, for a loudspeaker of this rate.
    pub fn new(practice: Practice, recorded: Option<String>, rate_hz: u32) -> Self {
        Self {
            view: View::of(practice.session(), recorded),
            ear: Ear::of(practice.session(), rate_hz),
            rate_hz,
            practice,
            begun: false,
            paused: false,
            hand: 0.0,
            n: 0,
            doing: None,
            next: VecDeque::new(),
            again: None,
            say: Vec::new(),
            trouble: Vec::new(),
        }
    }

    /// The practice, for whoever records it.
    pub fn practice(&mut self) -> &mut Practice {
        &mut self.practice
    }

    /// It is recorded there.
    pub fn recorded_to(&mut self, path: Option<String>) {
        self.view.card.recorded = path;
    }

    /// It has begun.
    pub fn begun(&self) -> bool {
        self.begun
    }

    /// It is over.
    pub fn over(&self) -> bool {
        self.view.over()
    }

    /// Nothing passes and nothing sounds.
    pub fn still(&self) -> bool {
        !self.begun || self.paused || (self.over() && self.again.is_none())
    }

    /// What a page asks; what can't be done is said. Whose practice it is, and which, is the caller's affair.
    pub fn ask(&mut self, ask: Ask) {
        match ask {
            Ask::Hello { .. } | Ask::Prepare { .. } | Ask::Pace { .. } => {}
            Ask::Begin { n } => {
                self.n = n;
                if !self.begun {
                    self.begun = true;
                    self.set_out(&[Action::Start], false);
                }
            }
            Ask::Throttle { position, n } => {
                (self.hand, self.n) = (position, n);
                if position > 0.0 {
                    // A hand on the throttle has other plans.
                    self.next.clear();
                }
                self.follow_hand();
            }
            Ask::Do { actions, n } => {
                self.n = n;
                self.set_out(&actions, false);
            }
            Ask::Skip { seconds } => self.set_out(
                &[Action::Wait {
                    ms: 1000 * u32::from(seconds),
                }],
                true,
            ),
            Ask::Note { text } => {
                if self.begun && !self.over() {
                    self.view.remark(&mut self.practice, &text);
                }
            }
            Ask::Pause { paused } => {
                self.paused = paused;
                if paused {
                    self.hand = 0.0;
                    self.follow_hand();
                }
            }
            Ask::Hear { setting } => self.hear(setting),
        }
        self.look_for_trouble();
    }

    /// Ends it unchecked, if it goes on: whoever practised is gone.
    pub fn leave(&mut self) {
        if self.begun && !self.over() {
            while self.doing.is_some() {
                self.go_on(u32::MAX);
            }
            self.at_once(Action::Leave);
        }
        self.look_for_trouble();
    }

    /// `ms` have passed for whoever is at the page.
    pub fn pass(&mut self, ms: u32) {
        let mut left_ms = f64::from(ms);
        while left_ms > 0.0 && !self.still() {
            if let Some(again) = &mut self.again {
                self.ear.listen(true);
                again.pass(left_ms as u32, &mut self.ear);
                self.ear.passed(left_ms, 1.0);
                self.again.take_if(|again| again.over());
                break;
            }
            self.begin_next();
            if self.over() {
                break;
            }
            let pace = self.pace();
            self.ear.listen(pace.loud > 0.0);
            let before_ms = self.clock_ms();
            let was_doing = self.doing.is_some();
            self.go_on((left_ms * f64::from(pace.times)).ceil() as u32);
            let used_ms = (self.clock_ms() - before_ms) as f64 / f64::from(pace.times);
            self.ear.passed(used_ms.min(left_ms), pace.loud);
            left_ms -= used_ms;
            if used_ms == 0.0 && !was_doing {
                break;
            }
        }
        self.look_for_trouble();
    }

    /// Makes a little more of the debrief, if there is any left to make; whether there was.
    pub fn go_on_with_debrief(&mut self) -> bool {
        self.view.go_on_with_debrief(self.practice.session())
    }

    /// Samples that can be played, and the input that they answer.
    pub fn sound(&mut self) -> (u32, Vec<f32>) {
        (self.n, self.ear.take())
    }

    /// This moment.
    pub fn state(&mut self) -> State {
        let moment = Moment {
            n: self.n,
            paused: self.paused,
            plume: self.ear.plume(),
            doing: self.doing.map(|doing| doing.action),
            quick: self.doing.is_some() && self.pace().loud == 0.0,
        };
        let state = State::of(&self.view, &moment);
        match &self.again {
            Some(again) => State {
                throttle: again.throttle(),
                running: again.running(),
                ..state
            },
            None => state,
        }
    }

    /// What lies on the bench.
    pub fn bench(&self) -> Bench {
        Bench::of(&self.view)
    }

    /// The card.
    pub fn card(&self) -> Card {
        Card::of(&self.view, self.practice.session())
    }

    /// The debrief, once it is over.
    pub fn debrief(&self) -> Option<Debriefed> {
        Debriefed::of(&self.view)
    }

    /// What there is to say since the last time.
    pub fn say(&mut self) -> Vec<String> {
        std::mem::take(&mut self.say)
    }

    /// Why recording stopped, once.
    pub fn trouble(&mut self) -> Vec<String> {
        std::mem::take(&mut self.trouble)
    }

    fn clock_ms(&self) -> u64 {
        self.practice.session().episode().clock_ms()
    }

    fn pace(&self) -> Pace {
        self.doing.map_or(Pace::LIVE, |doing| {
            pace(&doing.action, self.clock_ms() - doing.began_ms, doing.skipped)
        })
    }

    /// Does these one after the other, unless something is under way.
    fn set_out(&mut self, actions: &[Action], skipped: bool) {
        if !self.begun {
            return;
        }
        if self.doing.is_some() || !self.next.is_empty() {
            self.say.push(words::refusal(&Refusal::Busy));
            return;
        }
        self.again = None;
        self.next.extend(actions);
        self.begin_next();
        if let Some(doing) = &mut self.doing {
            doing.skipped = skipped;
        }
    }

    /// Begins what comes next; what takes no time is done.
    fn begin_next(&mut self) {
        while self.doing.is_none() {
            let Some(action) = self.next.pop_front() else {
                return self.follow_hand();
            };
            match action {
                Action::Turn { .. }
                | Action::Throttle { .. }
                | Action::Judge { .. }
                | Action::Stop
                | Action::SignOff
                | Action::Leave => self.at_once(action),
                _ => match self.practice.begin_action(&action) {
                    Ok(()) => {
                        self.doing = Some(Doing {
                            action,
                            began_ms: self.clock_ms(),
                            skipped: false,
                        });
                    }
                    Err(refusal) => self.refused(&refusal),
                },
            }
        }
    }

    fn at_once(&mut self, action: Action) {
        let adjustments = self.practice.session().episode().adjustments();
        match self.practice.act(&action) {
            Ok(frame) => {
                self.did(action, frame, self.clock_ms());
                if let Action::Turn { screw, turns } = action {
                    let goes_on = self.practice.session().episode().adjustments() == adjustments;
                    self.view.turned(screw, turns, goes_on);
                }
            }
            Err(refusal) => self.refused(&refusal),
        }
    }

    /// What was planned after something that can't be done isn't done either.
    fn refused(&mut self, refusal: &Refusal) {
        self.next.clear();
        self.say.push(words::refusal(refusal));
    }

    /// Lets the practice go on by so much, or to the end of what is being done.
    fn go_on(&mut self, ms: u32) {
        match self.doing {
            Some(doing) => {
                let frame = self.practice.advance(ms, &mut self.ear);
                match frame {
                    Some(frame) => {
                        self.doing = None;
                        self.did(doing.action, frame, doing.began_ms);
                    }
                    None => {
                        let frame = self.practice.session().frame(Vec::new());
                        self.view.take_in(self.practice.session(), frame);
                    }
                }
            }
            None => {
                let frame = self.practice.pass_watched(ms, &mut self.ear);
                let said = self.view.passed(self.practice.session(), frame);
                self.say.extend(said);
            }
        }
    }

    fn did(&mut self, action: Action, frame: Frame, began_ms: u64) {
        let another = frame
            .sight
            .found
            .iter()
            .any(|found| matches!(found, Found::SignedOff { .. }));
        if matches!(action, Action::Judge { .. }) && !frame.sight.found.is_empty() {
            // It was not taken, nor would be what is said of the other end.
            self.next.clear();
        }
        let session = self.practice.session();
        let said = self.view.did(session, &action, frame, began_ms as f64 * 1e-3);
        self.say.extend(said);
        if another {
            self.ear = Ear::of(self.practice.session(), self.rate_hz);
        }
        if self.over() {
            self.next.clear();
        }
    }

    /// The throttle goes where the hand is, as soon as nothing else moves it.
    fn follow_hand(&mut self) {
        if self.begun && !self.over() && self.doing.is_none() && self.hand != self.view.frame.sight.throttle {
            self.at_once(Action::Throttle { position: self.hand });
        }
    }

    fn hear(&mut self, setting: Heard) {
        if self.over() {
            self.ear = Ear::of(self.practice.session(), self.rate_hz);
            self.again = Some(Again::of(self.practice.session(), setting));
            self.paused = false;
        }
    }

    fn look_for_trouble(&mut self) {
        if let Some(error) = self.practice.trouble() {
            self.trouble.push(words::recording_stopped(&error));
        }
    }
}
