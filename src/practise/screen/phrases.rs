//! The screen's words for screws, actions and hints: what is done, and with which keys.

use crate::practise::debrief::turns;
use crate::tuning::action::{Action, Screw, Verdict};

/// Steps of a screw, turns.
pub const STEPS: [f64; 4] = [1.0 / 24.0, 1.0 / 12.0, 1.0 / 8.0, 1.0 / 4.0];

/// A screw in one word.
pub fn short(screw: Screw) -> &'static str {
    match screw {
        Screw::High => "high",
        Screw::Low => "low",
        Screw::Idle => "idle stop",
    }
}

/// The key that takes hold of a screw.
pub fn key(screw: Screw) -> char {
    match screw {
        Screw::High => 'h',
        Screw::Low => 'l',
        Screw::Idle => 't',
    }
}

/// Whether turning by so much is inward, clockwise.
pub fn inward(screw: Screw, turns: f64) -> bool {
    (turns > 0.0) == (screw == Screw::Idle)
}

/// A turn with its way: `in 1/8`.
pub fn way(screw: Screw, by: f64) -> String {
    let fraction = turns(by.abs());
    format!(
        "{} {}",
        if inward(screw, by) { "in" } else { "out" },
        fraction.trim_start_matches('+')
    )
}

/// Where a screw stands against its start: `in 1/8`, or `as found`.
pub fn mark(screw: Screw, by: f64) -> String {
    if turns(by) == "0" {
        "as found".to_string()
    } else {
        way(screw, by)
    }
}

/// What the mark does: `leaner`, `faster` and so on; nothing where it stands as found.
pub fn effect(screw: Screw, by: f64) -> &'static str {
    if turns(by) == "0" {
        return "";
    }
    match (screw, by > 0.0) {
        (Screw::Idle, true) => "faster",
        (Screw::Idle, false) => "slower",
        (_, true) => "richer",
        (_, false) => "leaner",
    }
}

/// A verdict in one word.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Rich => "rich",
        Verdict::Right => "right",
        Verdict::Lean => "lean",
    }
}

/// Minutes and seconds.
pub fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0).floor();
    format!("{:02.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
}

/// A span of time.
pub fn span(seconds: f64) -> String {
    let whole = seconds.round();
    let (minutes, rest) = ((whole / 60.0).floor(), whole % 60.0);
    match (minutes > 0.0, rest > 0.0) {
        (false, _) => format!("{rest:.0} s"),
        (true, false) => format!("{minutes:.0} min"),
        (true, true) => format!("{minutes:.0} min {rest:.0} s"),
    }
}

/// What an action is, as something to do.
pub fn doing(action: &Action) -> String {
    match action {
        Action::Turn { screw, turns } => {
            let name = screw.name();
            let (first, rest) = name.split_at(1);
            format!("{}{rest} {}", first.to_uppercase(), way(*screw, *turns))
        }
        Action::Throttle { position } | Action::Hold { position, ms: 0 } => {
            format!("Throttle {:.0} %", 100.0 * position)
        }
        Action::Hold { position, ms } if *position >= 1.0 => {
            format!("Full throttle for {}", span(f64::from(*ms) / 1e3))
        }
        Action::Hold { position, ms } => {
            format!("{:.0} % throttle for {}", 100.0 * position, span(f64::from(*ms) / 1e3))
        }
        Action::Wait { ms } => format!("Let go, and wait {}", span(f64::from(*ms) / 1e3)),
        Action::Gun => "Read the temperature gun".to_string(),
        Action::Inspect => "Look everything over".to_string(),
        Action::Pinch => "Pinch test".to_string(),
        Action::Plug => "Pull and read the plug".to_string(),
        Action::Warm => "Warm it up".to_string(),
        Action::Laps { laps } => format!("Drive {laps} laps"),
        Action::Fuel => "Fill the tank".to_string(),
        Action::Stop => "Stop the engine".to_string(),
        Action::Start => "Start the engine".to_string(),
        Action::Fix { part } => format!("Put right: {}", part.word()),
        Action::Judge { end, .. } => format!("Judge the {} end", short(*end)),
        Action::SignOff => "Sign off".to_string(),
        Action::Leave => "Leave".to_string(),
    }
}

