//! A practice and its recording: append-only lines, one for each action, each written out before the next is done, so that a crash
//! loses nothing. What stands in them is in `lines`; [`super::replay`] reads them.

use std::collections::VecDeque;
use std::io::Write;

use serde::Serialize;

use super::lines::{Chain, End, Entry, Header, KIND, LeastTurning, NOTE_BYTES, PASS_MS, VERSION, three};
use super::session::{Frame, Level, Session};
use crate::bench::player::{Now, Observer, Unseen};
use crate::config::Source;
use crate::digest::Digest;
use crate::engine::state::{Revolution, State};
use crate::tuning::action::Action;
use crate::tuning::episode::{Ending, Refusal};
use crate::tuning::fingerprint::fingerprint;
use crate::tuning::hidden::HiddenError;
use crate::tuning::scenario::{self, Scenario};

/// A practice and, if wanted, its recording.
pub struct Practice {
    session: Session,
    header: Header,
    out: Option<Box<dyn Write>>,
    /// Lines as written, where somebody compares them.
    kept: Option<VecDeque<String>>,
    chain: Chain,
    /// The digests of the states so far, chained.
    state: u64,
    trouble: Option<std::io::Error>,
    pending_ms: u32,
    /// Something was done.
    begun: bool,
    /// The ending was written.
    closed: bool,
    /// The action under way: recorded when it is done.
    doing: Option<Action>,
}

