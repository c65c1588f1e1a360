//! The learner's curve: what a row of recorded practices says about somebody's tuning.
//!
//! A recording is read, not replayed: its ending tells how it went, its chain of links that nothing was lost or changed, and its
//! model's fingerprint whether it was practised with today's. The same practice counts once however many copies there are; practising
//! the same seed again is told apart, for its answer was known; and each level has its own sums.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::io::BufRead;

use serde::Serialize;

use super::lines::{End, Entry, Header, Lines, Next};
use super::session::Level;
use super::unreadable::ReplayError;
use crate::config::Source;
use crate::tuning::episode::Ending;
use crate::tuning::fingerprint::fingerprint;
use crate::tuning::scenario::{self, Scenario};
use crate::tuning::score::{FirstTurn, Judgement};

/// One practice of the curve.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Practised {
    /// Its scenario.
    pub scenario: String,
    /// How much was shown.
    pub level: Level,
    /// Its seed.
    pub seed: u64,
    /// When it began, milliseconds since 1970, if its recording says so.
    pub begun_unix_ms: Option<u64>,
    /// The same scenario and seed were practised before: what was hidden could be known.
    pub again: bool,
    /// How it ended.
    pub ended: Ending,
    /// It was clean with the needles a little leaner, too.
    pub safe_clean: bool,
    /// Needle adjustments over par; none without a clean end.
    pub turns_over_par: Option<i64>,
    /// The same of idle-stop trims.
    pub trims_over_par: Option<i64>,
    /// Seconds too lean.
    pub lean_s: f64,
    /// Crossings into lean.
    pub lean_crossings: u32,
    /// Whether the first turn went the right way.
    pub first_turn_right: Option<bool>,
    /// And if not, whether it went the wrong way or was not needed.
    pub first_turn: Option<FirstTurn>,
    /// Judgements made, and how many of them on a warm, cleared-out engine.
    pub judgements: usize,
    /// See above.
    pub readable_judgements: usize,
    /// Mean Brier score of the judgements before the first turn.
    pub brier: Option<f64>,
    /// The same of those after it.
    pub later_brier: Option<f64>,
    /// The judgements.
    #[serde(skip)]
    pub said: Vec<Judgement>,
}

impl Practised {
    fn from(header: Header, end: &End) -> Self {
        let score = &end.score;
        Self {
            scenario: header.scenario,
            level: header.level,
            seed: header.seed,
            begun_unix_ms: header.begun_unix_ms,
            again: false,
            ended: end.ending,
            safe_clean: score.safe_clean,
            turns_over_par: end.par.map(|par| i64::from(score.turns) - i64::from(par.turns)),
            trims_over_par: end
                .par
                .map(|par| i64::from(score.idle_trims) - i64::from(par.idle_trims)),
            lean_s: score.lean_s,
            lean_crossings: score.lean_crossings,
            first_turn_right: score.first_turn_right,
            // What was recorded by older rules tells only whether it was right.
            first_turn: score.first_turn.or_else(|| {
                score
                    .first_turn_right
                    .map(|right| if right { FirstTurn::Right } else { FirstTurn::WrongWay })
            }),
            judgements: score.judgements.len(),
            readable_judgements: score.judgements.iter().filter(|j| j.readable).count(),
            brier: score.brier(),
            later_brier: score.later_brier(),
            said: score.judgements.clone(),
        }
    }
}

/// A situation that could be proposed.
#[derive(Clone, Debug, PartialEq)]
pub struct Situation {
    /// Its name.
    pub name: String,
    /// It begins with a cold engine.
    pub cold: bool,
}

/// The built-in situations, from easy to hard.
pub fn situations() -> Vec<Situation> {
    let read = |built_in: &crate::config::models::BuiltIn| {
        let scenario = Scenario::read(&scenario::built_in(built_in.name).ok()?).ok()?;
        Some(Situation {
            name: scenario.name,
            cold: scenario.cold,
        })
    };
    scenario::SCENARIOS.iter().filter_map(read).collect()
}

/// Why a recording is not on the curve.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LeftOut {
    /// It has no ending.
    Running,
    /// Its chain of links is broken at this line.
    Changed(usize),
    /// It was practised with other models than today's.
    OtherModel,
    /// It is a copy of another one.
    Copy(String),
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Running => f.write_str("left out: it still runs, or was cut off before its end"),
            Self::Changed(line) => write!(
                f,
                "left out: line {line} does not follow what stands before it; the file was changed"
            ),
            Self::OtherModel => {
                f.write_str("left out: practised with other models than today's; `--other-models` shows it too")
            }
            Self::Copy(of) => write!(f, "left out: the same practice as {of}"),
        }
    }
}

/// A recording read for the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    path: String,
    /// A digest of all its lines: two recordings that share it are one practice.
    digest: u64,
    /// What was the same if the same seed is practised again.
    situation: u64,
    today: bool,
    practised: Result<Practised, LeftOut>,
}

impl Told {
    /// Why it can't be on the curve, whatever else is.
    pub fn left_out(&self) -> Option<&LeftOut> {
        self.practised.as_ref().err()
    }
}

