//! What a study says: for each way and skill its rates and means with their intervals, the race for the least cost, what was claimed
//! beforehand, and whether the best way of the practised hurts beginners.
//!
//! An observation is one hidden engine of every situation, the mean over them: so situations weigh alike, and every way is held against
//! every other on the very same engines.

use serde::Serialize;

use super::playing::End;
use super::ranking::{Race, difference, race};
use super::record::Record;
use super::study::{Costs, Measure, Study, skill_name};
use crate::stats::{Interval, Moments, share_interval};
use crate::tuning::human::Skill;
use crate::tuning::score::FirstTurn;

/// One way at one skill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Standing {
    /// The way's name in the study.
    pub name: String,
    /// How practised who plays is.
    pub skill: &'static str,
    /// Practices played.
    pub practices: usize,
    /// Share signed off clean.
    pub success_rate: f64,
    /// Its interval.
    pub success_interval: Interval,
    /// Needle turns.
    pub turns_mean: f64,
    /// Their interval, over observations; none below two.
    pub turns_interval: Option<Interval>,
    /// Needle turns and what went wrong.
    pub cost_mean: f64,
    /// Its interval.
    pub cost_interval: Option<Interval>,
    /// How much more that is than the least costly way's, over the observations that both have, all pairs at once.
    pub over_best_mean: f64,
    /// Its interval.
    pub over_best_interval: Option<Interval>,
    /// Share of engines lost.
    pub engines_lost_rate: f64,
    /// Its interval.
    pub engines_lost_interval: Interval,
    /// Share that ended by a limit, and not by its own course.
    pub truncated_rate: f64,
    /// Share still clean a little leaner.
    pub safe_clean_rate: f64,
    /// Share of first turns of a needle that went the right way; none where none was made.
    pub first_turn_right_rate: Option<f64>,
    /// Idle-stop trims.
    pub idle_trims_mean: f64,
    /// Rotation of the needles, turns.
    pub rotation_turns_mean: f64,
    /// Seconds too lean.
    pub lean_s_mean: f64,
    /// Wear, percent of an engine's life.
    pub wear_percent_mean: f64,
    /// Minutes.
    pub minutes_mean: f64,
    /// Fuel, g.
    pub fuel_g_mean: f64,
    /// Needle turns over par; none where par was not sought.
    pub over_par_mean: Option<f64>,
}

/// The race at one skill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SkillRace {
    /// How practised who plays is.
    pub skill: &'static str,
    /// The ways by their cost, the least first.
    pub order: Vec<String>,
    /// What it has shown; places are those of the study's entrants.
    #[serde(flatten)]
    pub race: Race,
    /// Those that are still in.
    pub left: Vec<String>,
    /// The way selected, by name.
    pub best: Option<String>,
}

/// What became of a claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The whole interval says so.
    For,
    /// The whole interval says the reverse.
    Against,
    /// It reaches to both sides.
    Open,
}

/// A claim, and what was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// What is said.
    pub claim: String,
    /// What was measured.
    pub measure: Measure,
    /// Which way is said to have less of it.
    pub less: String,
    /// Than which.
    pub than: String,
    /// At which skill.
    pub skill: &'static str,
    /// How much more the first has than the second.
    pub difference_mean: f64,
    /// Its interval, all claims at once.
    pub difference_interval: Option<Interval>,
    /// What that says.
    pub verdict: Verdict,
}

/// Whether what is best for some costs others.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Transfer {
    /// Whose best way.
    pub best_of: &'static str,
    /// That way.
    pub name: String,
    /// Played by whom.
    pub played_by: &'static str,
    /// How much more it costs them than their own least costly one.
    pub over_own_best_mean: f64,
    /// Its interval.
    pub over_own_best_interval: Option<Interval>,
}

/// What a study says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// The study.
    pub study: String,
    /// Its seed.
    pub seed: u64,
    /// Hidden engines of each situation that were wanted.
    pub episodes: u64,
    /// The situations.
    pub scenarios: Vec<String>,
    /// Hidden engines met.
    pub engines: usize,
    /// Those of them for which no practice could be drawn.
    pub engines_without_practice: usize,
    /// What was added for what went wrong.
    pub costs: Costs,
    /// Confidence of every interval.
    pub confidence_percent: f64,
    /// A difference in cost that nobody minds, needle turns.
    pub indifference_turns: f64,
    /// The ways, by skill and cost, the least first.
    pub strategies: Vec<Standing>,
    /// The races.
    pub races: Vec<SkillRace>,
    /// What became of the claims.
    pub hypotheses: Vec<Finding>,
    /// What is best for some, played by others.
    pub transfers: Vec<Transfer>,
    /// Revolutions of all engines.
    pub revolutions: u64,
}