impl std::fmt::Debug for Practice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Practice")
            .field("session", &self.session)
            .finish_non_exhaustive()
    }
}

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
            model: fingerprint(&scenario)?,
            begun_unix_ms: None,
            scenario: scenario.name.clone(),
            scenario_text: (!built_in).then(|| source.text.clone()),
            files: scenario.own.clone(),
            seed,
            episode,
            level,
            state: String::new(),
        };
        let mut practice = Self::of(header, scenario)?;
        if let Some(out) = out {
            practice.record_to(out);
        }
        Ok(practice)
    }

    /// The practice of a recording's header, from its beginning; its lines are kept for comparison.
    pub(super) fn again(
        header: Header,
        scenario: Scenario,
        out: Option<Box<dyn Write>>,
    ) -> Result<(Self, String), HiddenError> {
        let mut practice = Self::of(header, scenario)?;
        practice.out = out;
        practice.kept = Some(VecDeque::new());
        practice.write_header();
        let header = practice.line_written().unwrap_or_default();
        Ok((practice, header))
    }

    fn of(header: Header, scenario: Scenario) -> Result<Self, HiddenError> {
        let session = Session::start(scenario, header.level, header.seed, header.episode)?;
        let state = session.digest();
        Ok(Self {
            session,
            header: Header {
                state: format!("{state:016x}"),
                ..header
            },
            out: None,
            kept: None,
            chain: Chain::default(),
            state,
            trouble: None,
            pending_ms: 0,
            begun: false,
            closed: false,
            doing: None,
        })
    }

    /// When it began, milliseconds since 1970: what the learner's curve is ordered by. Said before it is recorded.
    pub fn begun_at(&mut self, unix_ms: u64) {
        self.header.begun_unix_ms = Some(unix_ms);
    }

    /// Records to `out` from here on; before anything was done, so that the recording is whole. Later it is refused, as trouble.
    pub fn record_to(&mut self, out: Box<dyn Write>) {
        if self.begun {
            self.trouble = Some(std::io::Error::other("the practice has begun unrecorded"));
            return;
        }
        self.out = Some(out);
        self.write_header();
    }

    fn write_header(&mut self) {
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

    /// The next line written that nobody has compared yet.
    pub(super) fn line_written(&mut self) -> Option<String> {
        self.kept.as_mut()?.pop_front()
    }

    fn recorded(&self) -> bool {
        self.out.is_some() || self.kept.is_some()
    }

    fn line(&mut self, value: &impl Serialize) {
        if !self.recorded() {
            return;
        }
        let line = match serde_json::to_string(value) {
            Ok(object) => self.chain.close(&object),
            Err(error) => return self.stop(error.into()),
        };
        if let Some(kept) = &mut self.kept {
            kept.push_back(line.clone());
        }
        let Some(out) = &mut self.out else { return };
        let written = out.write_all((line + "\n").as_bytes()).and_then(|()| out.flush());
        if let Err(error) = written {
            self.stop(error);
        }
    }

    fn stop(&mut self, error: std::io::Error) {
        self.out = None;
        self.trouble = Some(error);
    }

    /// The digest of all states up to now.
    fn next_state(&mut self) -> String {
        let mut digest = Digest::from(self.state);
        digest.word(self.session.digest());
        self.state = digest.value();
        format!("{:016x}", self.state)
    }

    /// Writes out the time that passed since the last line.
    pub(super) fn write_pass(&mut self) {
        let ms = std::mem::take(&mut self.pending_ms);
        if ms > 0 && self.recorded() {
            let state = self.next_state();
            self.line(&Entry::Pass { ms, state });
        }
    }

    /// Writes the ending, once it has come, with all that was hidden until then.
    fn write_end(&mut self) {
        let episode = self.session.episode();
        let Some(ending) = episode.ending().filter(|_| self.recorded() && !self.closed) else {
            return;
        };
        let end = Entry::End(Box::new(End {
            ending,
            score: episode.score(),
            par: (ending == Ending::Clean).then(|| LeastTurning::from(self.session.par())),
            start_turns: three(episode.hidden.start),
            truth_turns: three(episode.hidden.truth),
            drawn: episode.hidden.drawn,
            errors: episode.errors(),
        }));
        self.closed = true;
        self.line(&end);
    }

    /// Does an action and records it.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed or been recorded then.
    pub fn act(&mut self, action: &Action) -> Result<Frame, Refusal> {
        self.begin_action(action)?;
        loop {
            if let Some(frame) = self.advance(u32::MAX, Unseen) {
                return Ok(frame);
            }
        }
    }

    /// Begins an action; [`Practice::advance`] takes it further, and records it when it is done.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed or been recorded then.
    pub fn begin_action(&mut self, action: &Action) -> Result<(), Refusal> {
        self.write_pass();
        self.session.begin(action)?;
        self.doing = Some(*action);
        self.begun = true;
        Ok(())
    }

    /// Takes the action under way `ms` further, or to its end if that comes first: then there is a frame of it. With none under way
    /// time passes, as by [`Practice::pass`]. Whoever watches is shown every revolution.
    pub fn advance(&mut self, ms: u32, watch: impl Observer) -> Option<Frame> {
        if let Some(action) = self.doing {
            return self.go_on(action, ms, watch);
        }
        self.pass_watched(ms, watch);
        None
    }

    /// Takes the action under way further.
    fn go_on(&mut self, action: Action, ms: u32, watch: impl Observer) -> Option<Frame> {
        let frame = self.session.advance(ms, watch)?;
        self.doing = None;
        if self.recorded() {
            let entry = Entry::Act {
                action,
                clock_ms: self.session.episode().clock_ms(),
                state: self.next_state(),
            };
            self.line(&entry);
        }
        self.write_end();
        Some(frame)
    }

    /// Lets time pass at the caller's pace, up to the end of the practice.
    pub fn pass(&mut self, ms: u32) -> Frame {
        self.pass_watched(ms, Unseen)
    }

    /// The same while somebody is shown every revolution.
    pub fn pass_watched(&mut self, ms: u32, mut watch: impl Observer) -> Frame {
        if let Some(action) = self.doing {
            let frame = self.go_on(action, ms, watch);
            return frame.unwrap_or_else(|| self.session.frame(Vec::new()));
        }
        self.begun = true;
        let (mut left_ms, mut events) = (ms, Vec::new());
        loop {
            let step_ms = left_ms.min(PASS_MS - self.pending_ms);
            let ended = self.session.episode().ending().is_some();
            let seen = |now: &Now, r: &Revolution, s: &State| watch.see(now, r, s);
            let mut frame = self.session.pass_watched(step_ms, seen);
            events.append(&mut frame.events);
            frame.events.clone_from(&events);
            if ended {
                return frame;
            }
            self.pending_ms += step_ms;
            left_ms -= step_ms;
            if self.pending_ms == PASS_MS || frame.sight.ended.is_some() {
                self.write_pass();
                self.write_end();
            }
            if left_ms == 0 || frame.sight.ended.is_some() {
                return frame;
            }
        }
    }

    /// Adds a remark to the notebook, in several lines if it is long; after the end there is nothing to remark.
    pub fn note(&mut self, text: &str) {
        self.begun = true;
        self.write_pass();
        let mut rest = text;
        while !self.closed {
            let (now, later) = rest.split_at(rest.floor_char_boundary(NOTE_BYTES));
            self.line(&Entry::Note { text: now.to_string() });
            if later.is_empty() {
                return;
            }
            rest = later;
        }
    }
}
