//! At the real engine: what was seen and heard goes in, what most likely stands wrong comes out, with how likely; the test that would tell
//! most next; and the smallest turn that is safe. Where the signs don't separate, that is said and nothing is turned.
//!
//! Hidden engines ([`engines`]) are weighed by how likely each would have shown what was found (Bayes' rule). Of what is said to be so
//! likely, so much is so (`benches/advise.rs`).

pub mod engines;

use serde::Serialize;

use crate::tuning::action::{Part, Screw, Verdict};
use crate::tuning::episode::{LOOKED_AT, stands};
use crate::tuning::strategy::findings::{FINDINGS, When};
use engines::Belief;

/// How much more a finding tells than the words of the engines around it, which blur what lies between their places; set so that what is said
/// to be so likely is so as often (`benches/advise.rs`, seed 4001).
const TELLING: f64 = 1.3;
/// Clicks of a turn.
const CLICKS: f64 = 24.0;
/// Less likely than this it is not known how an end stands, and nothing is turned.
const SURE: f64 = 0.6;
/// A turn in must not leave an end too lean more often than this.
const LEAN_RISK: f64 = 0.05;
/// Nor is fuel taken away from an end that is as likely as this too lean already, however much likelier it is rich.
const LEAN_ALREADY: f64 = 0.2;
/// The largest turns in and out, and the smallest worth doing, clicks.
const MOST_IN: i32 = 6;
const MOST_OUT: i32 = 12;
const LEAST: i32 = 2;
/// As likely as this that a part is at fault, a look comes first.
const LOOK: f64 = 0.3;
/// What says lean and hot whatever else is heard: fuel is given first, and only then is it asked what it was (common practice).
const ALARMS: [(&str, &str); 3] = [("crackles", "yes"), ("plug", "specks"), ("straight", "crackles")];
/// So much fuel at least, clicks of the high-speed needle: an eighth of a turn.
const ALARMED: i32 = 3;
/// A finding that the others make so much less likely than it is by itself does not go with them.
const ODD: f64 = 0.1;
/// What a test has to tell to be worth doing, nats.
const TELLS: f64 = 0.01;

/// Something found: which finding, and the place of its word among its words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Its place in the table of findings.
    pub finding: usize,
    /// Its word.
    pub word: u8,
}

impl Seen {
    /// By name and word, as the table of findings has them.
    ///
    /// # Errors
    /// The names, or the words of that finding, that there are.
    pub fn named(name: &str, word: &str) -> Result<Self, Vec<&'static str>> {
        let Some(finding) = FINDINGS.iter().position(|finding| finding.name == name) else {
            return Err(FINDINGS.iter().map(|finding| finding.name).collect());
        };
        match FINDINGS[finding].words().position(|known| known == word) {
            Some(word) => Ok(Self {
                finding,
                word: word as u8,
            }),
            None => Err(FINDINGS[finding].words().collect()),
        }
    }
}

impl Seen {
    /// Whether it says lean and hot, whatever else was found.
    fn alarms(self) -> bool {
        let named = &FINDINGS[self.finding];
        let word = named.words().nth(usize::from(self.word));
        ALARMS
            .iter()
            .any(|(name, alarm)| *name == named.name && Some(*alarm) == word)
    }
}

/// How likely an end is rich, right or lean.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct End {
    /// Too much fuel.
    pub rich: f64,
    /// As it should be.
    pub right: f64,
    /// Too little fuel.
    pub lean: f64,
}

impl End {
    /// The likeliest, and how likely.
    pub fn likeliest(self) -> (Verdict, f64) {
        let all = [
            (Verdict::Rich, self.rich),
            (Verdict::Right, self.right),
            (Verdict::Lean, self.lean),
        ];
        all.into_iter().fold((Verdict::Right, f64::NEG_INFINITY), |best, one| {
            if one.1 > best.1 { one } else { best }
        })
    }
}

/// How likely a part is at fault.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AtFault {
    /// The part.
    pub part: Part,
    /// How likely.
    pub probability: f64,
}

/// What to do next to know more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Test {
    /// Look over lines, filter, seal, plug lead, brake.
    Inspect,
    /// Three seconds of full throttle.
    FullThrottle,
    /// A slow opening.
    RollOn,
    /// Listen to the settled idle.
    Idle,
    /// A burst, and how it returns.
    Burst,
    /// A snap after a wait.
    Snap,
    /// The fuel line pinched at idle.
    Pinch,
    /// The plug after a chop from full throttle.
    Plug,
    /// Two laps.
    Laps,
}

/// A turn of a screw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Turn {
    /// Which.
    pub screw: Screw,
    /// How far, turns; out is positive.
    pub turns: f64,
}

