//! Recordings: append-only lines of JSON, one per action, each written out before the next is done, so that a crash loses
//! nothing. A recording replays exactly: every line carries a digest of the state after it.

use std::io::Write;

use serde::{Deserialize, Serialize};

use super::session::{Frame, Level, Session};
use crate::config::Source;
use crate::tuning::action::Action;
use crate::tuning::episode::Refusal;
use crate::tuning::hidden::HiddenError;
use crate::tuning::scenario::{self, Scenario};

/// Version of the format.
pub(super) const VERSION: u32 = 1;
/// What the first line says it is.
pub(super) const KIND: &str = "needlebench practice";

/// The first line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Header {
    pub(super) kind: String,
    pub(super) version: u32,
    pub(super) scenario: String,
    /// The scenario's file, where it is not built in.
    pub(super) scenario_text: Option<String>,
    pub(super) seed: u64,
    pub(super) episode: u64,
    pub(super) level: Level,
}

/// Any later line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Entry {
    /// An action.
    Act {
        action: Action,
        clock_ms: u64,
        state: String,
    },
    /// Time that passed at the caller's pace.
    Pass { ms: u32, state: String },
    /// A remark for the notebook.
    Note { text: String },
}

/// A practice and, if wanted, its recording.
pub struct Practice {
    session: Session,
    header: Header,
    out: Option<Box<dyn Write>>,
    trouble: Option<std::io::Error>,
    pending_ms: u32,
}

impl std::fmt::Debug for Practice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Practice")
            .field("session", &self.session)
            .finish_non_exhaustive()
    }
}

/// Time at the caller's pace is written out at least this often, ms.
const PASS_MS: u32 = 1000;

impl Practice {
    /// Begins a practice of the scenario in `source`, recorded to `out`.
    ///
    /// # Errors
    /// The scenario or a model of it can't be used.
    pub fn begin(
        source: &Source,
        level: Level,
        seed: u64,
        episode: u64,
        out: Option<Box<dyn Write>>,
    ) -> Result<Self, HiddenError> {
        let scenario = Scenario::read(source)?;
        let built_in = scenario::SCENARIOS
            .iter()
            .any(|f| f.name == scenario.name && f.text == source.text);
        let header = Header {
            kind: KIND.to_string(),
            version: VERSION,
            scenario: scenario.name.clone(),
            scenario_text: (!built_in).then(|| source.text.clone()),
            seed,
            episode,
            level,
        };
        let mut practice = Self {
            session: Session::start(scenario, level, seed, episode)?,
            header,
            out: None,
            trouble: None,
            pending_ms: 0,
        };
        if let Some(out) = out {
            practice.record_to(out);
        }
        Ok(practice)
    }

    /// Records to `out` from here on; before anything was done, so that the recording is whole.
    pub fn record_to(&mut self, out: Box<dyn Write>) {
        self.out = Some(out);
        let header = self.header.clone();
        self.line(&header);
    }

    /// The session.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Why recording stopped, once: what was written before is kept.
    pub fn trouble(&mut self) -> Option<std::io::Error> {
        self.trouble.take()
    }

    fn line(&mut self, value: &impl Serialize) {
        let Some(out) = &mut self.out else { return };
        let written = serde_json::to_string(value)
            .map_err(std::io::Error::from)
            .and_then(|text| out.write_all((text + "\n").as_bytes()))
            .and_then(|()| out.flush());
        if let Err(error) = written {
            self.out = None;
            self.trouble = Some(error);
        }
    }

    pub(super) fn state(&self) -> String {
        format!("{:016x}", self.session.episode().digest())
    }

    /// Writes out the time that passed since the last line.
    pub(super) fn write_pass(&mut self) {
        if self.pending_ms > 0 {
            let entry = Entry::Pass {
                ms: std::mem::take(&mut self.pending_ms),
                state: self.state(),
            };
            self.line(&entry);
        }
    }

    /// Does an action and records it.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed or been recorded then.
    pub fn act(&mut self, action: &Action) -> Result<Frame, Refusal> {
        self.write_pass();
        let frame = self.session.act(action)?;
        let entry = Entry::Act {
            action: *action,
            clock_ms: self.session.episode().clock_ms(),
            state: self.state(),
        };
        self.line(&entry);
        Ok(frame)
    }

    /// Lets time pass at the caller's pace.
    pub fn pass(&mut self, ms: u32) -> Frame {
        let frame = self.session.pass(ms);
        self.pending_ms += ms;
        if self.pending_ms >= PASS_MS || frame.sight.ended.is_some() {
            self.write_pass();
        }
        frame
    }

    /// Adds a remark to the notebook.
    pub fn note(&mut self, text: &str) {
        self.write_pass();
        self.line(&Entry::Note { text: text.to_string() });
    }
}
