//! The debrief as data: what the checks found and which end failed, what was noticed and how it was, where the screws went and where
//! they should have gone, what it cost, and how little would have done. Most of it is there at once; par, the coach's own practice and
//! the map take a while, so they are made piece by piece, by whoever shows how far it is.

use serde::Serialize;

use super::explained::Explained;
use super::failed::{FailedEnd, failed_ends};
use super::map::Map;
use super::noticed::Noticed;
use super::session::Session;
use crate::bench::checks::{CheckName, Report};
use crate::engine::params::Setting;
use crate::tuning::action::{Part, Screw};
use crate::tuning::episode::Ending;
use crate::tuning::par::Par;
use crate::tuning::score::Score;
use crate::tuning::strategy::{Marks, coached_from};

/// A screw at the end, against where it stood at the start.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ScrewEnd {
    /// Which.
    pub screw: Screw,
    /// Where it was left.
    pub left_turns: f64,
    /// Where the true setting was.
    pub true_turns: f64,
}

/// What was in the jug.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Jug {
    /// Nitromethane by volume.
    pub nitro_percent: f64,
    /// Oil by volume.
    pub oil_percent: f64,
}

/// A part of the debrief that takes a while, in the order in which they are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Piece {
    /// The least that would have done, and the practice as the coach would have done it.
    Par,
    /// The map.
    Map,
    /// None is left.
    Done,
}

/// How far the debrief is, in units of about one check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is done.
    pub done: u32,
    /// Of how much.
    pub of: u32,
}

impl Progress {
    /// Share that is done, 0..1.
    pub fn share(self) -> f64 {
        f64::from(self.done) / f64::from(self.of)
    }
}

/// What par and the coach's practice take, side by side, in fields of the map (measured).
const PAR_FIELDS: u32 = 40;

/// A stage that was signed off before the last.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StageEnd {
    /// What happened before it.
    pub summary: String,
    /// Every check passed, and nothing was left at fault.
    pub clean: bool,
    /// The checks that failed.
    pub failed: Vec<CheckName>,
    /// Parts that were left at fault.
    pub left_at_fault: Vec<Part>,
}

/// The debrief of a practice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Debrief {
    /// The scenario.
    pub scenario: String,
    /// Its seed.
    pub seed: u64,
    /// How it ended, if it did.
    pub ended: Option<Ending>,
    /// The stages before the last, where there were several.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stages: Vec<StageEnd>,
    /// The checks, if it was signed off.
    pub sign_off: Option<Report>,
    /// The same with the needles a little leaner: clean there too, the setting is a safe one.
    pub leaner: Option<Report>,
    /// What a sign-off would have found where the engine was lost or time ran out.
    pub as_left: Option<Report>,
    /// Where the story of what failed is told, if anything did.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub explained: Option<Explained>,
    /// The ends that failed in either.
    pub failed_ends: Vec<FailedEnd>,
    /// What was noticed, and how it was.
    pub noticed: Vec<Noticed>,
    /// Parts that were left at fault.
    pub left_at_fault: Vec<Part>,
    /// The screws.
    pub screws: [ScrewEnd; 3],
    /// Every setting in the order in which it was reached, against the first.
    pub path: Vec<Marks>,
    /// What was in the jug.
    pub jug: Jug,
    /// How far the screws were open at the start.
    pub start: Setting,
    /// The map, unless it was left.
    pub map: Option<Map>,
    /// What it cost.
    pub score: Score,
    /// Mean Brier score of the judgements before the first turn, if there were any.
    pub brier: Option<f64>,
    /// The same of those after it.
    pub later_brier: Option<f64>,
    /// The least that would have done; none until it is made.
    pub par: Option<Par>,
    /// What the coach needs, who knows nothing of what is hidden, unless the practice was left.
    pub coached: Option<Score>,
    /// What the scenario teaches.
    pub teaches: String,
    #[serde(skip)]
    next: Piece,
    #[serde(skip)]
    progress: Progress,
}

/// `setting` against `from`.
fn against(setting: Setting, from: Setting) -> Marks {
    Marks {
        high_turns: setting.high_turns - from.high_turns,
        low_turns: setting.low_turns - from.low_turns,
        idle_turns: setting.idle_turns - from.idle_turns,
    }
}

fn stages(session: &Session) -> Vec<StageEnd> {
    let signed_off = session.episode().signed_off().iter().enumerate();
    signed_off
        .map(|(k, stage)| StageEnd {
            summary: session.whole.at_stage(k).summary,
            clean: stage.clean(),
            failed: stage.report.failed(),
            left_at_fault: stage.left_at_fault.clone(),
        })
        .collect()
}