/// The advice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// The high end.
    pub high: End,
    /// The low end.
    pub low: End,
    /// Parts, the likeliest first.
    pub faults: Vec<AtFault>,
    /// The test that would tell most.
    pub next: Option<Test>,
    /// The smallest turn that is safe.
    pub turn: Option<Turn>,
    /// The findings that say lean and hot whatever else was found, by name: the turn is theirs.
    pub alarms: Vec<&'static str>,
    /// Nothing was found yet: how the ends stand is what is believed of any engine of the kind.
    pub assumed: bool,
    /// The findings that don't go with the others, by name.
    pub contradicts: Vec<&'static str>,
}

/// Which test shows a finding.
fn test_of(finding: usize) -> Test {
    let named = &FINDINGS[finding];
    match (named.name, named.when) {
        ("half", _) | (_, When::Slow) => Test::RollOn,
        (_, When::Open) => Test::FullThrottle,
        (_, When::Idle) => Test::Idle,
        (_, When::Return) => Test::Burst,
        (_, When::Snap) => Test::Snap,
        ("pinch", _) => Test::Pinch,
        ("plug", _) => Test::Plug,
        (_, When::Told) => Test::Laps,
    }
}

/// The advice by what was seen, of these engines; whether the engine was looked over already, and nothing found.
pub fn advise(beliefs: &[Belief], seen: &[Seen], looked_over: bool) -> Advice {
    let weighed = |seen: &[Seen]| weighed(beliefs, seen, looked_over);
    let weights = weighed(seen);
    let share = |of: &dyn Fn(&Belief) -> bool| -> f64 {
        let of = beliefs.iter().zip(&weights).filter(|(belief, _)| of(belief));
        of.map(|(_, weight)| weight).sum()
    };
    let end = |end: usize| End {
        rich: share(&|belief| belief.stands(end) == Verdict::Rich),
        right: share(&|belief| belief.stands(end) == Verdict::Right),
        lean: share(&|belief| belief.stands(end) == Verdict::Lean),
    };
    let (high, low) = (end(0), end(1));
    let mut faults: Vec<AtFault> = Part::ALL
        .map(|part| AtFault {
            part,
            probability: share(&|belief| belief.fault == Some(part)),
        })
        .into();
    faults.sort_by(|one, other| other.probability.total_cmp(&one.probability));
    let at_fault: f64 = faults.iter().map(|fault| fault.probability).sum();
    let nothing = weighed(&[]);
    let contradicts: Vec<&'static str> = seen
        .iter()
        .filter(|one| {
            let others: Vec<Seen> = seen.iter().filter(|other| other != one).copied().collect();
            expected(beliefs, &weighed(&others), **one) < ODD * expected(beliefs, &nothing, **one)
        })
        .map(|one| FINDINGS[one.finding].name)
        .collect();
    let next = if at_fault > LOOK && !looked_over {
        Some(Test::Inspect)
    } else {
        most_telling(beliefs, &weights, seen)
    };
    let alarms: Vec<&'static str> = seen
        .iter()
        .filter(|one| one.alarms())
        .map(|one| FINDINGS[one.finding].name)
        .collect();
    let assumed = seen.is_empty();
    Advice {
        turn: if !alarms.is_empty() {
            Some(open(beliefs, &weights, 0, ALARMED))
        } else if !assumed && contradicts.is_empty() && at_fault < 0.5 {
            turn(beliefs, &weights, [high, low])
        } else {
            None
        },
        high,
        low,
        faults,
        next,
        alarms,
        assumed,
        contradicts,
    }
}

/// The weights of beliefs after what was seen; they sum to 1. Parts that a look would have shown at fault are not, once it was done.
fn weighed(beliefs: &[Belief], seen: &[Seen], looked_over: bool) -> Vec<f64> {
    let logs: Vec<f64> = beliefs
        .iter()
        .map(|belief| {
            let shown = seen
                .iter()
                .map(|seen| belief.words[seen.finding][usize::from(seen.word)].ln());
            if looked_over && belief.fault.is_some_and(|part| LOOKED_AT.contains(&part)) {
                return f64::NEG_INFINITY;
            }
            belief.prior.ln() + TELLING * shown.sum::<f64>()
        })
        .collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - most).exp()).collect();
    let sum: f64 = weights.iter().sum();
    weights.into_iter().map(|weight| weight / sum).collect()
}

/// How likely something is seen.
fn expected(beliefs: &[Belief], weights: &[f64], seen: Seen) -> f64 {
    let each = beliefs.iter().zip(weights);
    each.map(|(belief, weight)| weight * belief.words[seen.finding][usize::from(seen.word)])
        .sum()
}