/// Reads one recording.
///
/// # Errors
/// Not a recording, a damaged one, or one of another version.
pub fn read(path: &str, reader: impl BufRead) -> Result<Told, ReplayError> {
    let mut lines = Lines::new(path, reader);
    let (_, header) = lines.header()?;
    // Whatever is wrong with its models, they are not today's.
    let today = today(&header).is_some_and(|model| model == header.model);
    let situation = situation(&header);
    let mut end = None;
    let mut changed = None;
    while let Next::Line(line) = lines.next()? {
        // Only the ending is read for what it says: what stands before it is as it was written.
        if line.object.starts_with("{\"end\":") {
            match lines.entry(&line)? {
                Entry::End(last) => end = Some(*last),
                Entry::Act { .. } | Entry::Pass { .. } | Entry::Note { .. } => {}
            }
        }
        if !line.linked {
            changed = Some(line.number);
            break;
        }
    }
    Ok(Told {
        path: path.to_string(),
        digest: lines.digest(),
        situation,
        today,
        practised: match (changed, end) {
            (Some(line), _) => Err(LeftOut::Changed(line)),
            (None, None) => Err(LeftOut::Running),
            (None, Some(end)) => Ok(Practised::from(header, &end)),
        },
    })
}

/// The fingerprint that its scenario has today.
fn today(header: &Header) -> Option<String> {
    let text = match &header.scenario_text {
        Some(text) => Source::new(&header.scenario, text),
        None => scenario::built_in(&header.scenario).ok()?,
    };
    fingerprint(&Scenario::carried(&text, header.files.clone()).ok()?).ok()
}

/// A digest of what a player would know again.
fn situation(header: &Header) -> u64 {
    let mut digest = crate::digest::Digest::from(header.seed);
    digest.word(header.episode);
    digest.text(&header.scenario);
    digest.text(header.scenario_text.as_deref().unwrap_or_default());
    digest.value()
}

/// The curve in the order in which the practices began, and what is left out of it with the reason.
pub fn curve(mut recordings: Vec<Told>, other_models: bool) -> (Vec<Practised>, Vec<(String, LeftOut)>) {
    // Those that don't say when they began come first, in the order given.
    recordings.sort_by_key(|told| told.practised.as_ref().ok().and_then(|p| p.begun_unix_ms));
    let (mut practices, mut left_out) = (Vec::new(), Vec::new());
    let mut seen: BTreeMap<u64, String> = BTreeMap::new();
    let mut known = BTreeSet::new();
    for told in recordings {
        let Told {
            path,
            digest,
            situation,
            today,
            practised,
        } = told;
        let kept = practised.and_then(|practised| match seen.get(&digest) {
            Some(first) => Err(LeftOut::Copy(first.clone())),
            None => Ok(practised),
        });
        let again = kept.is_ok() && !known.insert(situation);
        if kept.is_ok() {
            seen.insert(digest, path.clone());
        }
        match kept {
            Ok(practised) if today || other_models => practices.push(Practised { again, ..practised }),
            Ok(_) => left_out.push((path, LeftOut::OtherModel)),
            Err(reason) => left_out.push((path, reason)),
        }
    }
    (practices, left_out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(path: &str, digest: u64, situation: u64, begun_unix_ms: Option<u64>) -> Told {
        Told {
            path: path.to_string(),
            digest,
            situation,
            today: true,
            practised: Ok(Practised {
                scenario: "lesson-1".to_string(),
                level: Level::ByEar,
                seed: situation,
                begun_unix_ms,
                again: false,
                ended: Ending::Clean,
                safe_clean: false,
                turns_over_par: Some(1),
                trims_over_par: Some(0),
                lean_s: 0.0,
                lean_crossings: 0,
                first_turn_right: None,
                first_turn: None,
                judgements: 0,
                readable_judgements: 0,
                brier: None,
                later_brier: None,
                said: Vec::new(),
            }),
        }
    }

    #[test]
    fn practices_stand_in_the_order_in_which_they_began() {
        let all = vec![
            told("c", 3, 3, Some(30)),
            told("x", 9, 9, None),
            told("a", 1, 1, Some(10)),
            told("b", 2, 2, Some(20)),
        ];
        let (practices, left_out) = curve(all, false);
        let seeds: Vec<u64> = practices.iter().map(|p| p.seed).collect();
        assert_eq!(seeds, [9, 1, 2, 3], "what does not say when it began comes first");
        assert!(left_out.is_empty());
    }

    /// The answer of a seed is known after its first practice, whichever models it was practised with, and copies are no practices.
    #[test]
    fn a_copy_is_left_out_and_the_same_seed_again_is_told_apart() {
        let old = Told {
            today: false,
            ..told("old", 4, 7, Some(5))
        };
        let all = vec![
            told("later", 6, 7, Some(20)),
            told("first", 5, 7, Some(10)),
            told("copy", 6, 7, Some(20)),
            old,
            told("other", 8, 8, Some(30)),
        ];
        let (practices, left_out) = curve(all.clone(), false);
        let again: Vec<(u64, bool)> = practices.iter().map(|p| (p.seed, p.again)).collect();
        assert_eq!(again, [(7, true), (7, true), (8, false)]);
        let reasons = [
            ("old".to_string(), LeftOut::OtherModel),
            ("copy".to_string(), LeftOut::Copy("later".to_string())),
        ];
        assert_eq!(left_out, reasons);
        assert_eq!(curve(all, true).0.len(), 4, "asked for, the old one is there too");
    }
}