impl Debrief {
    /// All that is known at once.
    pub fn begin(session: &Session) -> Self {
        let episode = session.episode();
        let hidden = &episode.hidden;
        let truth = against(hidden.truth, hidden.start);
        let score = episode.score();
        let sign_off = episode.report().cloned();
        let whole = episode.ending().is_some_and(|ending| ending != Ending::Left);
        let as_left = (whole && sign_off.is_none()).then(|| episode.as_left());
        let judged = sign_off.as_ref().or(as_left.as_ref());
        let map = whole.then(|| Map::begin(hidden, episode.path()));
        let of = PAR_FIELDS + if map.is_some() { Map::SIZE } else { 0 };
        Self {
            scenario: session.scenario.name.clone(),
            seed: session.seed,
            ended: episode.ending(),
            stages: stages(session),
            failed_ends: judged.map(|report| failed_ends(report, episode)).unwrap_or_default(),
            explained: judged
                .map(|report| Explained::of(&report.failed(), session, report.setting))
                .filter(|e| !e.symptoms.is_empty()),
            noticed: session.noticed().to_vec(),
            sign_off,
            leaner: episode.leaner().cloned(),
            as_left,
            left_at_fault: episode.left_at_fault().to_vec(),
            screws: Screw::ALL.map(|screw| ScrewEnd {
                screw,
                left_turns: episode.mark(screw),
                true_turns: truth.of(screw),
            }),
            path: episode.path().iter().map(|s| against(*s, hidden.start)).collect(),
            jug: Jug {
                nitro_percent: hidden.blend.nitro_percent,
                oil_percent: hidden.blend.oil_percent,
            },
            start: hidden.start,
            map,
            brier: score.brier(),
            later_brier: score.later_brier(),
            score,
            par: None,
            coached: None,
            teaches: session.scenario.teaches.clone(),
            next: Piece::Par,
            progress: Progress { done: 0, of },
        }
    }

    /// The piece that is made next; what comes before it is there.
    pub fn next(&self) -> Piece {
        self.next
    }

    /// How far it is.
    pub fn progress(&self) -> Progress {
        self.progress
    }

    /// Makes a little more of it, some tens of milliseconds of work or, for par and the coach, some hundreds; whether anything is left.
    pub fn go_on(&mut self, session: &Session) -> bool {
        let hidden = &session.episode().hidden;
        match self.next {
            Piece::Par => {
                let coach = || {
                    let whole = self.map.is_some();
                    whole
                        .then(|| coached_from(session.fresh(), &session.whole).ok())
                        .flatten()
                };
                let (par, coached) = rayon::join(|| *session.par(), coach);
                (self.par, self.coached) = (Some(par), coached);
                self.progress.done = PAR_FIELDS;
                self.next = if self.map.is_some() { Piece::Map } else { Piece::Done };
            }
            Piece::Map => {
                let done = self.map.as_mut().map_or(Map::SIZE, |map| map.go_on(hidden));
                self.progress.done = PAR_FIELDS + done;
                if done == Map::SIZE {
                    self.next = Piece::Done;
                }
            }
            Piece::Done => {}
        }
        self.next != Piece::Done
    }