impl Measure {
    fn of(self, record: &Record, costs: &Costs) -> f64 {
        let o = &record.outcome;
        let is = |end| f64::from(u8::from(record.end == Some(end)));
        match self {
            Self::Turns => f64::from(o.turns),
            Self::Cost => {
                let wrong = match record.end {
                    Some(End::Clean) | None => 0.0,
                    Some(End::Lost) => costs.lost_turns,
                    Some(_) => costs.not_clean_turns,
                };
                f64::from(o.turns) + wrong
            }
            Self::Lost => is(End::Lost),
            Self::Won => is(End::Clean),
            Self::Lean => o.lean_s,
            Self::Wear => o.wear_percent,
            Self::Minutes => o.minutes,
        }
    }
}

/// The records of a study, in the order of their hidden engines.
struct Played<'a> {
    study: &'a Study,
    records: &'a [Record],
}

impl Played<'_> {
    fn of(&self, skill: Skill, entrant: usize) -> impl Iterator<Item = &Record> + Clone {
        let ours = move |record: &&Record| record.skill == skill && record.entrant == entrant && record.end.is_some();
        self.records.iter().filter(ours)
    }

    /// A measure by observations: for each episode of which every situation was met, the mean over those that made a practice.
    fn observations(&self, skill: Skill, entrant: usize, measure: Measure) -> Vec<f64> {
        let situations = self.study.scenarios.len();
        let mut all: Vec<(usize, usize, f64)> = Vec::new();
        for record in self.records.iter().filter(|r| r.skill == skill && r.entrant == entrant) {
            let episode = self.study.engine(record.engine).1 as usize;
            if all.len() <= episode {
                all.resize(episode + 1, (0, 0, 0.0));
            }
            let (met, practices, sum) = &mut all[episode];
            *met += 1;
            if record.end.is_some() {
                *practices += 1;
                *sum += measure.of(record, &self.study.costs);
            }
        }
        // What was broken off, or made no practice in any situation, is no observation; it is missing for all ways alike.
        let whole = all
            .into_iter()
            .filter(|(met, practices, _)| *met == situations && *practices > 0);
        whole.map(|(_, practices, sum)| sum / practices as f64).collect()
    }

    fn standing(&self, skill: Skill, entrant: usize) -> Standing {
        let study = self.study;
        let confidence = study.rules().confidence;
        let ours = || self.of(skill, entrant);
        let practices = ours().count();
        let count = |what: &dyn Fn(&Record) -> bool| ours().filter(|record| what(record)).count();
        let rate = |what: &dyn Fn(&Record) -> bool| count(what) as f64 / practices.max(1) as f64;
        let mean = |of: &dyn Fn(&Record) -> f64| ours().map(of).sum::<f64>() / practices.max(1) as f64;
        let ended = |end: End| move |record: &Record| record.end == Some(end);
        let moments = |measure| Moments::of(self.observations(skill, entrant, measure));
        let (turns, cost) = (moments(Measure::Turns), moments(Measure::Cost));
        let first = count(&|record| record.outcome.first_turn.is_some());
        let right = count(&|record| record.outcome.first_turn == Some(FirstTurn::Right));
        let par = ours().filter_map(|record| {
            let par = record.outcome.par_turns?;
            Some(f64::from(record.outcome.turns) - f64::from(par))
        });
        let over_par = Moments::of(par);
        Standing {
            name: study.entrants[entrant].label.clone(),
            skill: skill_name(skill),
            practices,
            success_rate: rate(&ended(End::Clean)),
            success_interval: share_interval(count(&ended(End::Clean)), practices, confidence),
            turns_mean: turns.mean,
            turns_interval: turns.interval(confidence),
            cost_mean: cost.mean,
            cost_interval: cost.interval(confidence),
            over_best_mean: 0.0,
            over_best_interval: None,
            engines_lost_rate: rate(&ended(End::Lost)),
            engines_lost_interval: share_interval(count(&ended(End::Lost)), practices, confidence),
            truncated_rate: rate(&|record| record.end.is_some_and(|end| !end.terminated())),
            safe_clean_rate: rate(&|record| record.outcome.safe_clean),
            first_turn_right_rate: (first > 0).then(|| right as f64 / first as f64),
            idle_trims_mean: mean(&|record| f64::from(record.outcome.idle_trims)),
            rotation_turns_mean: mean(&|record| record.outcome.rotation_turns),
            lean_s_mean: mean(&|record| record.outcome.lean_s),
            wear_percent_mean: mean(&|record| record.outcome.wear_percent),
            minutes_mean: mean(&|record| record.outcome.minutes),
            fuel_g_mean: mean(&|record| record.outcome.fuel_g),
            over_par_mean: (over_par.count > 0).then_some(over_par.mean),
        }
    }

    /// The race for the least cost at one skill.
    fn race(&self, skill: Skill) -> Race {
        let entrants = 0..self.study.entrants.len();
        let costs: Vec<Vec<f64>> = entrants
            .map(|entrant| self.observations(skill, entrant, Measure::Cost))
            .collect();
        race(&costs, &self.study.rules())
    }

    fn difference(&self, measure: Measure, skill: Skill, pair: [usize; 2], of: usize) -> (f64, Option<Interval>) {
        let [one, other] = pair.map(|entrant| self.observations(skill, entrant, measure));
        difference(&one, &other, self.study.rules().confidence, of)
    }
}

