//! What was noticed in a practice and what it meant there, and which end failed, in words.

use super::check::check_name;
use super::found::{coloured, note, pinched};
use super::{clock, fraction, short, verdict};
use crate::practise::failed::FailedEnd;
use crate::practise::noticed::{Misled, Noticed, Sign};
use crate::tuning::action::{Screw, Verdict};

/// Lines at most: who reads more learns less.
const MOST: usize = 14;

fn sign(sign: Sign) -> String {
    match sign {
        Sign::Note { note: heard } => note(heard).to_string(),
        Sign::Pinch { rise } => pinched(rise).to_string(),
        Sign::Plug { colour } => format!("plug {}", coloured(colour)),
        Sign::Gun { head_c } => format!("gun: {head_c:.0} °C on the head"),
    }
}

/// How a needle stood that was so far off.
fn stood(off_turns: f64) -> String {
    match off_turns {
        off if off.abs() < 1.0 / 48.0 => "right".to_string(),
        off if off > 0.0 => format!("rich by {}", fraction(off)),
        off => format!("lean by {}", fraction(off)),
    }
}

fn why(misled: Misled) -> String {
    match misled {
        Misled::Cold => "the engine was cold".to_string(),
        Misled::Fault { part } => format!("that was no mixture: `fix {}` was called for", part.word()),
        Misled::LoadedUp => "an engine full of fuel stays high, too, until that is burnt".to_string(),
        Misled::IdleStop => "the idle stop made the idle what it was".to_string(),
        Misled::OtherEnd => "the other end was so far off that it was heard here".to_string(),
        Misled::OnlySoGood => "this sign is only so good: ask a second one".to_string(),
    }
}

fn line(noticed: &Noticed) -> String {
    let when = match noticed.adjustments {
        0 => "as found".to_string(),
        1 => "after 1 turn".to_string(),
        turns => format!("after {turns} turns"),
    };
    let end = short(noticed.says.end);
    let truth = match noticed.misled {
        None => match noticed.says.verdict {
            Verdict::Right if stood(noticed.stood_turns) == "right" => "so it was".to_string(),
            Verdict::Right => format!("near enough: it was {}", stood(noticed.stood_turns)),
            _ => format!("so it was, {}", stood(noticed.stood_turns)),
        },
        Some(misled) => format!(
            "it MISLED: the {end} end was {}; {}",
            stood(noticed.stood_turns),
            why(misled)
        ),
    };
    format!(
        "  {}  {when:14} {}: says the {end} end is {}; {truth}",
        clock(noticed.clock_s),
        sign(noticed.sign),
        verdict(noticed.says.verdict),
    )
}

/// How much a line is worth telling: what misled, then what was asked for, then what was heard in passing, the wrong before the right.
fn worth(noticed: &Noticed) -> u8 {
    match (noticed.misled, noticed.sign, noticed.says.verdict) {
        (Some(_), ..) => 3,
        (None, Sign::Note { .. }, Verdict::Right) => 0,
        (None, Sign::Note { .. }, _) => 1,
        (None, ..) => 2,
    }
}

/// Those that are worth telling, in the order in which they were noticed, and those that are left out.
fn chosen(all: &[Noticed]) -> (Vec<usize>, Vec<usize>) {
    let mut chosen: Vec<usize> = (0..all.len()).collect();
    chosen.sort_by_key(|at| (std::cmp::Reverse(worth(&all[*at])), *at));
    let left_out = chosen.split_off(chosen.len().min(MOST));
    chosen.sort_unstable();
    (chosen, left_out)
}

/// What is worth telling of what was noticed, each with its line.
pub fn noticed_signs(all: &[Noticed]) -> impl Iterator<Item = (&Noticed, String)> {
    let told = chosen(all).0.into_iter();
    told.map(|at| (&all[at], line(&all[at])))
}

/// What was noticed, line by line, in the order in which it was.
pub(super) fn noticed(all: &[Noticed]) -> Vec<String> {
    if all.is_empty() {
        return vec!["  nothing that tells rich from lean: run it, open it, pinch it, and listen".to_string()];
    }
    let (chosen, left_out) = chosen(all);
    let mut lines: Vec<String> = chosen.into_iter().map(|at| line(&all[at])).collect();
    let true_ones = left_out.iter().filter(|at| all[**at].misled.is_none()).count();
    if !left_out.is_empty() {
        lines.push(format!(
            "  and {} more, {true_ones} of them as they said",
            left_out.len()
        ));
    }
    lines
}

