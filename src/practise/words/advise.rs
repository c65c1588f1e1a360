//! Words of the advice at a real engine: how an end stands, what to try next and why, which turn, and when nothing is known.

use crate::insight::advise::{Advice, End, Test, Turn};
use crate::tuning::action::{Part, Screw, Verdict};

/// What a test is, as something to do.
pub fn test(test: Test) -> &'static str {
    match test {
        Test::Inspect => "stop it and look everything over: lines, filter, seal, plug, brake, tank",
        Test::FullThrottle => "warm it up, hold full throttle for three seconds, and listen to its beats and pitch",
        Test::RollOn => "open the throttle slowly, over some eight seconds, and listen where it stutters",
        Test::Idle => "let it idle for ten seconds after a burst, and listen to its pitch and whether it keeps it",
        Test::Burst => "give it a burst, shut the throttle, and follow how the speed comes down",
        Test::Snap => {
            "let it idle for ten seconds, then snap the throttle open: how soon it picks up, and whether it puffs"
        }
        Test::Pinch => "pinch the fuel line at idle, let go as it fades, and hear how much it speeds up first",
        Test::Plug => "shut it off from full throttle, pull the plug and look at its colour",
        Test::Laps => "drive two laps: how it pulls, how it leaves the corners, how it idles as it comes in",
    }
}

/// Why a test is the next.
pub fn because(test: Test) -> &'static str {
    match test {
        Test::Inspect => {
            "what was found may well be no needle, and a needle turned for a part at fault is turned twice"
        }
        Test::FullThrottle => "only full throttle shows the high end by itself",
        Test::RollOn => "it passes from the low to the high end, and stutters where the mixture is off",
        Test::Idle => "its pitch and course tell the low end and the stop",
        Test::Burst => "a lean low end hangs high, a rich one drops and burbles",
        Test::Snap => "a low end that is off bogs, with a puff if it is rich and without one if it is lean",
        Test::Pinch => "a rich low end speeds up for long, a lean one fades soon",
        Test::Plug => "it has the last word on the high end: pale is lean, wet is rich",
        Test::Laps => "warm and under load it says most about both ends",
    }
}

/// How likely an end stands each way.
fn shares(end: End) -> String {
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    format!(
        "rich {}, right {}, lean {}",
        percent(end.rich),
        percent(end.right),
        percent(end.lean)
    )
}

/// How an end stands.
pub fn end(end: End) -> String {
    let each = shares(end);
    match end.likeliest() {
        (_, share) if share < 0.6 => format!("don't know: {each}"),
        (Verdict::Rich, _) => format!("rich, most likely ({each})"),
        (Verdict::Right, _) => format!("right, most likely ({each})"),
        (Verdict::Lean, _) => format!("LEAN, most likely ({each})"),
    }
}

/// A part that may be at fault.
pub fn part(part: Part) -> &'static str {
    match part {
        Part::Leak => "a leaking carburettor seal",
        Part::Line => "a clogged fuel line or filter",
        Part::Pressure => "a leaking pressure line",
        Part::Plug => "a tired glow plug",
        Part::Filter => "a clogged air filter",
        Part::Brake => "a dragging brake",
        Part::Tank => "a pick-up that draws foam",
    }
}

/// The turn.
pub fn turn(turn: Turn) -> String {
    let screw = match turn.screw {
        Screw::High => "high-speed needle",
        Screw::Low => "low-speed needle",
        Screw::Idle => "idle stop",
    };
    let clicks = (turn.turns.abs() * 24.0).round();
    if turn.turns > 0.0 {
        format!("open the {screw} by {clicks:.0}/24 turn (richer), clear it out, and listen again")
    } else {
        format!("close the {screw} by no more than {clicks:.0}/24 turn (leaner), clear it out, and listen again")
    }
}

/// Why the turn is for more fuel though the ends may sound otherwise, where an alarm asks for it.
pub fn turn_because(advice: &Advice) -> Option<String> {
    let heard = match (advice.alarms.contains(&"plug"), advice.alarms.len()) {
        (_, 0) => return None,
        (true, 1) => "specks on the plug tell of",
        (false, _) => "a crackle is",
        (true, _) => "a crackle and specks on the plug tell of",
    };
    Some(format!(
        "for safety, however the ends stand: {heard} detonation, which ruins an engine; more fuel cools it and stops it"
    ))
}

/// How the ends stand, or what is only believed of them beforehand.
fn ends(advice: &Advice) -> String {
    let (high, low) = (advice.high, advice.low);
    if advice.assumed {
        return format!(
            "nothing was seen or heard yet; of any engine of the kind this is assumed beforehand:\nhigh end: {}\nlow end:  {}\n",
            shares(high),
            shares(low)
        );
    }
    format!("high end: {}\nlow end:  {}\n", end(high), end(low))
}

/// All of it.
pub fn advice(advice: &Advice) -> String {
    let mut out = ends(advice);
    for fault in advice.faults.iter().filter(|fault| fault.probability >= 0.1) {
        out += &format!(
            "maybe no needle: {} ({:.0} %)\n",
            part(fault.part),
            100.0 * fault.probability
        );
    }
    if !advice.contradicts.is_empty() {
        out += &format!(
            "these don't go together in any engine of the kind: {}; try them again, warm and cleared out\n",
            advice.contradicts.join(", ")
        );
    }
    match advice.turn {
        Some(which) => out += &format!("turn: {}\n", turn(which)),
        None if advice.assumed => out += "turn: nothing yet; listen first\n",
        None => out += "turn: nothing yet; what was found doesn't tell enough\n",
    }
    if let Some(because) = turn_because(advice) {
        out += &format!("      ({because})\n");
    }
    if let Some(next) = advice.next {
        out += &format!("next: {}\n      ({})\n", test(next), because(next));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rich ends, told by these alarms.
    fn told(alarms: &[&'static str], assumed: bool) -> String {
        let rich = End {
            rich: 0.9,
            right: 0.06,
            lean: 0.04,
        };
        advice(&Advice {
            high: rich,
            low: rich,
            faults: Vec::new(),
            next: None,
            turn: (!assumed).then_some(Turn {
                screw: Screw::High,
                turns: if alarms.is_empty() { -0.25 } else { 0.125 },
            }),
            alarms: alarms.to_vec(),
            assumed,
            contradicts: Vec::new(),
        })
    }

    #[test]
    fn a_turn_out_for_an_alarm_tells_which_and_why() {
        for (alarms, heard) in [
            (&["crackles"][..], ": a crackle is detonation"),
            (&["straight"], ": a crackle is detonation"),
            (&["plug"], ": specks on the plug tell of detonation"),
            (
                &["plug", "straight"],
                ": a crackle and specks on the plug tell of detonation",
            ),
        ] {
            let told = told(alarms, false);
            assert!(told.contains("rich, most likely") && told.contains(heard), "{told}");
            assert!(told.contains("more fuel cools it and stops it"), "{told}");
        }
        assert!(!told(&[], false).contains("detonation"));
    }

    #[test]
    fn before_anything_was_heard_nothing_is_concluded() {
        let told = told(&[], true);
        assert!(
            told.contains("assumed beforehand") && told.contains("rich 90 %"),
            "{told}"
        );
        assert!(!told.contains("most likely") && told.contains("listen first"), "{told}");
    }
}