    /// Makes all that is left, and tells how far it is.
    pub fn finish(&mut self, session: &Session, mut progress: impl FnMut(Progress)) {
        while self.go_on(session) {
            progress(self.progress);
        }
        progress(self.progress);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::session::Level;
    use crate::tuning::action::Action;
    use crate::tuning::episode::ALL_HEARD;
    use crate::tuning::scenario::{Scenario, source};
    use crate::tuning::strategy::coached;

    fn session(last: Action) -> Session {
        let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        let mut session = Session::start(scenario, Level::ByEar, 3, 0).unwrap();
        if last == Action::SignOff {
            session.act(&Action::Start).unwrap();
            ALL_HEARD.iter().for_each(|action| _ = session.act(action).unwrap());
        }
        session.act(&last).unwrap();
        session
    }

    #[test]
    fn progress_rises_to_the_end_and_nothing_is_done_twice() {
        let session = session(Action::SignOff);
        let mut debrief = Debrief::begin(&session);
        assert_eq!((debrief.next(), debrief.progress().done), (Piece::Par, 0));
        let mut told = Vec::new();
        debrief.finish(&session, |progress| told.push(progress));
        assert!(told.is_sorted_by(|a, b| a.done < b.done), "{told:?}");
        // A bar that moves: par and the coach are the longest piece.
        let steps = told.windows(2).map(|pair| pair[1].done - pair[0].done);
        assert!(
            told[0].done == PAR_FIELDS && steps.max() <= Some(PAR_FIELDS / 2),
            "{told:?}"
        );
        assert_eq!(told.last().map(|p| p.share()), Some(1.0));
        assert!(debrief.map.as_ref().unwrap().fields.iter().all(|f| f.ground.is_some()));
        assert!(debrief.par.is_some() && debrief.coached.is_some());
        let before = debrief.clone();
        assert!(!debrief.go_on(&session));
        assert_eq!(debrief, before);
    }

    #[test]
    fn a_practice_that_was_left_is_neither_mapped_nor_played() {
        let session = session(Action::Leave);
        let mut debrief = Debrief::begin(&session);
        debrief.finish(&session, |_| {});
        assert_eq!(debrief.progress().share(), 1.0);
        assert!(debrief.map.is_none() && debrief.coached.is_none() && debrief.par.is_some());
    }

    #[test]
    fn an_hour_run_out_is_checked_mapped_and_played_as_a_sign_off_is() {
        let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        let mut session = Session::start(scenario, Level::ByEar, 3, 0).unwrap();
        while session.episode().ending().is_none() {
            session.act(&Action::Wait { ms: 600_000 }).unwrap();
        }
        let mut debrief = Debrief::begin(&session);
        assert_eq!(debrief.ended, Some(Ending::OutOfTime));
        let as_left = debrief.as_left.clone().unwrap();
        assert!(!as_left.clean && debrief.sign_off.is_none() && !debrief.failed_ends.is_empty());
        debrief.finish(&session, |_| {});
        assert!(debrief.map.is_some() && debrief.coached.is_some() && debrief.par.is_some());
    }

    #[test]
    fn the_coach_plays_the_practice_as_it_began() {
        let session = session(Action::SignOff);
        let began = coached_from(session.fresh(), &session.whole).unwrap();
        let anew = coached(&session.whole, session.seed, 0).unwrap();
        assert_eq!(began, anew);
    }

    /// Safe is clean, and clean with the needles a little leaner.
    #[test]
    fn a_setting_is_safe_where_it_is_clean_a_little_leaner_too() {
        let signed = |high: f64, low: f64| {
            let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
            let mut session = Session::start(scenario, Level::ByEar, 3, 0).unwrap();
            for (screw, off) in [(Screw::High, high), (Screw::Low, low), (Screw::Idle, 0.0)] {
                let turns = off - session.episode().off(screw);
                session.act(&Action::Turn { screw, turns }).unwrap();
            }
            session.act(&Action::Start).unwrap();
            ALL_HEARD.iter().for_each(|action| _ = session.act(action).unwrap());
            session.act(&Action::SignOff).unwrap();
            session.episode().clone()
        };
        // An eighth and a twenty-fourth leaner than this is the true setting itself, which is clean.
        let richer = signed(0.125, 1.0 / 24.0);
        assert!(richer.leaner().unwrap().clean);
        assert_eq!(richer.score().safe_clean, richer.score().clean);
        let at_truth = signed(0.0, 0.0);
        assert!(at_truth.score().clean);
        assert_eq!(at_truth.score().safe_clean, at_truth.leaner().unwrap().clean);
        // At the lean edge nothing is left.
        let edge = signed(-0.125, -1.0 / 24.0);
        assert!(!edge.leaner().unwrap().clean && !edge.score().safe_clean);
    }

    #[test]
    fn as_json_it_has_units_in_its_keys_and_names_for_what_was_found() {
        let session = session(Action::SignOff);
        let mut debrief = Debrief::begin(&session);
        debrief.finish(&session, |_| {});
        let json = serde_json::to_value(&debrief).unwrap();
        assert_eq!(json["ended"], "not-clean");
        assert_eq!(json["sign_off"]["checks"][0]["name"], "full_rich_of_best_power");
        assert_eq!(json["screws"][0]["screw"], "high");
        assert!(json["screws"][0]["true_turns"].is_number() && json["jug"]["nitro_percent"].is_number());
        assert_eq!(json["map"]["fields"].as_array().unwrap().len(), Map::SIZE as usize);
        assert!(json["map"]["fields"][0]["ground"].is_string() && json["coached"]["turns"].is_u64());
        assert!(json.get("next").is_none() && json.get("progress").is_none());
    }
}