/// What is to be known: how both ends stand, and whether a part is at fault.
fn state(belief: &Belief) -> usize {
    let stands = |end| match belief.stands(end) {
        Verdict::Rich => 0,
        Verdict::Right => 1,
        Verdict::Lean => 2,
    };
    if belief.fault.is_some() {
        9
    } else {
        3 * stands(0) + stands(1)
    }
}

/// The test whose most telling finding has most in common with what is to be known (mutual information).
fn most_telling(beliefs: &[Belief], weights: &[f64], seen: &[Seen]) -> Option<Test> {
    let done = |test: Test| seen.iter().any(|seen| test_of(seen.finding) == test);
    let tells = (0..FINDINGS.len())
        .filter(|finding| !done(test_of(*finding)))
        .map(|finding| {
            let mut joint = vec![[0.0_f64; 10]; FINDINGS[finding].words().count()];
            for (belief, weight) in beliefs.iter().zip(weights) {
                for (row, share) in joint.iter_mut().zip(&belief.words[finding]) {
                    row[state(belief)] += weight * share;
                }
            }
            (finding, in_common(&joint))
        });
    let (finding, most) = tells.max_by(|one, other| one.1.total_cmp(&other.1))?;
    (most > TELLS).then(|| test_of(finding))
}

/// Mutual information of the rows and columns of a table of shares, nats.
fn in_common(joint: &[[f64; 10]]) -> f64 {
    let sum: f64 = joint.iter().flatten().sum();
    let rows: Vec<f64> = joint.iter().map(|row| row.iter().sum()).collect();
    let columns: Vec<f64> = (0..10)
        .map(|column| joint.iter().map(|row| row[column]).sum())
        .collect();
    let each = joint.iter().zip(&rows).flat_map(|(row, of_row)| {
        row.iter().zip(&columns).map(move |(share, of_column)| match *share {
            share if share > 0.0 => share / sum * (share * sum / (of_row * of_column)).ln(),
            _ => 0.0,
        })
    });
    each.sum()
}

/// The smallest turn that is safe: richer first, and in only so far that the end hardly ever comes out too lean.
fn turn(beliefs: &[Belief], weights: &[f64], ends: [End; 2]) -> Option<Turn> {
    let screws = [Screw::High, Screw::Low];
    let sure = |end: usize, wanted: Verdict| {
        let (likeliest, how) = ends[end].likeliest();
        likeliest == wanted && how >= SURE
    };
    // A lean end costs the engine, so it is cured first, the high one before the low one.
    if let Some(end) = (0..2).find(|end| sure(*end, Verdict::Lean)) {
        return Some(open(beliefs, weights, end, LEAST));
    }
    let end = (0..2).find(|end| sure(*end, Verdict::Rich))?;
    if ends[end].lean > LEAN_ALREADY {
        return None;
    }
    let too_lean = |clicks: i32| -> f64 {
        let lean = |belief: &Belief| stands(belief.off[end] - f64::from(clicks) / CLICKS) == Verdict::Lean;
        let each = beliefs.iter().zip(weights).filter(|(belief, _)| lean(belief));
        each.map(|(_, weight)| weight).sum()
    };
    // What is too lean already does not become so by the turn.
    let already = too_lean(0);
    let clicks = (LEAST..=MOST_IN)
        .rev()
        .find(|clicks| too_lean(*clicks) - already <= LEAN_RISK)?;
    Some(Turn {
        screw: screws[end],
        turns: -f64::from(clicks) / CLICKS,
    })
}

/// The needle of an end opened by what it lacks in the middle of what is believed, where it is lean, and by so many clicks at least.
fn open(beliefs: &[Belief], weights: &[f64], end: usize, least: i32) -> Turn {
    let clicks = median(beliefs, weights, end).map(|off| (-off * CLICKS).round() as i32);
    Turn {
        screw: [Screw::High, Screw::Low][end],
        turns: f64::from(clicks.unwrap_or(least).clamp(least, MOST_OUT)) / CLICKS,
    }
}

/// How far an end that is lean is off in the middle of what is believed.
fn median(beliefs: &[Belief], weights: &[f64], end: usize) -> Option<f64> {
    let mut lean: Vec<(f64, f64)> = beliefs
        .iter()
        .zip(weights)
        .filter(|(belief, _)| belief.stands(end) == Verdict::Lean)
        .map(|(belief, weight)| (belief.off[end], *weight))
        .collect();
    lean.sort_by(|one, other| one.0.total_cmp(&other.0));
    let half: f64 = lean.iter().map(|(_, weight)| weight).sum::<f64>() / 2.0;
    let mut reached = 0.0;
    let middle = lean.iter().find(|(_, weight)| {
        reached += weight;
        reached >= half
    });
    middle.map(|(off, _)| *off)
}

#[cfg(test)]
#[path = "mod_tests.rs"]
mod cases;
