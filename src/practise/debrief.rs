//! The debrief: what the checks said in plain words, where the screws went, what it cost, and how little would have done.

use std::fmt::Write;

use super::session::Session;
use crate::bench::checks::Check;
use crate::tuning::action::{Screw, Verdict};
use crate::tuning::episode::Ending;
use crate::tuning::score::Score;
use crate::tuning::strategy::by_the_book;

/// What a check asks, and what a failure below or above its limits means.
fn meaning(name: &str) -> (&'static str, &'static str, &'static str) {
    match name {
        "full_rich_of_best_power" => (
            "full throttle on the rich side of best power",
            "the high-speed needle is lean",
            "",
        ),
        "full_power" => ("power at full throttle", "the high-speed needle is rich (or lean)", ""),
        "full_detonation" => ("no knocking at full throttle", "", "the high-speed needle is lean"),
        "full_head_temperature" => ("head at full throttle", "", "the high-speed needle is lean"),
        "idle_speed" => (
            "idle speed",
            "open the idle stop, or the low end is rich",
            "close the idle stop",
        ),
        "idle_variation" => (
            "steadiness of the idle",
            "",
            "the low end is off, or something is not the mixture",
        ),
        "idle_pinch_rise" => (
            "speeding up when pinched at idle",
            "the low end is lean: it only fades",
            "",
        ),
        "idle_gap" => (
            "idle gap",
            "the stop is too far out",
            "the stop is too far in: it covers a rich low end",
        ),
        "burst_return" => (
            "return to idle after a burst",
            "",
            "it hangs: the idle stop is too far in, or the low end lean",
        ),
        "burst_early_excess" => (
            "idle just after a burst",
            "it drops and picks up: the low end is rich",
            "it stays high and then sinks as it loads up: the low end is rich",
        ),
        "snap_delay" => (
            "pick-up on a snap",
            "",
            "the low end is off: rich with a puff, lean without",
        ),
        "snap_puff" => ("puff on a snap", "", "fuel lay in the crankcase: the low end is rich"),
        "snap_misfire" => ("beats missed on a snap", "", "the low end is rich"),
        "half_misfire" => (
            "beats missed at half throttle",
            "",
            "rich in the middle: the high-speed needle first",
        ),
        "roll_on_misfire" => ("beats missed in a slow opening", "", "rich on the way up"),
        "roll_on_smoke" => ("smoke in a slow opening", "", "rich on the way up"),
        "hot_idle" => (
            "idle after two laps",
            "it sinks when hot: the low end is rich",
            "it runs up when hot: the low end is lean",
        ),
        _ => ("another check", "", ""),
    }
}

