//! With which keys of the screen something is done.

use crate::practise::words::{fraction, inward};
use crate::tuning::action::{Action, Screw};

/// Steps of a screw, turns.
pub const STEPS: [f64; 4] = [1.0 / 24.0, 1.0 / 12.0, 1.0 / 8.0, 1.0 / 4.0];

/// The key that takes hold of a screw.
pub fn key(screw: Screw) -> char {
    match screw {
        Screw::High => 'h',
        Screw::Low => 'l',
        Screw::Idle => 't',
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
                    Some(s) => format!("{key}, c to step {}, {letter}{}", fraction(*s), many(times(*s))),
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
        Action::RollOn => "r".to_string(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::words::{CLICK_TURNS, Line, doing, read};

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
}
