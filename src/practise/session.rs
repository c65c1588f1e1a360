//! A practice at its caller's pace: actions and elapsed time in, frames out. A frame holds only what the level allows; it is the
//! one view of the engine that any screen, script or page gets before the end.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::event::{Event, Now, Told};
use super::hinted::Hinted;
use super::noticed::{Noticed, notice};
use crate::bench::instruments::Row;
use crate::bench::player::{Observer, Unseen};
use crate::digest::Digest;
use crate::tuning::action::Action;
use crate::tuning::episode::{Episode, Found, Refusal};
use crate::tuning::hidden::HiddenError;
use crate::tuning::par::{Par, par};
use crate::tuning::scenario::Scenario;
use crate::tuning::strategy::advice::{Advice, Follower};
use crate::tuning::strategy::{Sight, coach};

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

/// What can be seen at one moment, and what is proposed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Frame {
    /// What is heard, seen and read, as far as the level allows.
    #[serde(flatten)]
    pub sight: Sight,
    /// What has happened besides since the frame before.
    pub events: Vec<Event>,
    /// The next thing to try; guided only.
    pub hint: Option<Advice>,
}

/// A practice.
#[derive(Clone, Debug)]
pub struct Session {
    /// The situation as it is now: where there are several stages, that of this one.
    pub scenario: Scenario,
    /// The whole of it.
    pub whole: Scenario,
    /// How much is shown.
    pub level: Level,
    /// Seed.
    pub seed: u64,
    /// Episode under that seed.
    pub episode_number: u64,
    episode: Episode,
    /// Found when first asked for: a practice starts at once, and par is of interest at its end.
    par: OnceLock<Par>,
    gun: Option<(u64, f64)>,
    /// The coach, and what it has heard so far.
    coach: Follower,
    hinted: Hinted,
    doing: Option<Doing>,
    /// A judgement of a cold engine that was warned of.
    warned: Option<Action>,
    /// The practice before anything was done in it: for whoever plays it again.
    fresh: Box<Episode>,
    /// What was noticed, and how it was; for the end.
    noticed: Vec<Noticed>,
    /// When a screw was last turned, ms on the practice's clock.
    turned_ms: u64,
    /// Adjustments before the last action.
    adjustments: u32,
    /// What was told of what happened.
    told: Told,
}

/// What is under way.
#[derive(Clone, Copy, Debug)]
enum Doing {
    /// An action of the practice.
    Action(Action),
    /// A judgement that is not taken, since the engine is cold.
    JudgingCold,
    /// One that is taken when it is said once more.
    Warning(Action),
}

/// A setting is heard after this, ms: what an ear takes in at a time.
pub(super) const HEARD_MS: u64 = 1000;
/// A gun reading is news for this long, ms.
const GUN_FRESH_MS: u64 = 60_000;

impl Session {
    /// Starts a practice.
    ///
    /// # Errors
    /// A model that can't be used, or no clean setting in reach: such a practice couldn't be won.
    pub fn start(scenario: Scenario, level: Level, seed: u64, episode: u64) -> Result<Self, HiddenError> {
        let started = Episode::reset(&scenario, seed, episode)?;
        let coach = Follower::new(coach()?, scenario.limits, started.chance());
        let mut session = Self {
            whole: scenario.clone(),
            scenario,
            level,
            seed,
            episode_number: episode,
            fresh: Box::new(started.clone()),
            episode: started,
            par: OnceLock::new(),
            gun: None,
            coach,
            hinted: Hinted::default(),
            doing: None,
            warned: None,
            noticed: Vec::new(),
            turned_ms: 0,
            adjustments: 0,
            told: Told::default(),
        };
        let sight = session.sight(Vec::new());
        session.hinted.take(session.proposed(), &sight);
        Ok(session)
    }

    /// Least turning knowing the truth.
    pub fn par(&self) -> &Par {
        self.par.get_or_init(|| {
            let stages = self.episode.signed_off().iter().map(|stage| &stage.hidden);
            let (before, last) = (stages.map(par), par(&self.episode.hidden));
            before.fold(last, |sum, stage| Par {
                turns: sum.turns + stage.turns,
                idle_trims: sum.idle_trims + stage.idle_trims,
                rotation_turns: sum.rotation_turns + stage.rotation_turns,
                ..sum
            })
        })
    }

    /// The episode; its hidden side is for the end.
    pub fn episode(&self) -> &Episode {
        &self.episode
    }