fn number(value: f64) -> String {
    match value.abs() {
        x if x >= 1000.0 => format!("{value:.0}"),
        x if x >= 10.0 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

fn check_words(check: &Check) -> String {
    let (asks, below, above) = meaning(check.name);
    let Some(value) = check.value else {
        return format!("  FAILED  {asks}: the engine died before it could be measured");
    };
    let limits = match (check.low, check.high) {
        (Some(low), Some(high)) => format!("{} to {}", number(low), number(high)),
        (Some(low), None) => format!("at least {}", number(low)),
        (None, Some(high)) => format!("at most {}", number(high)),
        (None, None) => String::new(),
    };
    let unit = check.unit;
    if check.pass {
        let room = match check.margin() {
            Some(m) if m < 0.05 => ", only just",
            _ => "",
        };
        return format!("  passed  {asks}: {} {unit} ({limits}){room}", number(value));
    }
    let why = if check.low.is_some_and(|low| value < low) {
        below
    } else {
        above
    };
    format!("  FAILED  {asks}: {} {unit} ({limits}): {why}", number(value))
}

/// A turn as a tuner says it: in twenty-fourths.
pub fn turns(value: f64) -> String {
    let clicks = (value * 24.0).round() as i64;
    if clicks == 0 {
        return "0".to_string();
    }
    let (mut top, mut bottom) = (clicks.unsigned_abs(), 24);
    for divisor in [2, 2, 2, 3] {
        if top % divisor == 0 && bottom % divisor == 0 {
            (top, bottom) = (top / divisor, bottom / divisor);
        }
    }
    let sign = if clicks < 0 { "-" } else { "+" };
    match (top / bottom, top % bottom) {
        (0, rest) => format!("{sign}{rest}/{bottom}"),
        (whole, 0) => format!("{sign}{whole}"),
        (whole, rest) => format!("{sign}{whole} {rest}/{bottom}"),
    }
}

/// The whole debrief of a practice that ended.
pub fn text(session: &Session) -> String {
    let episode = session.episode();
    let score = episode.score();
    let mut out = String::new();
    // Writing to a string can't fail.
    let _ = match episode.ending() {
        Some(Ending::Clean) => writeln!(out, "CLEAN: every check passed."),
        Some(Ending::NotClean) => writeln!(out, "NOT CLEAN: signed off, but something failed."),
        Some(Ending::Lost) => writeln!(out, "ENGINE LOST: it was run too lean, too hot or too hard too long."),
        Some(Ending::OutOfTime) => writeln!(out, "OUT OF TIME: an hour is up."),
        Some(Ending::Left) => writeln!(out, "LEFT before signing off."),
        None => writeln!(out, "Not ended yet."),
    };
    if let Some(report) = episode.report() {
        let _ = writeln!(out, "\nThe checks");
        for check in &report.checks {
            let _ = writeln!(out, "{}", check_words(check));
        }
        for warning in &report.warnings {
            let _ = writeln!(out, "  note    {warning}");
        }
    }
    for part in episode.left_at_fault() {
        let _ = writeln!(out, "  FAILED  not the mixture: `fix {}` was left undone", part.word());
    }
    screws(&mut out, session);
    if episode.report().is_some() {
        let _ = write!(out, "\nThe map\n{}", super::map::text(&episode.hidden, episode.path()));
    }
    costs(&mut out, &score);
    let _ = match session.par() {
        Some(par) => writeln!(
            out,
            "\nPar, knowing the truth: {} needle {}, {:.2} turns of rotation, {} idle-stop {}. You: {}, {:.2}, {}.",
            par.turns,
            counted(par.turns, "adjustment"),
            par.rotation_turns,
            par.idle_trims,
            counted(par.idle_trims, "trim"),
            score.turns,
            score.rotation_turns,
            score.idle_trims
        ),
        None => writeln!(out, "\nNo par: no clean setting was found near the true one."),
    };
    fewer(&mut out, session, &score);
    let _ = writeln!(out, "What this teaches: {}", session.scenario.teaches);
    out
}

/// How it could have been done in fewer turns.
fn fewer(out: &mut String, session: &Session, score: &Score) {
    let episode = session.episode();
    if !episode.ending().is_some_and(Ending::terminated) {
        return;
    }
    // Played only now: it takes longer than a start may.
    if let Ok(book) = by_the_book(&session.scenario, session.seed, session.episode_number) {
        let end = match (book.unharmed, book.clean) {
            (false, _) => "and loses the engine",
            (true, true) => "and ends clean",
            (true, false) => "and does not end clean",
        };
        let _ = writeln!(
            out,
            "By the book, knowing no more than you did: {} needle {}, {:.2} turns of rotation, {} idle-stop {}, {:.0} minutes, {:.1} s \
             too lean, {end}.",
            book.turns,
            counted(book.turns, "adjustment"),
            book.rotation_turns,
            book.idle_trims,
            counted(book.idle_trims, "trim"),
            book.minutes,
            book.lean_s
        );
    }
    let (start, truth) = (episode.hidden.start, episode.hidden.truth);
    for (screw, off) in [
        (Screw::High, truth.high_turns - start.high_turns),
        (Screw::Low, truth.low_turns - start.low_turns),
    ] {
        let way = if off < 0.0 { "in" } else { "out" };
        if off.abs() > 1.0 / 12.0 {
            let _ = writeln!(
                out,
                "In fewer: the {} had to go {way} by {} in all; one turn of that size, then a trim, does what many small ones did.",
                screw.name(),
                turns(off.abs()).trim_start_matches('+')
            );
        }
    }
    if score.lean_s > 1.0 {
        let _ = writeln!(
            out,
            "Lean seconds count before turns: come to a setting from its rich side, and look at the plug after laps."
        );
    }
    if let Some(brier) = score.brier() {
        let _ = writeln!(
            out,
            "Your judgements before the first turn: mean Brier score {brier:.2} (0 best; 0.67 is knowing nothing and saying so)."
        );
    }
}

fn counted(count: u32, what: &str) -> String {
    format!("{what}{}", if count == 1 { "" } else { "s" })
}

fn screws(out: &mut String, session: &Session) {
    let episode = session.episode();
    let (start, truth) = (episode.hidden.start, episode.hidden.truth);
    let ways = |screw| {
        if screw == Screw::Idle {
            ("in", "out")
        } else {
            ("out", "in")
        }
    };
    let _ = writeln!(out, "\nThe screws (against where they stood at the start, in turns)");
    for (screw, right) in [
        (Screw::High, truth.high_turns - start.high_turns),
        (Screw::Low, truth.low_turns - start.low_turns),
        (Screw::Idle, truth.idle_turns - start.idle_turns),
    ] {
        let (plus, minus) = ways(screw);
        let _ = writeln!(
            out,
            "  {:18} you ended at {:>7}; the true setting was at {:>7}   (+ {plus}, - {minus})",
            screw.name(),
            turns(episode.mark(screw)),
            turns(right)
        );
    }
    let path: Vec<String> = episode
        .path()
        .iter()
        .map(|s| {
            format!(
                "{}/{}/{}",
                turns(s.high_turns - start.high_turns),
                turns(s.low_turns - start.low_turns),
                turns(s.idle_turns - start.idle_turns)
            )
        })
        .collect();
    let _ = writeln!(out, "  path (high/low/idle): {}", path.join("  "));
    let blend = episode.hidden.blend;
    let _ = writeln!(
        out,
        "  in the jug: {:.1} % nitro, {:.1} % oil; the screws' ends are felt {:.2}, {:.2}, {:.2} turns beyond shut",
        blend.nitro_percent,
        blend.oil_percent,
        episode.hidden.zeros.high_turns,
        episode.hidden.zeros.low_turns,
        episode.hidden.zeros.idle_turns
    );
}

fn said(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Rich => "rich",
        Verdict::Right => "right",
        Verdict::Lean => "lean",
    }
}

fn costs(out: &mut String, score: &Score) {
    let _ = writeln!(out, "\nThe score, in the order in which it counts");
    let harm = if !score.unharmed {
        "lost".to_string()
    } else if score.damage < 0.01 {
        "unharmed".to_string()
    } else {
        format!("alive, {:.0} % of its life gone", 100.0 * score.damage)
    };
    let _ = writeln!(out, "  engine            {harm}");
    let _ = writeln!(
        out,
        "  too lean          {:.1} s, entered {} times",
        score.lean_s, score.lean_crossings
    );
    let _ = writeln!(out, "  clean             {}", if score.clean { "yes" } else { "no" });
    let _ = writeln!(
        out,
        "  turns             {} needle adjustments; beside them {} idle-stop trims",
        score.turns, score.idle_trims
    );
    let _ = writeln!(out, "  rotation          {:.2} turns", score.rotation_turns);
    let _ = writeln!(out, "  fuel              {:.1} g", score.fuel_g);
    let _ = writeln!(out, "  time              {:.1} min", score.minutes);
    if let Some(right) = score.first_turn_right {
        let way = if right {
            "in the right direction"
        } else {
            "in the wrong direction, or not needed"
        };
        let _ = writeln!(out, "  first turn        {way}");
    }
    for j in &score.judgements {
        let end = if j.end == Screw::High { "high" } else { "low" };
        let _ = writeln!(
            out,
            "  judgement         {end} end: you said {} ({} %), it was {}: Brier score {:.2} (0 best, 2 worst){}",
            said(j.said),
            j.sure_percent,
            said(j.was),
            j.brier(),
            if j.readable {
                ""
            } else {
                "; judged cold or not cleared out"
            }
        );
    }
}

#[cfg(test)]
mod tests {
    use super::turns;

    #[test]
    fn turns_are_told_in_common_fractions() {
        for (value, told) in [
            (0.125, "+1/8"),
            (-1.0 / 12.0, "-1/12"),
            (0.0, "0"),
            (1.5, "+1 1/2"),
            (-1.0, "-1"),
            (5.0 / 24.0, "+5/24"),
        ] {
            assert_eq!(turns(value), told);
        }
    }
}
