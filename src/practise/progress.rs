//! The learner's curve: what a row of recorded practices says about somebody's tuning.

use std::fmt::Write;

use serde::Serialize;

use super::replay::Replayed;
use crate::tuning::episode::Ending;

/// One practice of the curve.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Practised {
    /// Its scenario.
    pub scenario: String,
    /// How it ended; none if it never did.
    pub ended: Option<Ending>,
    /// Needle adjustments over par; none without par or without a clean end.
    pub turns_over_par: Option<i64>,
    /// Seconds too lean.
    pub lean_s: f64,
    /// Crossings into lean.
    pub lean_crossings: u32,
    /// Whether the first turn went the right way.
    pub first_turn_right: Option<bool>,
    /// Judgements made, and how many of them on a warm, cleared-out engine.
    pub judgements: usize,
    /// See above.
    pub readable_judgements: usize,
    /// Mean Brier score of the judgements.
    pub brier: Option<f64>,
}

impl Practised {
    /// What a replayed recording says.
    pub fn from(replayed: &Replayed) -> Self {
        let session = replayed.practice.session();
        let score = session.episode().score();
        Self {
            scenario: session.scenario.name.clone(),
            ended: replayed.ending,
            turns_over_par: session
                .par()
                .filter(|_| score.clean)
                .map(|par| i64::from(score.turns) - i64::from(par.turns)),
            lean_s: score.lean_s,
            lean_crossings: score.lean_crossings,
            first_turn_right: score.first_turn_right,
            judgements: score.judgements.len(),
            readable_judgements: score.judgements.iter().filter(|j| j.readable).count(),
            brier: score.brier(),
        }
    }
}

/// The curve in text, oldest first.
pub fn text(practices: &[Practised]) -> String {
    let mut out = format!(
        "{:>3}  {:16} {:10} {:>14} {:>8} {:>10} {:>6}\n",
        "", "scenario", "end", "turns over par", "lean, s", "first turn", "Brier"
    );
    let show = |value: Option<String>| value.unwrap_or_else(|| "-".to_string());
    for (i, p) in practices.iter().enumerate() {
        let end = match p.ended {
            Some(Ending::Clean) => "clean",
            Some(Ending::NotClean) => "not clean",
            Some(Ending::Lost) => "lost",
            Some(Ending::OutOfTime) => "no time",
            Some(Ending::Left) | None => "left",
        };
        // Writing to a string can't fail.
        let _ = writeln!(
            out,
            "{:>3}  {:16} {end:10} {:>14} {:>8.1} {:>10} {:>6}",
            i + 1,
            p.scenario,
            show(p.turns_over_par.map(|t| format!("{t:+}"))),
            p.lean_s,
            show(
                p.first_turn_right
                    .map(|r| if r { "right" } else { "wrong" }.to_string())
            ),
            show(p.brier.map(|b| format!("{b:.2}")))
        );
    }
    let share = |part: usize, whole: usize| {
        if whole == 0 {
            "none yet".to_string()
        } else {
            format!("{part} of {whole}")
        }
    };
    let firsts: Vec<bool> = practices.iter().filter_map(|p| p.first_turn_right).collect();
    let _ = writeln!(
        out,
        "\nclean {}; first turns in the right direction {}; crossings into lean {}; judgements on a warm, cleared-out engine {}",
        share(
            practices.iter().filter(|p| p.ended == Some(Ending::Clean)).count(),
            practices.len()
        ),
        share(firsts.iter().filter(|r| **r).count(), firsts.len()),
        practices.iter().map(|p| p.lean_crossings).sum::<u32>(),
        share(
            practices.iter().map(|p| p.readable_judgements).sum(),
            practices.iter().map(|p| p.judgements).sum()
        )
    );
    out
}