/// Places by a number, the least first.
fn by_least(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    order
}

/// Whether the least costly way is told from all others at every skill: a study may stop there.
pub fn told_apart(study: &Study, records: &[Record]) -> bool {
    let played = Played { study, records };
    study.skills.iter().all(|skill| played.race(*skill).selected.is_some())
}

/// What the records of a study say.
pub fn summary(study: &Study, records: &[Record]) -> Summary {
    let played = Played { study, records };
    let entrants = 0..study.entrants.len();
    let pairs = entrants.len() * entrants.len().saturating_sub(1) / 2;
    let mut strategies = Vec::new();
    let (mut races, mut orders) = (Vec::new(), Vec::new());
    for skill in &study.skills {
        let mut standings: Vec<Standing> = entrants.clone().map(|e| played.standing(*skill, e)).collect();
        let order = by_least(&standings.iter().map(|s| s.cost_mean).collect::<Vec<_>>());
        for entrant in order[1..].iter().copied() {
            let (mean, interval) = played.difference(Measure::Cost, *skill, [entrant, order[0]], pairs);
            (standings[entrant].over_best_mean, standings[entrant].over_best_interval) = (mean, interval);
        }
        let race = played.race(*skill);
        let name = |entrant: &usize| study.entrants[*entrant].label.clone();
        races.push(SkillRace {
            skill: skill_name(*skill),
            order: order.iter().map(name).collect(),
            left: entrants
                .clone()
                .filter(|entrant| race.dropped_after[*entrant].is_none())
                .map(|entrant| name(&entrant))
                .collect(),
            best: race.selected.as_ref().map(name),
            race,
        });
        strategies.extend(order.iter().map(|entrant| standings[*entrant].clone()));
        orders.push(order);
    }
    let engines = |without: bool| {
        let mut last = None;
        let count =
            |record: &&Record| (!without || record.end.is_none()) && last.replace(record.engine) != Some(record.engine);
        records.iter().filter(count).count()
    };
    Summary {
        study: study.name.clone(),
        seed: study.seed(),
        episodes: study.episodes(),
        scenarios: study.scenarios.iter().map(|s| s.name.clone()).collect(),
        engines: engines(false),
        engines_without_practice: engines(true),
        costs: study.costs,
        confidence_percent: study.ranking.confidence_percent,
        indifference_turns: study.ranking.indifference_turns,
        strategies,
        races,
        hypotheses: findings(&played),
        transfers: transfers(&played, &orders, pairs),
        revolutions: records.iter().map(|record| record.outcome.revolutions).sum(),
    }
}

fn findings(played: &Played<'_>) -> Vec<Finding> {
    let study = played.study;
    let claims = study.hypotheses.len() * study.skills.len();
    let each = |skill: Skill| {
        study.hypotheses.iter().map(move |claim| {
            let (mean, interval) = played.difference(claim.measure, skill, [claim.less, claim.than], claims);
            Finding {
                claim: claim.claim.clone(),
                measure: claim.measure,
                less: study.entrants[claim.less].label.clone(),
                than: study.entrants[claim.than].label.clone(),
                skill: skill_name(skill),
                difference_mean: mean,
                difference_interval: interval,
                verdict: match interval {
                    Some(interval) if interval.high < 0.0 => Verdict::For,
                    Some(interval) if interval.low > 0.0 => Verdict::Against,
                    _ => Verdict::Open,
                },
            }
        })
    };
    study.skills.iter().copied().flat_map(each).collect()
}

fn transfers(played: &Played<'_>, orders: &[Vec<usize>], pairs: usize) -> Vec<Transfer> {
    let study = played.study;
    let mut transfers = Vec::new();
    for (from, skill) in study.skills.iter().enumerate() {
        for (to, other) in study.skills.iter().enumerate().filter(|(to, _)| *to != from) {
            let (theirs, own) = (orders[from][0], orders[to][0]);
            let (mean, interval) = if theirs == own {
                (0.0, None)
            } else {
                played.difference(Measure::Cost, *other, [theirs, own], pairs)
            };
            transfers.push(Transfer {
                best_of: skill_name(*skill),
                name: study.entrants[theirs].label.clone(),
                played_by: skill_name(*other),
                over_own_best_mean: mean,
                over_own_best_interval: interval,
            });
        }
    }
    transfers
}
