//! The learner's curve in words: a row for each practice, sums for each level, how each skill stands, and what to practise next.

use std::fmt::Write;

use super::progress::Practised;
use super::session::Level;
use super::skills::{Skill, Skills, Tally};
use crate::tuning::episode::Ending;
use crate::tuning::score::FirstTurn;

/// A level's name as it is given to `--level`.
pub fn level(level: Level) -> &'static str {
    match level {
        Level::Guided => "guided",
        Level::Assisted => "assisted",
        Level::ByEar => "by-ear",
    }
}

/// The curve in text, oldest first, and what it says of the learner.
pub fn text(practices: &[Practised], skills: &Skills) -> String {
    let mut out = format!(
        "{:>3}  {:16} {:9} {:10} {:>14} {:>8} {:>10} {:>6}\n",
        "", "scenario", "level", "end", "turns over par", "lean, s", "first turn", "Brier"
    );
    let show = |value: Option<String>| value.unwrap_or_else(|| "-".to_string());
    for (i, p) in practices.iter().enumerate() {
        let end = match p.ended {
            Ending::Clean if p.safe_clean => "safe-clean",
            Ending::Clean => "race-clean",
            Ending::NotClean => "not clean",
            Ending::Lost => "lost",
            Ending::OutOfTime => "no time",
            Ending::Left => "left",
        };
        // Writing to a string can't fail.
        let _ = writeln!(
            out,
            "{:>3}  {:16} {:9} {end:10} {:>14} {:>8.1} {:>10} {:>6}{}",
            i + 1,
            p.scenario,
            level(p.level),
            show(p.turns_over_par.map(|t| format!("{t:+}"))),
            p.lean_s,
            show(p.first_turn.map(|turn| {
                match turn {
                    FirstTurn::Right => "right",
                    FirstTurn::WrongWay => "wrong way",
                    FirstTurn::NotNeeded => "not needed",
                }
                .to_string()
            })),
            show(p.brier.map(|b| format!("{b:.2}"))),
            if p.again { "  again" } else { "" }
        );
    }
    out.push('\n');
    for which in [Level::Guided, Level::Assisted, Level::ByEar] {
        let of_level: Vec<&Practised> = practices.iter().filter(|p| p.level == which && !p.again).collect();
        if !of_level.is_empty() {
            sums(&mut out, level(which), &of_level);
        }
    }
    let again: Vec<&Practised> = practices.iter().filter(|p| p.again).collect();
    if !again.is_empty() {
        sums(&mut out, "the same seed again", &again);
    }
    told(&mut out, skills);
    out
}

/// A skill in few words, and what counts as going well.
fn skill(skill: Skill) -> (&'static str, &'static str) {
    match skill {
        Skill::HighEnd => ("judging the high end", "said right before the first turn"),
        Skill::LowEnd => ("judging the low end", "said right before the first turn"),
        Skill::FirstTurn => ("the first turn", "in the right direction"),
        Skill::LeanCrossings => ("staying out of lean", "practices without a crossing"),
        Skill::ColdJudgements => ("judging it warm", "said of a warm, cleared-out engine"),
        Skill::Turns => ("few turns", "clean within two over par"),
        Skill::Trims => ("few trims", "clean with at most one idle-stop trim over par"),
    }
}

/// How many of how many.
fn of(tally: Tally) -> String {
    match tally {
        Tally { times: 0, .. } => "not tried".to_string(),
        Tally { times, well } => format!("{well} of {times}"),
    }
}

fn told(out: &mut String, skills: &Skills) {
    out.push_str("\nBy skill, over the last twenty practices (the same seed again counts nowhere)\n");
    for standing in &skills.skills {
        let (name, well) = skill(standing.skill);
        let _ = writeln!(out, "  {name:22} {:>10}  {well}", of(standing.tally));
    }
    for (bins, when) in [
        (&skills.reliability, "before the first turn"),
        (&skills.later_reliability, "after it"),
    ] {
        let each: Vec<String> = bins
            .iter()
            .map(|bin| {
                format!(
                    "{:.0} % sure: {:.0} % right of {}",
                    bin.sure_percent, bin.right_percent, bin.count
                )
            })
            .collect();
        if !each.is_empty() {
            let _ = writeln!(out, "How sure, and how right, {when}: {}", each.join("; "));
        }
    }
    if let Some(next) = &skills.next {
        let _ = writeln!(
            out,
            "Practise next: needlebench practise {} --level {}   ({}: {})",
            next.scenario,
            level(next.level),
            skill(next.skill.skill).0,
            of(next.skill.tally)
        );
    }
}

fn sums(out: &mut String, name: &str, practices: &[&Practised]) {
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
        "{name}: clean {}; first turns in the right direction {}; crossings into lean {}; judgements on a warm, cleared-out engine {}",
        share(
            practices.iter().filter(|p| p.ended == Ending::Clean).count(),
            practices.len()
        ),
        share(firsts.iter().filter(|r| **r).count(), firsts.len()),
        practices.iter().map(|p| p.lean_crossings).sum::<u32>(),
        share(
            practices.iter().map(|p| p.readable_judgements).sum(),
            practices.iter().map(|p| p.judgements).sum()
        )
    );
}