    /// The practice before anything was done in it.
    pub fn fresh(&self) -> &Episode {
        &self.fresh
    }

    /// What was noticed, and how it was; for the end.
    pub fn noticed(&self) -> &[Noticed] {
        &self.noticed
    }

    /// A digest of everything that decides how it goes on.
    pub fn digest(&self) -> u64 {
        let mut digest = Digest::from(self.episode.digest());
        let (at, c) = self.gun.unwrap_or((u64::MAX, 0.0));
        digest.word(at);
        digest.numbers([c]);
        // A warning given is one that is not given again.
        digest.words(format!("{:?}", self.warned).bytes().map(u64::from));
        digest.value()
    }

    /// Does one action and shows what came of it. After a held throttle the frame is of its last moment; then it springs back.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn act(&mut self, action: &Action) -> Result<Frame, Refusal> {
        self.begin(action)?;
        loop {
            if let Some(frame) = self.advance(u32::MAX, Unseen) {
                return Ok(frame);
            }
        }
    }

    /// Begins an action; [`Session::advance`] takes it further and shows what came of it.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn begin(&mut self, action: &Action) -> Result<(), Refusal> {
        let judging = matches!(action, Action::Judge { .. });
        let cold = self.level == Level::Guided && judging && self.episode.ending().is_none() && !self.warm_enough();
        if cold && self.doing.is_none() {
            self.doing = Some(Doing::JudgingCold);
            return Ok(());
        }
        let warned = self.warned.take();
        let unwarned = judging && warned != Some(*action) && self.doing.is_none();
        if unwarned && self.level != Level::Guided && self.episode.is_cold() && self.episode.ending().is_none() {
            self.doing = Some(Doing::Warning(*action));
            return Ok(());
        }
        if let Err(refusal) = self.episode.begin(action) {
            self.coach.memory.refused(action, refusal);
            let sight = self.sight(Vec::new());
            self.hinted.did(action, self.proposed(), &sight);
            return Err(refusal);
        }
        self.doing = Some(Doing::Action(*action));
        Ok(())
    }

    /// Whether an action is under way.
    pub fn busy(&self) -> bool {
        self.doing.is_some()
    }

    /// Takes the action under way `ms` further, or to its end if that comes first: then there is a frame of it. With none under way
    /// time passes. Whoever watches is shown every revolution.
    pub fn advance(&mut self, ms: u32, watch: impl Observer) -> Option<Frame> {
        if let Some(Doing::JudgingCold) = self.doing {
            self.doing = None;
            return Some(self.frame(vec![Found::NotJudged]));
        }
        if let Some(Doing::Warning(action)) = self.doing {
            (self.doing, self.warned) = (None, Some(action));
            return Some(self.frame(vec![Found::SayAgain]));
        }
        let found = self.episode.advance(ms, watch);
        match (found, self.doing) {
            (Some(found), Some(Doing::Action(action))) => {
                self.doing = None;
                Some(self.did(&action, found))
            }
            (_, Some(_)) => None,
            (_, None) => {
                self.listen();
                None
            }
        }
    }

    /// The coach hears what passes with the throttle in a hand.
    fn listen(&mut self) {
        let sight = self.sight(Vec::new());
        self.coach.memory.listen(&sight);
        if let Some(by_hand) = self.hinted.passed(self.proposed(), &sight) {
            self.coach.memory.counts(&by_hand);
            self.hinted.take(self.proposed(), &sight);
        }
    }

    /// What came of an action.
    fn did(&mut self, action: &Action, mut found: Vec<Found>) -> Frame {
        let read = |found: &Found| matches!(found, Found::Plug(plug) if plug.colour.is_some());
        if self.level == Level::Guided && found.iter().any(read) {
            found.push(Found::TrustPlug);
        }
        if let Some(head_c) = found.iter().find_map(Found::gun_c) {
            self.gun = Some((self.episode.clock_ms(), head_c));
        }
        if found.iter().any(|found| matches!(found, Found::SignedOff { .. })) {
            self.scenario = self.episode.situation();
            self.par = OnceLock::new();
            self.gun = None;
        }
        let sight = self.sight(found);
        let turned = matches!(action, Action::Turn { .. });
        if turned && self.episode.adjustments() == self.adjustments {
            self.coach.memory.turned_on(action, &sight);
        } else {
            self.coach.memory.did(action, &sight);
        }
        self.adjustments = self.episode.adjustments();
        self.hinted.did(action, self.proposed(), &sight);
        if turned {
            self.turned_ms = self.episode.clock_ms();
        }
        let frame = Frame {
            sight,
            events: Vec::new(),
            hint: self.hint(),
        };
        // A screen that follows the hand does these many times a second: what happens goes on.
        let goes_on = matches!(action, Action::Throttle { .. } | Action::Turn { .. });
        self.took_in(frame, goes_on)
    }

    /// A frame with what has happened, noticed.
    fn took_in(&mut self, frame: Frame, goes_on: bool) -> Frame {
        let Sight { notes, found, .. } = &frame.sight;
        let heard_ms = self.episode.clock_ms().saturating_sub(self.turned_ms);
        // What still sounds as a screw is turned was said by the setting before.
        let notes = if heard_ms < HEARD_MS { &[][..] } else { notes };
        notice(&mut self.noticed, &self.episode, notes, found);
        let episode = &self.episode;
        let left_ms = match episode.ending() {
            None => episode.limit_ms().saturating_sub(episode.clock_ms()),
            Some(_) => episode.limit_ms(),
        };
        let now = Now {
            sums: episode.sums(),
            lean_goes_on: goes_on && episode.lean_now(),
            left_ms,
        };
        let events = self.told.next(&now, self.level == Level::ByEar);
        Frame { events, ..frame }
    }

    /// Lets time pass at the caller's pace; the frame is of its end, or of that of the action under way.
    pub fn pass(&mut self, ms: u32) -> Frame {
        self.pass_watched(ms, Unseen)
    }

    /// The same while somebody is shown every revolution.
    pub fn pass_watched(&mut self, ms: u32, watch: impl Observer) -> Frame {
        let frame = self.advance(ms, watch);
        frame.unwrap_or_else(|| {
            let frame = self.frame(Vec::new());
            self.took_in(frame, true)
        })
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

    /// What is hinted, while it goes on.
    fn hint(&self) -> Option<Advice> {
        let hint = self.hinted.shown().cloned();
        hint.filter(|_| self.episode.ending().is_none())
    }

    /// What the coach proposes.
    fn proposed(&self) -> Option<Advice> {
        let guided = self.level == Level::Guided && self.episode.ending().is_none();
        // Asking twice is asking once: the coach itself goes on by what is done.
        guided.then(|| self.coach.clone().next()).flatten()
    }

    /// What the level lets see now.
    fn sight(&self, found: Vec<Found>) -> Sight {
        let sight = Sight::of(&self.episode, found);
        Sight {
            tachometer_rpm: sight.tachometer_rpm.filter(|_| self.level != Level::ByEar),
            ..sight
        }
    }

    /// What can be seen now.
    pub fn frame(&self, found: Vec<Found>) -> Frame {
        Frame {
            sight: self.sight(found),
            events: Vec::new(),
            hint: self.hint(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::action::Screw;
    use crate::tuning::scenario::source;

    fn session(level: Level) -> Session {
        let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        Session::start(scenario, level, 3, 0).unwrap()
    }

    #[test]
    fn the_last_ten_minutes_are_announced_once() {
        let mut session = session(Level::ByEar);
        let mut told = Vec::new();
        for _ in 0..5 {
            told.extend(session.act(&Action::Wait { ms: 599_000 }).unwrap().events);
        }
        assert_eq!(told, []);
        told.extend(session.pass(5_000).events);
        assert_eq!(told, [Event::TimeRunsOut { minutes: 10.0 }]);
        assert_eq!(session.pass(5_000).events, []);
    }

    #[test]
    fn a_frame_tells_that_it_was_too_lean() {
        for (level, tells) in [(Level::Guided, true), (Level::ByEar, false)] {
            let mut session = session(level);
            let turns = -0.3 - session.episode().off(Screw::High);
            let screw = Screw::High;
            session.act(&Action::Turn { screw, turns }).unwrap();
            session.act(&Action::Start).unwrap();
            let held = session
                .act(&Action::Hold {
                    position: 1.0,
                    ms: 3000,
                })
                .unwrap();
            let lean = held
                .events
                .iter()
                .any(|event| matches!(event, Event::TooLean { seconds, .. } if *seconds > 2.5));
            assert_eq!(lean, tells, "{:?}", held.events);
        }
    }
}
