//! A recording as it is shown in front of people: the practice before anything was done in it, what was done, deed after deed, and what is
//! [true](Truth) of the engine at any moment, which nobody who practises may see. So a tape is made of a practice that is over, and of no other.

use std::io::BufRead;

use super::recording::Practice;
use super::replay::{ReplayError, Replayed, Step, replay};
use super::session::Session;
use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::tuning::action::{Action, Part, Screw, Verdict};
use crate::tuning::ends::Ends;
use crate::tuning::episode::{Episode, stands};
use crate::units::{celsius_from_kelvin, mg_from_kilogram};

/// Something that was done, or time that passed.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// An action.
    Act(Action),
    /// Time passed, ms.
    Pass(u32),
    /// A remark was written down.
    Note(String),
}

impl From<Step> for Deed {
    fn from(step: Step) -> Self {
        match step {
            Step::Act(action, _) => Self::Act(action),
            Step::Pass(ms) => Self::Pass(ms),
            Step::Note(text) => Self::Note(text),
        }
    }
}

/// A recording that can be shown.
#[derive(Clone, Debug)]
pub struct Tape {
    fresh: Session,
    deeds: Vec<Deed>,
    length_s: f64,
}

impl Tape {
    /// Reads a recording, and replays it to see that it is what it says; a tape of it only if it came out exactly, to its end.
    ///
    /// # Errors
    /// As of [`replay`].
    pub fn read(path: &str, reader: impl BufRead) -> Result<(Option<Self>, Replayed), ReplayError> {
        let (mut fresh, mut deeds) = (None, Vec::new());
        let replayed = replay(path, reader, None, |practice: &Practice, step| match step {
            None => fresh = Some(practice.session().clone()),
            Some(step) => deeds.push(Deed::from(step)),
        })?;
        let length_s = replayed.practice.session().episode().clock_ms() as f64 * 1e-3;
        let whole = replayed.exact() && !replayed.running();
        let tape = fresh.filter(|_| whole).map(|fresh| Self { fresh, deeds, length_s });
        Ok((tape, replayed))
    }

    /// The practice before anything was done in it.
    pub fn fresh(&self) -> &Session {
        &self.fresh
    }

    /// What was done, in its order.
    pub fn deeds(&self) -> &[Deed] {
        &self.deeds
    }

    /// How long it is on the practice's clock, s.
    pub fn length_s(&self) -> f64 {
        self.length_s
    }
}

/// Eyes that see the mixture: means over the time since they last said what they saw.
#[derive(Clone, Copy, Debug, Default)]
pub struct Eyes {
    seconds: f64,
    metered: f64,
    cylinder: f64,
    last: Option<Mixture>,
}

/// Equivalence ratios of a running engine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mixture {
    /// What the carburettor meters.
    pub metered: f64,
    /// What reaches the cylinder: the film gives and takes.
    pub cylinder: f64,
}

impl Observer for &mut Eyes {
    fn see(&mut self, _: &Now, revolution: &Revolution, _: &State) {
        if revolution.speed > 0.0 {
            self.seconds += revolution.duration;
            self.metered += revolution.metered_equivalence_ratio * revolution.duration;
            self.cylinder += revolution.equivalence_ratio * revolution.duration;
        }
    }
}

impl Eyes {
    /// The mixture since it was last told, or that of then if nothing has passed; none of an engine that stands.
    fn mixture(&mut self, runs: bool) -> Option<Mixture> {
        if self.seconds > 0.0 {
            self.last = Some(Mixture {
                metered: self.metered / self.seconds,
                cylinder: self.cylinder / self.seconds,
            });
        }
        *self = Self {
            last: self.last.filter(|_| runs),
            ..Self::default()
        };
        self.last
    }
}

/// One end of the mixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndTruth {
    /// How far its needle stands off the true setting, turns; rich is positive.
    pub off_turns: f64,
    /// What a verdict would have to be.
    pub stands: Verdict,
    /// Equivalence ratio that this end meters as it stands.
    pub equivalence_ratio: f64,
    /// The same of the sound engine at the true setting.
    pub right: f64,
}

/// What is true at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// The high end: wide open.
    pub high: EndTruth,
    /// The low end: shut.
    pub low: EndTruth,
    /// How far the idle stop stands off, turns; in is positive.
    pub idle_off_turns: f64,
    /// The mixture now, while it runs.
    pub mixture: Option<Mixture>,
    /// Fuel on the crankcase's walls, mg.
    pub film_mg: f64,
    /// The piston's crown, °C.
    pub crown_c: f64,
    /// The head, °C.
    pub head_c: f64,
    /// Speed, rpm.
    pub rpm: f64,
    /// It was too lean under load since the truth was last told.
    pub too_lean: bool,
    /// What no needle cures.
    pub at_fault: Vec<Part>,
}

/// The truth of one practice as it goes on: what is not computed anew at every look.
#[derive(Clone, Debug)]
pub struct Teller {
    /// What the ends were computed for: stops of the path, stages, parts at fault.
    of: [usize; 3],
    ends: Ends,
    right: Ends,
    /// Seconds too lean when the truth was last told.
    lean_s: f64,
}

/// All that moves the ends.
fn of(episode: &Episode) -> [usize; 3] {
    [
        episode.path().len(),
        episode.signed_off().len(),
        episode.left_at_fault().len(),
    ]
}

impl Teller {
    /// Of a practice as it stands.
    pub fn new(episode: &Episode) -> Self {
        let hidden = &episode.hidden;
        let setting = episode.path().last().copied().unwrap_or(hidden.start);
        Self {
            of: of(episode),
            ends: Ends::at(hidden, setting),
            right: Ends::right(hidden),
            lean_s: episode.sums().lean.total(),
        }
    }

    /// The truth now.
    pub fn truth(&mut self, episode: &Episode, eyes: &mut Eyes) -> Truth {
        if of(episode) != self.of {
            *self = Self {
                lean_s: self.lean_s,
                ..Self::new(episode)
            };
        }
        let lean_s = episode.sums().lean.total();
        let too_lean = lean_s > std::mem::replace(&mut self.lean_s, lean_s);
        let end = |screw, equivalence_ratio, right| EndTruth {
            off_turns: episode.off(screw),
            stands: stands(episode.off(screw)),
            equivalence_ratio,
            right,
        };
        let state = episode.state();
        Truth {
            high: end(Screw::High, self.ends.full, self.right.full),
            low: end(Screw::Low, self.ends.idle, self.right.idle),
            idle_off_turns: episode.off(Screw::Idle),
            mixture: eyes.mixture(episode.running()),
            film_mg: mg_from_kilogram(state.film_fuel),
            crown_c: celsius_from_kelvin(state.crown_temperature),
            head_c: celsius_from_kelvin(state.head_temperature),
            rpm: episode.rpm(),
            too_lean,
            at_fault: episode.left_at_fault().to_vec(),
        }
    }
}