/// An end that failed, and what to do about it.
pub(super) fn failed(end: &FailedEnd) -> String {
    let checks: Vec<String> = end.checks.iter().map(|check| check_name(*check)).collect();
    let far = fraction(end.off_turns);
    let (what, cure) = match (end.end, end.stood) {
        (Screw::Idle, Verdict::Rich) => (
            format!("the idle stop is in by {far} too much"),
            format!("out by {far}, once both ends are right"),
        ),
        (Screw::Idle, Verdict::Lean) => (
            format!("the idle stop is out by {far} too much"),
            format!("in by {far}, once both ends are right"),
        ),
        (Screw::Idle, Verdict::Right) => (
            "the idle, though its stop stands right".to_string(),
            "both ends stand near the edge of clean: the needles first".to_string(),
        ),
        (needle, Verdict::Right) => (
            format!("the {} end, though its needle stands within 1/24", short(needle)),
            "what is heard there comes from elsewhere: the other end, the idle stop, or a part at fault".to_string(),
        ),
        (needle, Verdict::Lean) => (
            format!("the {} end is lean by {far}", short(needle)),
            format!("out by {far}; on the rich side nothing is harmed"),
        ),
        (needle, Verdict::Rich) => (
            format!("the {} end is rich by {far}", short(needle)),
            format!("{}, and listen", leaning(end.off_turns)),
        ),
    };
    format!("  {what} ({}): {cure}", checks.join(", "))
}

/// How somebody leans a needle that has so far to go.
pub(super) fn leaning(turns: f64) -> String {
    let far = fraction(turns);
    if turns.abs() <= 0.13 {
        format!("in by {far}")
    } else {
        format!("in by {far} in all, an eighth at a time at most, with full throttle and the gun after each")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::checks::CheckName;
    use crate::bench::instruments::PlugColour;
    use crate::practise::noticed::Saying;

    fn plug(stood_turns: f64, misled: Option<Misled>) -> Noticed {
        Noticed {
            clock_s: 80.0,
            adjustments: 2,
            sign: Sign::Plug {
                colour: PlugColour::Moist,
            },
            says: Saying {
                end: Screw::High,
                verdict: Verdict::Right,
            },
            stood_turns,
            misled,
        }
    }

    #[test]
    fn a_sign_is_told_with_what_it_meant_and_why_it_misled() {
        let told = noticed(&[plug(0.08, None), plug(0.25, Some(Misled::Cold))]);
        assert_eq!(
            told,
            [
                "  01:20  after 2 turns  plug moist and shiny: about right on the straight, to a sixth of a turn: says the high end is right; near enough: it was rich by 1/12",
                "  01:20  after 2 turns  plug moist and shiny: about right on the straight, to a sixth of a turn: says the high end is right; it MISLED: the high end \
                 was rich by 1/4; the engine was cold",
            ]
        );
    }

    #[test]
    fn of_many_signs_those_that_misled_are_told() {
        let mut all = vec![plug(0.0, None); 30];
        all[20] = plug(0.25, Some(Misled::OnlySoGood));
        let told = noticed(&all);
        assert_eq!(told.len(), MOST + 1);
        assert!(told.iter().any(|line| line.contains("MISLED")));
        assert_eq!(told.last().unwrap(), "  and 16 more, 16 of them as they said");
    }

    /// Whoever believes it must not seize an engine: the way in is an eighth at a time.
    #[test]
    fn no_advice_leans_by_more_than_an_eighth_at_once() {
        for (end, off_turns) in [(Screw::High, 0.5), (Screw::Low, 0.3), (Screw::High, 2.0)] {
            let told = failed(&FailedEnd {
                end,
                stood: Verdict::Rich,
                off_turns,
                checks: vec![CheckName::FullPower],
            });
            assert!(told.contains("an eighth at a time at most"), "{told}");
        }
        assert_eq!(leaning(0.125), "in by 1/8");
    }
}
