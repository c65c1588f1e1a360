//! A demonstration at a page's pace: what was recorded is done again, with its sound, its smoke and its words, and beside it stands what is
//! true. A page may begin it, halt it and choose how fast it passes, and nothing else. It reads no clock and knows of no socket.

use std::sync::Arc;

use serde::Serialize;

use super::ask::{Ask, FAST};
use super::ear::Ear;
use super::pace::{Pace, pace};
use super::shown::{Bench, Card, Moment, State};
use crate::practise::demonstration::{Deed, EndTruth, Eyes, Tape, Teller, Truth};
use crate::practise::notebook::Kind;
use crate::practise::session::{Frame, Session};
use crate::practise::view::View;
use crate::practise::words;
use crate::tuning::action::{Action, Screw};

/// Between two looks at the truth, ms of whoever watches: figures that change faster can't be read.
const LOOK_MS: u32 = 250;

/// How far it has come.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Run {
    /// It has been begun.
    pub begun: bool,
    /// All of it was shown.
    pub over: bool,
    /// How fast it passes.
    pub times: u32,
    /// Where it is on the practice's clock.
    pub clock: String,
    /// Where it ends.
    pub length: String,
    /// How it ended, once it has.
    pub verdict: Option<String>,
}

/// One end of the mixture for the page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EndTold {
    off_turns: f64,
    off: String,
    stands: &'static str,
    equivalence_ratio: f64,
    right: f64,
}

impl EndTold {
    fn of(screw: Screw, end: &EndTruth) -> Self {
        Self {
            off_turns: end.off_turns,
            off: words::off(screw, end.off_turns),
            stands: words::verdict(end.stands),
            equivalence_ratio: end.equivalence_ratio,
            right: end.right,
        }
    }
}

/// The truth for the page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TruthTold {
    high: EndTold,
    low: EndTold,
    idle_off_turns: f64,
    idle_off: String,
    metered: Option<f64>,
    cylinder: Option<f64>,
    film_mg: f64,
    crown_c: f64,
    head_c: f64,
    rpm: f64,
    too_lean: bool,
    at_fault: Vec<&'static str>,
}

impl From<&Truth> for TruthTold {
    fn from(truth: &Truth) -> Self {
        Self {
            high: EndTold::of(Screw::High, &truth.high),
            low: EndTold::of(Screw::Low, &truth.low),
            idle_off_turns: truth.idle_off_turns,
            idle_off: words::off(Screw::Idle, truth.idle_off_turns),
            metered: truth.mixture.map(|mixture| mixture.metered),
            cylinder: truth.mixture.map(|mixture| mixture.cylinder),
            film_mg: truth.film_mg,
            crown_c: truth.crown_c,
            head_c: truth.head_c,
            rpm: truth.rpm,
            too_lean: truth.too_lean,
            at_fault: truth.at_fault.iter().map(|part| part.word()).collect(),
        }
    }
}

/// An action under way.
#[derive(Clone, Copy, Debug)]
struct Doing {
    action: Action,
    began_ms: u64,
    adjustments: u32,
}

/// A throttle that a hand holds open.
#[derive(Clone, Copy, Debug)]
struct Open {
    since_s: f64,
    most: f64,
}

/// A demonstration.
#[derive(Debug)]
pub struct Showing {
    tape: Arc<Tape>,
    session: Session,
    view: View,
    ear: Ear,
    eyes: Eyes,
    teller: Teller,
    truth: Truth,
    rate_hz: u32,
    begun: bool,
    paused: bool,
    times: u32,
    n: u32,
    /// The next deed.
    next: usize,
    doing: Option<Doing>,
    /// What is left of a stretch of time, ms.
    left_ms: u32,
    open: Option<Open>,
    /// Since the truth was looked at, ms.
    looked_ms: u32,
}

impl Showing {
    /// A demonstration that waits to begin, for a loudspeaker of this rate.
    pub fn new(tape: Arc<Tape>, rate_hz: u32) -> Self {
        let session = tape.fresh().clone();
        let (mut eyes, mut teller) = (Eyes::default(), Teller::new(session.episode()));
        Self {
            view: View::of(&session, None),
            ear: Ear::of(&session, rate_hz),
            truth: teller.truth(session.episode(), &mut eyes),
            eyes,
            teller,
            session,
            tape,
            rate_hz,
            begun: false,
            paused: false,
            times: 1,
            n: 0,
            next: 0,
            doing: None,
            left_ms: 0,
            open: None,
            looked_ms: 0,
        }
    }

    /// All of it was shown.
    pub fn over(&self) -> bool {
        self.doing.is_none() && self.left_ms == 0 && self.next >= self.tape.deeds().len()
    }

    /// Nothing passes and nothing sounds.
    pub fn still(&self) -> bool {
        !self.begun || self.paused || self.over()
    }

    /// What a page asks. Whatever would act on the engine is not for it.
    pub fn ask(&mut self, ask: &Ask) {
        match *ask {
            Ask::Begin { n } => {
                if self.over() {
                    let times = self.times;
                    *self = Self::new(Arc::clone(&self.tape), self.rate_hz);
                    self.times = times;
                }
                (self.begun, self.n) = (true, n);
            }
            Ask::Pause { paused } => self.paused = paused,
            Ask::Pace { times } => self.times = times,
            Ask::Hello { .. }
            | Ask::Prepare { .. }
            | Ask::Throttle { .. }
            | Ask::Do { .. }
            | Ask::Skip { .. }
            | Ask::Note { .. }
            | Ask::Hear { .. } => {}
        }
    }

