//! The learner's curve in words: a row for each practice, and sums for each level.

use std::fmt::Write;

use super::progress::Practised;
use super::session::Level;
use crate::tuning::episode::Ending;

/// A level's name as it is given to `--level`.
pub fn level(level: Level) -> &'static str {
    match level {
        Level::Guided => "guided",
        Level::Assisted => "assisted",
        Level::ByEar => "by-ear",
    }
}

/// The curve in text, oldest first.
pub fn text(practices: &[Practised]) -> String {
    let mut out = format!(
        "{:>3}  {:16} {:9} {:10} {:>14} {:>8} {:>10} {:>6}\n",
        "", "scenario", "level", "end", "turns over par", "lean, s", "first turn", "Brier"
    );
    let show = |value: Option<String>| value.unwrap_or_else(|| "-".to_string());
    for (i, p) in practices.iter().enumerate() {
        let end = match p.ended {
            Ending::Clean => "clean",
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
            show(
                p.first_turn_right
                    .map(|r| if r { "right" } else { "wrong" }.to_string())
            ),
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
    out
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
