//! One page's bench, on a thread of its own: what the page asks comes in, what lies on the bench goes on at the pace of the clock on the
//! wall, and moments, words and sound go out. It may be a practice or the demonstration of one.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use needlebench::practise::web::ask::Ask;
use serde_json::Value;
use tokio::sync::mpsc::Sender;

use super::told::{Out, Page};

/// Something comes in.
#[derive(Debug)]
pub enum In {
    /// A page sits down here, for the first time or again.
    Attach {
        /// Where it takes what it is told.
        out: Sender<Out>,
        /// Samples per second of its loudspeaker.
        rate_hz: u32,
    },
    /// It asks something.
    Ask(Ask),
    /// Its line was cut; it may come back.
    Cut,
    /// It is gone, or the program ends.
    End,
}

/// What lies on a bench.
pub trait Lies {
    /// What a page needs to know before anything else, for a loudspeaker of this rate.
    fn welcome(&mut self, rate_hz: u32) -> Value;
    /// Nothing passes and nothing sounds.
    fn still(&self) -> bool;
    /// It has something to make while it stands still, and goes on with it whenever it shows something.
    fn makes(&self) -> bool;
    /// Does what a page asks.
    fn ask(&mut self, ask: Ask, page: &mut Page);
    /// So many milliseconds have passed.
    fn pass(&mut self, ms: u32);
    /// Samples that can be played, and the input that they answer.
    fn sound(&mut self) -> (u32, Vec<f32>);
    /// Shows what there is to show: at any time, a moment if one is due, and whatever changes less often if that is.
    fn show(&mut self, moment: bool, rest: bool, page: &mut Page);
    /// The page is gone.
    fn leave(&mut self, page: &mut Page);
}

/// Between two looks at the clock while it runs: sound comes in blocks of that.
const SLICE: Duration = Duration::from_millis(8);
/// Between two looks while it stands still.
const STILL: Duration = Duration::from_millis(100);
/// Between two moments that are shown.
const MOMENT: Duration = Duration::from_micros(16_667);
/// Between two looks at what lies on the bench.
const LOOK: Duration = Duration::from_millis(100);
/// Longest time that passes at once: what a stopped or very busy machine loses is not made up for.
const LONGEST: Duration = Duration::from_millis(250);
/// A page whose line was cut may come back for so long; everything stands still meanwhile.
const GRACE: Duration = Duration::from_secs(120);

/// A bench.
pub struct Bench<L> {
    lies: L,
    page: Page,
    token: String,
    asked: Receiver<In>,
    /// Up to where time has passed.
    passed: Instant,
    shown: Instant,
    looked: Instant,
    cut: Option<Instant>,
}

impl<L: Lies> Bench<L> {
    /// A bench with a page at it.
    pub fn new(lies: L, token: String, out: Sender<Out>, asked: Receiver<In>) -> Self {
        let now = Instant::now();
        Self {
            lies,
            page: Page::new(out),
            token,
            asked,
            passed: now,
            shown: now,
            looked: now,
            cut: None,
        }
    }

    /// Plays until the page is gone.
    pub fn play(mut self, rate_hz: u32) {
        self.welcome(rate_hz);
        loop {
            let due = if !self.page.there() {
                STILL
            } else if !self.lies.still() {
                (self.passed + SLICE).saturating_duration_since(Instant::now())
            } else if self.lies.makes() {
                Duration::from_millis(1)
            } else {
                STILL
            };
            match self.asked.recv_timeout(due) {
                Ok(In::Ask(ask)) => {
                    self.catch_up();
                    self.lies.ask(ask, &mut self.page);
                    // What began only now begins now.
                    self.passed = Instant::now();
                    self.sound();
                    self.shown -= MOMENT;
                    self.looked -= LOOK;
                }
                Ok(In::Attach { out, rate_hz }) => {
                    self.page.attach(out);
                    self.cut = None;
                    self.passed = Instant::now();
                    self.welcome(rate_hz);
                }
                Ok(In::Cut) => {
                    if self.page.cut() {
                        self.cut = Some(Instant::now());
                    }
                }
                Ok(In::End) | Err(RecvTimeoutError::Disconnected) => break,
                Err(RecvTimeoutError::Timeout) => {}
            }
            if self.cut.is_some_and(|at| at.elapsed() > GRACE) {
                break;
            }
            self.catch_up();
            self.show();
        }
        self.lies.leave(&mut self.page);
    }

    /// What a page needs to know before anything else, and its token.
    fn welcome(&mut self, rate_hz: u32) {
        let mut welcome = self.lies.welcome(rate_hz);
        welcome["told"] = "welcome".into();
        welcome["token"] = self.token.as_str().into();
        self.page.tell(&welcome);
    }

    /// Lets it go on to now.
    fn catch_up(&mut self) {
        let now = Instant::now();
        if self.lies.still() || !self.page.there() {
            self.passed = now;
            return;
        }
        let elapsed = now - self.passed;
        let ms = elapsed.min(LONGEST).as_millis() as u32;
        // Parts of a millisecond are for the next time.
        self.passed = if elapsed > LONGEST {
            now
        } else {
            self.passed + Duration::from_millis(ms.into())
        };
        self.lies.pass(ms);
        self.sound();
    }

    /// Sends what can be played.
    fn sound(&mut self) {
        let (n, samples) = self.lies.sound();
        self.page.sound(n, !self.lies.still(), &samples);
    }

    /// Shows what there is to show.
    fn show(&mut self) {
        let now = Instant::now();
        let (moment, rest) = (now - self.shown >= MOMENT, now - self.looked >= LOOK);
        if moment {
            self.shown = now;
        }
        if rest {
            self.looked = now;
        }
        self.lies.show(moment, rest, &mut self.page);
    }
}
