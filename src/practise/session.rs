//! A practice at its caller's pace: actions and elapsed time in, frames out. A frame holds only what the level allows; it is the
//! one view of the engine that any screen, script or page gets before the end.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::hint::Hint;
use crate::bench::instruments::{Note, Row};
use crate::tuning::action::{Action, Screw};
use crate::tuning::episode::{Ending, Episode, Found, Refusal};
use crate::tuning::hidden::HiddenError;
use crate::tuning::par::{Par, par};
use crate::tuning::scenario::Scenario;
use crate::tuning::strategy::Sight;
use crate::tuning::strategy::by_the_book::Book;

/// How much is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Instruments, and the next sensible thing to try with its reason.
    Guided,
    /// Sound, smoke, gun, tachometer and strip chart.
    Assisted,
    /// Sound, smoke and gun.
    ByEar,
}

/// Screws against where they stood at the start, turns; needles out and idle stop in are positive.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Marks {
    /// High-speed needle.
    pub high_turns: f64,
    /// Low-speed needle.
    pub low_turns: f64,
    /// Idle stop.
    pub idle_turns: f64,
}

/// What can be seen at one moment.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Frame {
    /// Time on the practice's clock.
    pub clock_s: f64,
    /// Whether the engine runs.
    pub running: bool,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Screws against their start.
    pub marks: Marks,
    /// Gap left by the idle stop.
    pub idle_gap_mm: f64,
    /// Fuel left in the tank, in quarters as one sees it.
    pub tank_quarters: u8,
    /// What is heard and seen.
    pub notes: Vec<Note>,
    /// What the action brought to light.
    pub found: Vec<Found>,
    /// Tachometer, rpm; not by ear.
    pub tachometer_rpm: Option<f64>,
    /// The next thing to try; guided only.
    pub hint: Option<Hint>,
    /// How it ended, if it did.
    pub ended: Option<Ending>,
}

impl From<&Frame> for Sight {
    fn from(frame: &Frame) -> Self {
        Self {
            clock_s: frame.clock_s,
            running: frame.running,
            throttle: frame.throttle,
            idle_gap_mm: frame.idle_gap_mm,
            tank_quarters: frame.tank_quarters,
            notes: frame.notes.clone(),
            found: frame.found.clone(),
            tachometer_rpm: frame.tachometer_rpm,
            ended: frame.ended,
        }
    }
}

/// A practice.
#[derive(Clone, Debug)]
pub struct Session {
    /// The situation.
    pub scenario: Scenario,
    /// How much is shown.
    pub level: Level,
    /// Seed.
    pub seed: u64,
    /// Episode under that seed.
    pub episode_number: u64,
    episode: Episode,
    /// Found when first asked for: a practice starts at once, and par is of interest at its end.
    par: OnceLock<Option<Par>>,
    gun: Option<(u64, f64)>,
    /// What a reader of the book has heard so far.
    book: Book,
}

/// A gun reading is news for this long, ms.
const GUN_FRESH_MS: u64 = 60_000;

impl Session {
    /// Starts a practice.
    ///
    /// # Errors
    /// A model that can't be used, or no clean setting in reach: such a practice couldn't be won.
    pub fn start(scenario: Scenario, level: Level, seed: u64, episode: u64) -> Result<Self, HiddenError> {
        let started = Episode::reset(&scenario, seed, episode)?;
        if !started.hidden.at_truth.clean {
            return Err(HiddenError::NothingClean {
                scenario: scenario.name,
                seed,
                failed: started.hidden.at_truth.failed().join(", "),
            });
        }
        let book = Book::new(scenario.limits);
        Ok(Self {
            scenario,
            level,
            seed,
            episode_number: episode,
            episode: started,
            par: OnceLock::new(),
            gun: None,
            book,
        })
    }

    /// Least turning knowing the truth; none if no clean setting was found within reach.
    pub fn par(&self) -> Option<&Par> {
        self.par.get_or_init(|| par(&self.episode.hidden)).as_ref()
    }

    /// The episode; its hidden side is for the end.
    pub fn episode(&self) -> &Episode {
        &self.episode
    }

    /// Does one action and shows what came of it. After a held throttle the frame is of its last moment; then it springs back.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn act(&mut self, action: &Action) -> Result<Frame, Refusal> {
        if self.level == Level::Guided
            && matches!(action, Action::Judge { .. })
            && self.episode.ending().is_none()
            && !self.warm_enough()
        {
            return Ok(Frame {
                found: vec![Found::Seen(
                    "not judged: the engine is cold; warm it up, clear it out and read the gun first".to_string(),
                )],
                ..self.frame(Vec::new())
            });
        }
        let found = self.episode.act(action)?;
        if let Some(Found::Gun(c)) = found.iter().find(|f| matches!(f, Found::Gun(_))) {
            self.gun = Some((self.episode.clock_ms(), *c));
        }
        let mut frame = self.frame(found);
        self.book.did(action, &Sight::from(&frame));
        frame.hint = self.hint();
        if matches!(action, Action::Hold { .. }) && frame.ended.is_none() {
            // Letting go cannot fail: 0 is a throttle.
            self.episode.act(&Action::Throttle { position: 0.0 })?;
        }
        Ok(frame)
    }

    /// Lets time pass at the caller's pace.
    pub fn pass(&mut self, ms: u32) -> Frame {
        self.episode.pass(ms);
        let mut frame = self.frame(Vec::new());
        self.book.hear(&Sight::from(&frame));
        frame.hint = self.hint();
        frame
    }

    /// The rows of the strip chart, oldest first; none by ear.
    pub fn strip(&self, seconds: f64) -> Vec<Row> {
        if self.level == Level::ByEar {
            return Vec::new();
        }
        let rows = self.episode.strip().rows();
        let wanted = (seconds / crate::bench::instruments::ROW_S) as usize;
        rows.iter().skip(rows.len().saturating_sub(wanted)).copied().collect()
    }

    /// Warm by the gun, not by the truth.
    fn warm_enough(&self) -> bool {
        self.fresh_gun().is_some_and(|c| c >= 75.0)
    }

    fn fresh_gun(&self) -> Option<f64> {
        self.gun
            .filter(|(at, _)| self.episode.clock_ms() - at <= GUN_FRESH_MS)
            .map(|(_, c)| c)
    }

    fn hint(&self) -> Option<Hint> {
        (self.level == Level::Guided && self.episode.ending().is_none()).then(|| self.book.next().into())
    }

    /// What can be seen now.
    pub fn frame(&self, found: Vec<Found>) -> Frame {
        let e = &self.episode;
        let notes = e.notes();
        Frame {
            clock_s: e.clock_ms() as f64 / 1000.0,
            running: e.running(),
            throttle: e.throttle(),
            marks: Marks {
                high_turns: e.mark(Screw::High),
                low_turns: e.mark(Screw::Low),
                idle_turns: e.mark(Screw::Idle),
            },
            idle_gap_mm: e.idle_gap_mm(),
            tank_quarters: e.tank_quarters(),
            notes,
            found,
            tachometer_rpm: (self.level != Level::ByEar).then(|| e.tachometer_rpm()),
            hint: self.hint(),
            ended: e.ending(),
        }
    }
}
