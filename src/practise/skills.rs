//! What a learner can do, skill by skill, and what to practise next: where the learner is weakest.
//!
//! Each skill is a share of times that went well, over the last practices; the same seed again counts nowhere, since its answer was
//! known. A skill that was tried little counts as half known (Laplace's rule of succession), so that what was never tried comes before
//! what goes well.

use serde::Serialize;

use super::progress::{Practised, Situation};
use super::session::Level;
use crate::tuning::action::Screw;
use crate::tuning::brier::{Bin, reliability};
use crate::tuning::score::{FirstTurn, Judgement};

/// Practices that count: what was done long ago says little of today (assumed).
const LAST: usize = 20;
/// Turns over par that are still few (assumed).
const FEW_TURNS: i64 = 2;
/// Bins of the reliability curve over what can be said, 34 to 100 percent.
const BINS: usize = 5;
/// Where every skill is at least this good, over so many practices, another level is proposed (assumed).
const GOOD: (f64, usize) = (0.8, 5);

/// A skill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Skill {
    /// Saying how the high end is, before the first turn.
    HighEnd,
    /// The same of the low end.
    LowEnd,
    /// The first turn, in the right direction.
    FirstTurn,
    /// Practices without a crossing into lean.
    LeanCrossings,
    /// Judging an engine that is warm and cleared out.
    ColdJudgements,
    /// Clean with few turns over par.
    Turns,
    /// Clean with no idle-stop trim over par but one.
    Trims,
}

impl Skill {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::HighEnd,
        Self::LowEnd,
        Self::FirstTurn,
        Self::LeanCrossings,
        Self::ColdJudgements,
        Self::Turns,
        Self::Trims,
    ];

    /// How often it was asked for in a practice, and how often that went well.
    fn of(self, practised: &Practised) -> Tally {
        let count = |of: &mut dyn Iterator<Item = bool>| {
            of.fold(Tally::default(), |tally, well| Tally {
                times: tally.times + 1,
                well: tally.well + usize::from(well),
            })
        };
        let said = |end| practised.said.iter().filter(move |j| j.first() && j.end == end);
        match self {
            Self::HighEnd => count(&mut said(Screw::High).map(Judgement::right)),
            Self::LowEnd => count(&mut said(Screw::Low).map(Judgement::right)),
            Self::FirstTurn => count(&mut practised.first_turn.iter().map(|turn| *turn == FirstTurn::Right)),
            Self::LeanCrossings => count(&mut std::iter::once(practised.lean_crossings == 0)),
            Self::ColdJudgements => count(&mut practised.said.iter().map(|j| j.readable)),
            Self::Turns => count(&mut practised.turns_over_par.iter().map(|over| *over <= FEW_TURNS)),
            Self::Trims => count(&mut practised.trims_over_par.iter().map(|over| *over <= 1)),
        }
    }
}

/// How often something was asked for, and how often it went well.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// How often.
    pub times: usize,
    /// Of these, went well.
    pub well: usize,
}

impl Tally {
    fn plus(self, other: Self) -> Self {
        Self {
            times: self.times + other.times,
            well: self.well + other.well,
        }
    }

    /// The share that will go well, as far as this tells.
    fn expected(self) -> f64 {
        (self.well as f64 + 1.0) / (self.times as f64 + 2.0)
    }
}

/// A skill and how it stands.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Standing {
    /// Which.
    pub skill: Skill,
    /// Over the last practices.
    #[serde(flatten)]
    pub tally: Tally,
}

/// What to practise next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proposal {
    /// A built-in scenario.
    pub scenario: String,
    /// How much to be shown.
    pub level: Level,
    /// The skill that it is for.
    pub skill: Standing,
}

/// What all practices say of a learner.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Skills {
    /// Each skill.
    pub skills: Vec<Standing>,
    /// How often what was said before the first turn with so much confidence was so.
    pub reliability: Vec<Bin>,
    /// The same of what was said after it.
    pub later_reliability: Vec<Bin>,
    /// What to practise next; none without a practice or a situation.
    pub next: Option<Proposal>,
}

fn tally<'a>(skill: Skill, practices: impl Iterator<Item = &'a Practised>) -> Tally {
    practices.map(|p| skill.of(p)).fold(Tally::default(), Tally::plus)
}

/// How often what was said of the ends was so, by confidence.
fn reliable(practices: &[&Practised], first: bool) -> Vec<Bin> {
    let said = practices.iter().flat_map(|p| &p.said).filter(|j| j.first() == first);
    reliability(&said.map(|j| (j.sure_percent, j.right())).collect::<Vec<_>>(), BINS)
}

impl Skills {
    /// Of practices in the order in which they began, among situations from easy to hard.
    pub fn of(practices: &[Practised], situations: &[Situation]) -> Self {
        let mut fresh: Vec<&Practised> = practices.iter().filter(|p| !p.again).collect();
        let reliability = reliable(&fresh, true);
        let later_reliability = reliable(&fresh, false);
        let recent = fresh.split_off(fresh.len().saturating_sub(LAST));
        let skills = Skill::ALL.map(|skill| Standing {
            skill,
            tally: tally(skill, recent.iter().copied()),
        });
        Self {
            next: next(&recent, &skills, situations),
            skills: skills.to_vec(),
            reliability,
            later_reliability,
        }
    }
}

