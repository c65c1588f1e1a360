//! What there is to tell by ear: pairs of which one is leaner, and symptoms that a rich end and a lean end share until one listens closely.

use serde::{Deserialize, Serialize};

use crate::bench::manoeuvre::table::Waits;
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment};

use super::CLICK;

/// One thing to tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drill {
    /// Which has the leaner high-speed needle, wide open.
    HighWideOpen,
    /// The same at half throttle.
    HighHalf,
    /// Which has the leaner low-speed needle, at a settled idle.
    LowIdle,
    /// The same as it comes down after a burst.
    LowReturn,
    /// The same as it is snapped open after a wait.
    LowSnap,
    /// A snap that is not right: of too much fuel, or of too little?
    SnapRichOrLean,
    /// An idle that is not right after a burst: does it hang, or does it load up?
    HangOrLoadUp,
}

/// What may be answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// The first of a pair is leaner.
    First,
    /// The second is.
    Second,
    /// A lean end.
    Lean,
    /// A rich end.
    Rich,
}

impl Drill {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::HighWideOpen,
        Self::HighHalf,
        Self::LowIdle,
        Self::LowReturn,
        Self::LowSnap,
        Self::SnapRichOrLean,
        Self::HangOrLoadUp,
    ];

    /// Its name, as it is kept.
    pub fn name(self) -> &'static str {
        match self {
            Self::HighWideOpen => "high-wide-open",
            Self::HighHalf => "high-half",
            Self::LowIdle => "low-idle",
            Self::LowReturn => "low-return",
            Self::LowSnap => "low-snap",
            Self::SnapRichOrLean => "snap-rich-or-lean",
            Self::HangOrLoadUp => "hang-or-load-up",
        }
    }

    /// Whether two clips are compared; else there is one.
    pub fn is_pair(self) -> bool {
        !matches!(self, Self::SnapRichOrLean | Self::HangOrLoadUp)
    }

    /// What may be answered.
    pub fn answers(self) -> [Answer; 2] {
        if self.is_pair() {
            [Answer::First, Answer::Second]
        } else {
            [Answer::Lean, Answer::Rich]
        }
    }

    /// Its needle moved by so much, turns: high, low, idle stop.
    pub fn along(self, turns: f64) -> [f64; 3] {
        match self {
            Self::HighWideOpen | Self::HighHalf => [turns, 0.0, 0.0],
            _ => [0.0, turns, 0.0],
        }
    }

    /// Where the screws stand for a symptom of this cause, turns off the clean setting, at a step of the staircase: the smaller, the nearer
    /// the two are to each other and to the clean engine.
    pub fn symptom(self, cause: Answer, step_clicks: u32) -> [f64; 3] {
        let far = f64::from(step_clicks) / f64::from(super::staircase::STEPS_CLICKS[0]);
        let clicks = match (self, cause) {
            (Self::SnapRichOrLean, Answer::Rich) => [0.0, 6.0 + 12.0 * far],
            (Self::SnapRichOrLean, _) => [0.0, -2.0 - 6.0 * far],
            (_, Answer::Rich) => [0.0, 4.0 + 8.0 * far],
            _ => [0.0, -2.0 - 4.0 * far],
        };
        [clicks[0] * CLICK, clicks[1] * CLICK, 0.0]
    }

    /// What the hands do; what is marked is played.
    pub fn manoeuvre(self) -> Manoeuvre {
        let shut = |seconds| Segment::hold(0.0, seconds);
        let full = |seconds| Segment::hold(1.0, seconds);
        let clear = [full(1.0), shut(1.5), full(1.0), shut(1.5)];
        let then: Vec<Segment> = match self {
            Self::HighWideOpen => vec![full(2.5), full(1.6).mark(Mark::Watch)],
            Self::HighHalf => vec![Segment::hold(0.5, 2.5), Segment::hold(0.5, 2.0).mark(Mark::Watch)],
            Self::LowIdle => vec![shut(6.0), shut(2.5).mark(Mark::Watch)],
            Self::LowReturn => vec![full(0.8), full(0.5).mark(Mark::Open), shut(4.0).mark(Mark::Return)],
            Self::LowSnap | Self::SnapRichOrLean => vec![
                shut(Waits::STANDARD.snap_wait_s - 1.0),
                shut(1.0).mark(Mark::Watch),
                full(1.8).mark(Mark::Open),
            ],
            Self::HangOrLoadUp => vec![full(1.0), full(0.5).mark(Mark::Open), shut(9.0).mark(Mark::Return)],
        };
        clear.into_iter().chain(then).collect()
    }
}
