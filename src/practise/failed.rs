//! Which end of the mixture failed: the checks that failed, each given to the screw that it speaks of, against where that screw stood.

use serde::Serialize;

use crate::bench::checks::{CheckName, Report};
use crate::tuning::action::{Screw, Verdict};
use crate::tuning::episode::Episode;

/// A needle within this of the true setting is not what failed, while the other one is further off, turns.
const INNOCENT_TURNS: f64 = 1.0 / 16.0;
/// A screw nearer than this stands right, turns: one click of it.
const RIGHT_TURNS: f64 = 1.0 / 24.0;

/// A screw that failed checks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FailedEnd {
    /// The high-speed needle for the high end, the low-speed needle for the low end, or the idle stop.
    pub end: Screw,
    /// How it stood: rich is too far in for the idle stop.
    pub stood: Verdict,
    /// How far from the true setting: rich is positive.
    pub off_turns: f64,
    /// What failed.
    pub checks: Vec<CheckName>,
}

/// The screw that a check speaks of.
fn speaks_of(check: CheckName) -> Screw {
    match check {
        CheckName::FullRichOfBestPower
        | CheckName::FullPower
        | CheckName::FullDetonation
        | CheckName::FullHeadTemperature
        | CheckName::HalfMisfire
        | CheckName::RollOnMisfire
        | CheckName::RollOnSmoke => Screw::High,
        CheckName::IdleGap | CheckName::IdleSpeed => Screw::Idle,
        _ => Screw::Low,
    }
}

/// The ends that failed in a report of how a practice was left, the most failed first.
pub fn failed_ends(report: &Report, episode: &Episode) -> Vec<FailedEnd> {
    let off = Screw::ALL.map(|screw| episode.off(screw));
    let far = |screw: Screw| off[screw as usize].abs() > INNOCENT_TURNS;
    // What is heard at one end is made by the other where that alone is off: the needles are in series, and both make the idle's speed.
    let made_by = |end: Screw| {
        let others = match end {
            Screw::High => [Screw::Low, Screw::High],
            Screw::Low => [Screw::High, Screw::Idle],
            Screw::Idle => [Screw::Low, Screw::High],
        };
        let stands = if end == Screw::Idle {
            off[2].abs() > RIGHT_TURNS
        } else {
            far(end)
        };
        if stands {
            return end;
        }
        others.into_iter().find(|other| far(*other)).unwrap_or(end)
    };
    let mut ends: Vec<FailedEnd> = Vec::new();
    for check in report.failed() {
        let end = made_by(speaks_of(check));
        let off_turns = off[end as usize];
        match ends.iter_mut().find(|failed| failed.end == end) {
            Some(failed) => failed.checks.push(check),
            None => ends.push(FailedEnd {
                end,
                stood: if off_turns.abs() <= RIGHT_TURNS {
                    Verdict::Right
                } else if off_turns > 0.0 {
                    Verdict::Rich
                } else {
                    Verdict::Lean
                },
                off_turns,
                checks: vec![check],
            }),
        }
    }
    // A part at fault makes what no needle does: only a screw that stands far off is blamed beside it.
    if !episode.left_at_fault().is_empty() {
        ends.retain(|failed| far(failed.end));
    }
    ends.sort_by_key(|failed| std::cmp::Reverse(failed.checks.len()));
    ends
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::Source;
    use crate::practise::session::{Level, Session};
    use crate::tuning::action::Action;
    use crate::tuning::scenario::{Scenario, source};

    /// The ends that fail a sign-off so far from the truth, with a fault or none.
    fn failed(fault: &str, off: [f64; 3]) -> Vec<FailedEnd> {
        let text = format!("{}\n{fault}", source("lesson-1").unwrap().text);
        let scenario = Scenario::read(&Source::new("mine", &text)).unwrap();
        let mut session = Session::start(scenario, Level::ByEar, 3, 0).unwrap();
        for (screw, off) in Screw::ALL.into_iter().zip(off) {
            let turns = off - session.episode().off(screw);
            session.act(&Action::Turn { screw, turns }).unwrap();
        }
        failed_ends(&session.episode().as_left(), session.episode())
    }

    #[test]
    fn the_end_that_stands_off_is_the_one_that_failed() {
        for (off, end, stood) in [
            ([0.7, 0.0, 0.0], Screw::High, Verdict::Rich),
            ([-0.5, 0.0, 0.0], Screw::High, Verdict::Lean),
            ([0.0, 0.4, 0.0], Screw::Low, Verdict::Rich),
            ([0.0, -0.3, 0.0], Screw::Low, Verdict::Lean),
            ([0.0, 0.0, 1.5], Screw::Idle, Verdict::Rich),
        ] {
            let ends = failed("", off);
            assert_eq!(ends.len(), 1, "{off:?}: {ends:?}");
            assert_eq!((ends[0].end, ends[0].stood), (end, stood), "{off:?}");
            assert!(!ends[0].checks.is_empty());
        }
    }

    #[test]
    fn a_part_at_fault_is_not_blamed_on_a_needle_that_stands_right() {
        let leaks = "[fault]\nchance_percent = 100\nair_leak_mm2 = 0.6\n";
        assert_eq!(failed(leaks, [0.0, 0.0, 0.0]), []);
        assert_eq!(failed(leaks, [0.0, 0.5, 0.0])[0].end, Screw::Low);
    }
}
