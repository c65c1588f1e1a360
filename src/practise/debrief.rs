//! The debrief as data: what the checks found, where the screws went and where they should have gone, what it cost, and how little
//! would have done. Most of it is there at once; par, the map and the book's own practice take seconds, so they are made piece by
//! piece, by whoever shows how far it is.

use serde::Serialize;

use super::map::Map;
use super::session::Session;
use crate::bench::checks::{CheckName, Report};
use crate::engine::params::Setting;
use crate::tuning::action::{Part, Screw};
use crate::tuning::episode::Ending;
use crate::tuning::par::Par;
use crate::tuning::score::Score;
use crate::tuning::strategy::{Marks, coached};

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
    /// The least that would have done.
    Par,
    /// The map.
    Map,
    /// The practice as the book would have done it.
    Book,
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

/// What par takes, and the book's practice, in checks (measured).
const PAR_CHECKS: u32 = 8;
const BOOK_CHECKS: u32 = 15;

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
    /// The map, if it was signed off.
    pub map: Option<Map>,
    /// What it cost.
    pub score: Score,
    /// Mean Brier score of the judgements, if there were any.
    pub brier: Option<f64>,
    /// The least that would have done; none until it is made.
    pub par: Option<Par>,
    /// What the book needs, which knows nothing of what is hidden, if the practice ended by its own course.
    pub by_the_book: Option<Score>,
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
        let map = sign_off.is_some().then(|| Map::begin(hidden, episode.path()));
        let terminated = episode.ending().is_some_and(Ending::terminated);
        let of = PAR_CHECKS + if map.is_some() { Map::SIZE } else { 0 } + if terminated { BOOK_CHECKS } else { 0 };
        Self {
            scenario: session.scenario.name.clone(),
            seed: session.seed,
            ended: episode.ending(),
            stages: stages(session),
            sign_off,
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
            score,
            par: None,
            by_the_book: None,
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

    /// Makes a little more of it, some tens of milliseconds of work or, for par and the book, some hundreds; whether anything is left.
    pub fn go_on(&mut self, session: &Session) -> bool {
        let hidden = &session.episode().hidden;
        match self.next {
            Piece::Par => {
                self.par = Some(*session.par());
                self.progress.done = PAR_CHECKS;
                self.next = if self.map.is_some() { Piece::Map } else { Piece::Book };
            }
            Piece::Map => {
                let done = self.map.as_mut().map_or(Map::SIZE, |map| map.go_on(hidden));
                self.progress.done = PAR_CHECKS + done;
                if done == Map::SIZE {
                    self.next = Piece::Book;
                }
            }
            Piece::Book => {
                if self.ended.is_some_and(Ending::terminated) {
                    self.by_the_book = coached(&session.whole, session.seed, session.episode_number).ok();
                }
                self.progress.done = self.progress.of;
                self.next = Piece::Done;
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
        assert!(told.len() > 20 && told.is_sorted_by(|a, b| a.done < b.done), "{told:?}");
        assert_eq!(told.last().map(|p| p.share()), Some(1.0));
        assert!(debrief.map.as_ref().unwrap().fields.iter().all(|f| f.ground.is_some()));
        assert!(debrief.par.is_some() && debrief.by_the_book.is_some());
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
        assert!(debrief.map.is_none() && debrief.by_the_book.is_none() && debrief.par.is_some());
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
        assert!(json["map"]["fields"][0]["ground"].is_string() && json["by_the_book"]["turns"].is_u64());
        assert!(json.get("next").is_none() && json.get("progress").is_none());
    }
}
