//! What a practice cost, in words: wear and lean seconds by cause, turns, what was said of the ends.

use super::event::{lean, life, wear};
use super::{short, verdict};
use crate::tuning::score::{FirstTurn, Judgement, Score};
use crate::tuning::sums::{LeanCause, WearCause};

/// Wear by one cause below this share of a life is not told.
const TOLD_SHARE: f64 = 0.001;
/// And from this one on it is told how to spare the engine (assumed).
const HARM_SHARE: f64 = 0.02;

/// `count` of something.
pub(super) fn counted(count: u32, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// The wear by cause, the worst first; empty where there is none to tell.
pub(super) fn worn(score: &Score) -> String {
    let causes = score.wear.worst(TOLD_SHARE);
    let told: Vec<String> = causes
        .iter()
        .map(|(cause, share)| format!("{} {}", wear(*cause), life(*share)))
        .collect();
    told.join(", ")
}

/// How to spare an engine what wore this one.
pub(super) fn spared(score: &Score) -> Vec<String> {
    let causes = score.wear.worst(HARM_SHARE);
    let words = causes.iter().map(|(cause, _)| match cause {
        WearCause::Detonation => {
            "It knocked under load: shut the throttle at the first crackle, and give fuel at the high-speed needle."
        }
        WearCause::Overheating => {
            "The head got too hot: read the gun between laps, and give fuel at the high-speed needle when it climbs."
        }
        WearCause::ThinOil => {
            "Oil comes with the fuel: opened before fuel has come through, or starved, an engine runs dry."
        }
        WearCause::Revving => "Wheels up an engine revs beyond what its rod bears: open it for seconds, or drive it.",
        WearCause::ColdRunning => "A cold engine bears no open throttle: `warm` it first, gently.",
    });
    words.map(|words| format!("  {words}")).collect()
}

/// The score, line by line.
pub(super) fn costs(score: &Score) -> Vec<String> {
    let harm = if !score.unharmed {
        "lost".to_string()
    } else if score.damage < 0.01 {
        "unharmed".to_string()
    } else {
        format!("alive, {} of its life gone", life(score.damage))
    };
    let by_cause = match worn(score) {
        causes if causes.is_empty() => String::new(),
        causes => format!(": {causes}"),
    };
    let starved: Vec<String> = LeanCause::ALL
        .iter()
        .filter(|cause| score.lean.of(**cause) >= 0.05)
        .map(|cause| format!("{:.1} s {}", score.lean.of(*cause), lean(*cause)))
        .collect();
    let starved = if starved.is_empty() {
        String::new()
    } else {
        format!(": {}", starved.join(", "))
    };
    let times = match score.lean_crossings {
        0 => String::new(),
        1 => ", entered once".to_string(),
        times => format!(", entered {times} times"),
    };
    let clean = match (score.clean, score.safe_clean) {
        (true, true) => "race-clean and safe-clean",
        (true, false) => "race-clean, not safe-clean",
        (false, _) => "no",
    };
    let mut lines = vec![
        format!("  engine            {harm}{by_cause}"),
        format!("  too lean          {:.1} s{times}{starved}", score.lean_s),
        format!("  clean             {clean}"),
        format!(
            "  turns             {}; beside them {}",
            counted(score.turns, "needle adjustment"),
            counted(score.idle_trims, "idle-stop trim")
        ),
        format!("  rotation          {:.2} turns", score.rotation_turns),
        format!("  fuel              {:.1} g", score.fuel_g),
        format!("  time              {:.1} min", score.minutes),
    ];
    if score.cures > 0 {
        lines.push(format!(
            "  put right         {}, {} in vain; {} €",
            counted(score.cures, "part"),
            score.cures_in_vain,
            score.cures_euros
        ));
    }
    if let Some(turn) = score.first_turn {
        let way = match turn {
            FirstTurn::Right => "in the right direction",
            FirstTurn::WrongWay => "in the wrong direction",
            FirstTurn::NotNeeded => "not needed: that needle stood right",
        };
        lines.push(format!("  first turn        {way}"));
    }
    lines.extend(score.judgements.iter().map(judgement));
    lines.extend(mean(score.brier(), "before the first turn"));
    lines.extend(mean(score.later_brier(), "after it"));
    lines
}

fn judgement(j: &Judgement) -> String {
    let when = match j.turns_before {
        0 => String::new(),
        turns => format!(", after {}", counted(turns, "turn")),
    };
    format!(
        "  judgement         {} end{when}: you said {} ({} %), it was {}: Brier score {:.2}{}",
        short(j.end),
        verdict(j.said),
        j.sure_percent,
        verdict(j.was),
        j.brier(),
        if j.readable {
            ""
        } else {
            "; judged cold or not cleared out"
        }
    )
}

fn mean(brier: Option<f64>, when: &str) -> Option<String> {
    let brier = brier?;
    Some(format!(
        "                    {when} on average {brier:.2} (0 is sure and right, 2 sure and wrong, 0.67 knowing nothing and saying so)"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::action::{Screw, Verdict};
    use crate::tuning::sums::{LeanSeconds, Wear};

    fn score() -> Score {
        let judgement = |turns_before, sure_percent| Judgement {
            end: Screw::Low,
            said: Verdict::Lean,
            sure_percent,
            was: Verdict::Rich,
            readable: true,
            turns_before,
        };
        Score {
            unharmed: true,
            damage: 0.05,
            wear: Wear {
                cold_running: 0.03,
                revving: 0.02,
                ..Wear::default()
            },
            lean_s: 3.0,
            lean: LeanSeconds {
                needles_s: 2.0,
                starved_s: 1.0,
            },
            clean: true,
            safe_clean: false,
            turns: 1,
            idle_trims: 2,
            rotation_turns: 0.25,
            fuel_g: 10.0,
            minutes: 4.0,
            first_turn_right: Some(false),
            first_turn: Some(FirstTurn::NotNeeded),
            lean_crossings: 1,
            judgements: vec![judgement(0, 100), judgement(3, 34)],
            cures: 1,
            cures_in_vain: 1,
            cures_euros: 9,
        }
    }

    #[test]
    fn what_it_cost_is_told_by_cause_and_a_turn_not_needed_is_no_wrong_one() {
        let told = costs(&score()).join("\n");
        for words in [
            "alive, 5 % of its life gone: open throttle on a cold engine 3 %, revving with the wheels up 2 %",
            "3.0 s, entered once: 2.0 s by its needles, 1.0 s for want of fuel, whatever the needles",
            "race-clean, not safe-clean",
            "1 needle adjustment; beside them 2 idle-stop trims",
            "not needed: that needle stood right",
            "1 part, 1 in vain; 9 €",
            "low end, after 3 turns: you said lean (34 %)",
            "before the first turn on average 2.00",
            "after it on average 0.67",
        ] {
            assert!(told.contains(words), "{words}\n{told}");
        }
        let wrong = Score {
            first_turn: Some(FirstTurn::WrongWay),
            ..score()
        };
        assert!(costs(&wrong).join("\n").contains("in the wrong direction"));
        assert_eq!(spared(&score()).len(), 2);
    }
}