fn next(recent: &[&Practised], skills: &[Standing], situations: &[Situation]) -> Option<Proposal> {
    let latest = recent.last()?;
    let weakest = *skills
        .iter()
        .min_by(|a, b| a.tally.expected().total_cmp(&b.tally.expected()))?;
    // Where it went worst; a situation not tried yet stands in the middle, and of equals the easier one comes first.
    let here = |name: &str| tally(weakest.skill, recent.iter().copied().filter(|p| p.scenario == name)).expected();
    let of_use = |cold_only: bool| {
        situations
            .iter()
            .filter(move |situation| situation.cold || !cold_only)
            .min_by(|a, b| here(&a.name).total_cmp(&here(&b.name)))
    };
    let cold_only = weakest.skill == Skill::ColdJudgements;
    let situation = of_use(cold_only).or_else(|| of_use(false))?;
    let (good, enough) = GOOD;
    let all_good = skills.iter().all(|s| s.tally.expected() >= good) && recent.len() >= enough;
    Some(Proposal {
        scenario: situation.name.clone(),
        level: match latest.level {
            Level::Guided if all_good => Level::Assisted,
            Level::Assisted if all_good => Level::ByEar,
            level => level,
        },
        skill: weakest,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::action::Verdict;
    use crate::tuning::episode::Ending;

    fn judged(end: Screw, right: bool, readable: bool) -> Judgement {
        Judgement {
            end,
            said: Verdict::Rich,
            sure_percent: 80,
            was: if right { Verdict::Rich } else { Verdict::Lean },
            readable,
            turns_before: 0,
        }
    }

    /// A practice that went well.
    fn well(scenario: &str) -> Practised {
        Practised {
            scenario: scenario.to_string(),
            level: Level::Guided,
            seed: 1,
            begun_unix_ms: None,
            again: false,
            ended: Ending::Clean,
            safe_clean: true,
            turns_over_par: Some(0),
            trims_over_par: Some(0),
            lean_s: 0.0,
            lean_crossings: 0,
            first_turn_right: Some(true),
            first_turn: Some(FirstTurn::Right),
            judgements: 2,
            readable_judgements: 2,
            brier: Some(0.1),
            later_brier: None,
            said: vec![judged(Screw::High, true, true), judged(Screw::Low, true, true)],
        }
    }

    fn situations() -> Vec<Situation> {
        [("easy", false), ("cold", true), ("hard", false)]
            .map(|(name, cold)| Situation {
                name: name.to_string(),
                cold,
            })
            .to_vec()
    }

    /// The weakest skill and the scenario that is proposed for it.
    fn proposed(practices: &[Practised]) -> (Skill, String) {
        let next = Skills::of(practices, &situations()).next.unwrap();
        (next.skill.skill, next.scenario)
    }

    #[test]
    fn the_next_situation_is_where_the_weakest_skill_went_worst() {
        let low_wrong = |scenario| Practised {
            said: vec![judged(Screw::High, true, true), judged(Screw::Low, false, true)],
            ..well(scenario)
        };
        let practices = [well("easy"), well("easy"), low_wrong("hard"), well("cold")];
        assert_eq!(proposed(&practices), (Skill::LowEnd, "hard".to_string()));
        let crossing = Practised {
            lean_crossings: 2,
            ..well("easy")
        };
        let practices = [crossing, well("hard"), well("cold")];
        assert_eq!(proposed(&practices), (Skill::LeanCrossings, "easy".to_string()));
        let cold = Practised {
            said: vec![judged(Screw::High, true, false), judged(Screw::Low, true, false)],
            ..well("easy")
        };
        assert_eq!(
            proposed(&[cold.clone(), cold]),
            (Skill::ColdJudgements, "cold".to_string())
        );
    }

    #[test]
    fn what_was_never_tried_comes_before_what_goes_well_and_a_new_situation_with_it() {
        let silent = Practised {
            said: Vec::new(),
            ..well("easy")
        };
        assert_eq!(
            proposed(&[silent.clone(), silent]),
            (Skill::HighEnd, "easy".to_string())
        );
        let (_, scenario) = proposed(&[well("easy"), well("easy")]);
        assert_eq!(scenario, "cold", "the first one that was not tried");
    }

    #[test]
    fn the_same_seed_again_and_what_was_long_ago_count_nowhere() {
        let bad = |again| Practised {
            first_turn: Some(FirstTurn::WrongWay),
            again,
            ..well("easy")
        };
        let first_turns = |practices: &[Practised]| Skills::of(practices, &[]).skills[2].tally;
        assert_eq!(first_turns(&[bad(true), well("easy")]), Tally { times: 1, well: 1 });
        let mut long = vec![bad(false)];
        long.extend(vec![well("easy"); LAST]);
        assert_eq!(
            first_turns(&long),
            Tally {
                times: LAST,
                well: LAST
            }
        );
    }

    #[test]
    fn who_does_well_is_shown_less() {
        let practices = vec![well("easy"); 12];
        assert_eq!(
            Skills::of(&practices, &situations()).next.unwrap().level,
            Level::Assisted
        );
        assert_eq!(
            Skills::of(&practices[..2], &situations()).next.unwrap().level,
            Level::Guided
        );
    }
}