/// The keys that do it, with a step of `step` turns in hand.
pub fn keys(action: &Action, step: f64) -> String {
    match action {
        Action::Turn { screw, turns } => {
            let letter = if inward(*screw, *turns) { 'i' } else { 'o' };
            let times = |step: f64| (turns.abs() / step).round();
            let fits = |step: &f64| (times(*step) * step - turns.abs()).abs() < 1e-6 && times(*step) >= 1.0;
            let many = |n: f64| {
                if n > 1.0 {
                    format!(" {n:.0} times")
                } else {
                    String::new()
                }
            };
            let key = key(*screw);
            if fits(&step) {
                format!("{key}, then {letter}{}", many(times(step)))
            } else {
                match STEPS.iter().rev().find(|s| fits(s)) {
                    Some(s) => format!("{key}, c to step {}, {letter}{}", step_name(*s), many(times(*s))),
                    None => format!("{key}, then {letter}"),
                }
            }
        }
        Action::Throttle { position } | Action::Hold { position, .. } if *position >= 1.0 => {
            "hold Space; or Space k, later k".to_string()
        }
        Action::Throttle { position } | Action::Hold { position, .. } => {
            format!("hold {:.0}", (10.0 * position).round())
        }
        Action::Wait { .. } => "wait, or > for 10 s at once".to_string(),
        Action::Gun => "g".to_string(),
        Action::Inspect => "v".to_string(),
        Action::Pinch => "p".to_string(),
        Action::Plug => "u".to_string(),
        Action::Warm => "w".to_string(),
        Action::Laps { .. } => "d".to_string(),
        Action::Fuel => "f".to_string(),
        Action::Stop | Action::Start => "e".to_string(),
        Action::Fix { .. } => "m".to_string(),
        Action::Judge { .. } => "j".to_string(),
        Action::SignOff => "Enter".to_string(),
        Action::Leave => "q".to_string(),
    }
}

/// What was done, for the notebook; nothing where what was found says it all.
pub fn done(action: &Action, took_s: f64, running: bool) -> Option<String> {
    let took = |what: &str| Some(format!("{what}, {}", span(took_s)));
    match action {
        Action::Warm if took_s < 1.0 => Some("it is warm already".to_string()),
        Action::Warm => took("warmed up"),
        Action::Laps { laps } => took(&format!("drove {laps} laps")),
        Action::Fuel => took("filled the tank"),
        Action::Inspect => took("looked everything over"),
        Action::Plug => took("stopped it, pulled the plug"),
        Action::Pinch => took("pinched the fuel line"),
        Action::Fix { part } => took(&format!("put right: {}", part.word())),
        Action::Stop => Some("stopped the engine".to_string()),
        Action::Start if running => Some("started it".to_string()),
        Action::Start => Some("it did not stay alight".to_string()),
        Action::Judge {
            end,
            verdict: said,
            sure_percent,
        } => Some(format!(
            "{} end judged {}, {sure_percent} %",
            short(*end),
            verdict(*said)
        )),
        _ => None,
    }
}

/// A step as a fraction.
pub fn step_name(step: f64) -> String {
    turns(step).trim_start_matches('+').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::words::{CLICK_TURNS, Line, read};

    fn hint(line: &str, step: f64) -> (String, String) {
        match read(line) {
            Ok(Line::Act(action)) => (doing(&action), keys(&action, step)),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn hints_come_with_their_keys() {
        let pairs = |line, step| {
            let (doing, keys) = hint(line, step);
            format!("{doing}: {keys}")
        };
        assert_eq!(
            pairs("high in 1/8", CLICK_TURNS),
            "High-speed needle in 1/8: h, then i 3 times"
        );
        assert_eq!(pairs("high in 1/8", 0.125), "High-speed needle in 1/8: h, then i");
        assert_eq!(
            pairs("low out 1/12", 0.125),
            "Low-speed needle out 1/12: l, c to step 1/12, o"
        );
        assert_eq!(pairs("idle out 1/4", 0.125), "Idle stop out 1/4: t, then o 2 times");
        assert_eq!(
            pairs("full 3", 0.125),
            "Full throttle for 3 s: hold Space; or Space k, later k"
        );
        assert_eq!(pairs("sign off", 0.125), "Sign off: Enter");
    }

    #[test]
    fn marks_say_way_and_effect() {
        assert_eq!(mark(Screw::High, -0.125), "in 1/8");
        assert_eq!(effect(Screw::High, -0.125), "leaner");
        assert_eq!(mark(Screw::Idle, 0.25), "in 1/4");
        assert_eq!(effect(Screw::Idle, 0.25), "faster");
        assert_eq!(
            (mark(Screw::Low, 0.0).as_str(), effect(Screw::Low, 0.0)),
            ("as found", "")
        );
    }
}