    /// `ms` have passed for whoever watches.
    pub fn pass(&mut self, ms: u32) {
        let mut left_ms = f64::from(ms);
        while left_ms > 0.0 && !self.still() {
            self.begin_next();
            let pace = self.pace();
            self.ear.listen(pace.loud > 0.0);
            let before_ms = self.clock_ms();
            self.go_on((left_ms * f64::from(pace.times)).ceil() as u32);
            let used_ms = (self.clock_ms() - before_ms) as f64 / f64::from(pace.times);
            self.ear.passed(used_ms.min(left_ms), pace.loud);
            left_ms -= used_ms;
        }
        self.looked_ms += ms;
        if self.looked_ms >= LOOK_MS || self.over() {
            self.look();
        }
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
            quick: self.own_pace().loud == 0.0,
        };
        State::of(&self.view, &moment)
    }

    /// What lies on the bench: the words as they fall, and what was done.
    pub fn bench(&self) -> Bench {
        Bench::of(&self.view)
    }

    /// The card.
    pub fn card(&self) -> Card {
        Card::of(&self.view, &self.session)
    }

    /// What is true, as it was last looked at.
    pub fn truth(&self) -> &Truth {
        &self.truth
    }

    /// How far it has come.
    pub fn run(&self) -> Run {
        let verdict = self.view.told.first().filter(|_| self.over());
        Run {
            begun: self.begun,
            over: self.over(),
            times: self.times,
            clock: words::clock(self.view.clock_s()),
            length: words::clock(self.tape.length_s()),
            verdict: verdict.map(|told| told.text.clone()),
        }
    }

    /// A digest of everything that decides how the practice that is shown goes on.
    pub fn digest(&self) -> u64 {
        self.session.digest()
    }

    fn clock_ms(&self) -> u64 {
        self.session.episode().clock_ms()
    }

    fn look(&mut self) {
        self.looked_ms = 0;
        self.truth = self.teller.truth(self.session.episode(), &mut self.eyes);
    }

    /// The pace of what is being done.
    fn own_pace(&self) -> Pace {
        self.doing.map_or(Pace::LIVE, |doing| {
            pace(&doing.action, self.clock_ms() - doing.began_ms, false)
        })
    }

    /// The same as fast as somebody wants it; what is faster than life is silent.
    fn pace(&self) -> Pace {
        let own = self.own_pace();
        Pace {
            times: own.times * self.times,
            loud: if self.times == FAST { 0.0 } else { own.loud },
        }
    }

    /// Begins the next deed that is more than a remark.
    fn begin_next(&mut self) {
        while self.doing.is_none() && self.left_ms == 0 {
            let Some(deed) = self.tape.deeds().get(self.next).cloned() else {
                return;
            };
            self.next += 1;
            match deed {
                Deed::Note(text) => self.view.notebook.write(self.view.clock_s(), Kind::Remark, &text),
                Deed::Pass(ms) => self.left_ms = ms,
                Deed::Act(action) => {
                    let adjustments = self.session.episode().adjustments();
                    // It was done once already, so it can be done.
                    if self.session.begin(&action).is_ok() {
                        self.doing = Some(Doing {
                            action,
                            began_ms: self.clock_ms(),
                            adjustments,
                        });
                        self.held(&action);
                    }
                }
            }
        }
    }

    /// Writes down what the notebook of a practice leaves out, since whoever practises knows it.
    fn held(&mut self, action: &Action) {
        if matches!(action, Action::Hold { .. } | Action::Wait { .. }) {
            let clock_s = self.view.clock_s();
            self.view.notebook.write(clock_s, Kind::Did, &words::doing(action));
        }
    }

    /// Goes on by so much, or to the end of the deed.
    fn go_on(&mut self, ms: u32) {
        match self.doing {
            Some(doing) => match self.session.advance(ms, (&mut self.ear, &mut self.eyes)) {
                Some(frame) => self.did(&doing, frame),
                None => {
                    let frame = self.session.frame(Vec::new());
                    self.view.take_in(&self.session, frame);
                }
            },
            None => {
                let ms = ms.min(self.left_ms);
                self.left_ms -= ms;
                let frame = self.session.pass_watched(ms, (&mut self.ear, &mut self.eyes));
                // What is said stands in the notebook.
                let _ = self.view.passed(&self.session, frame);
            }
        }
    }

    fn did(&mut self, doing: &Doing, frame: Frame) {
        self.doing = None;
        let stages = self.session.episode().signed_off().len();
        let began_s = doing.began_ms as f64 * 1e-3;
        let _ = self.view.did(&self.session, &doing.action, frame, began_s);
        match doing.action {
            Action::Turn { screw, turns } => {
                let goes_on = self.session.episode().adjustments() == doing.adjustments;
                self.view.turned(screw, turns, goes_on);
                self.look();
            }
            Action::Throttle { position } => self.throttled(position),
            Action::SignOff if stages > 0 => self.ear = Ear::of(&self.session, self.rate_hz),
            _ => {}
        }
    }

    /// Writes down what a hand did with the throttle, once it is shut.
    fn throttled(&mut self, position: f64) {
        let clock_s = self.view.clock_s();
        if position > 0.0 {
            let open = self.open.get_or_insert(Open {
                since_s: clock_s,
                most: 0.0,
            });
            open.most = open.most.max(position);
        } else if let Some(open) = self.open.take() {
            let text = words::opened(open.most, clock_s - open.since_s);
            self.view.notebook.write(clock_s, Kind::Did, &text);
        }
    }
}
