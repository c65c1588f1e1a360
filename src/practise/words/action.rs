//! Screws and actions in words: as one would type them, as something to do, and as something done.

use super::number::{clicks, fraction, of_turns, span};
use crate::tuning::action::{Action, Screw, Verdict};

/// A screw in one word.
pub fn short(screw: Screw) -> &'static str {
    match screw {
        Screw::High => "high",
        Screw::Low => "low",
        Screw::Idle => "idle stop",
    }
}

/// Whether turning by so much is inward, clockwise.
pub fn inward(screw: Screw, turns: f64) -> bool {
    match screw {
        Screw::Idle => turns > 0.0,
        Screw::High | Screw::Low => turns < 0.0,
    }
}

/// A turn with its way: `in 1/8`.
pub fn way(screw: Screw, by: f64) -> String {
    format!("{} {}", if inward(screw, by) { "in" } else { "out" }, fraction(by))
}

/// The same with its unit: `in 1/8 turn`, `out 1 1/2 turns`.
pub fn way_of_turns(screw: Screw, by: f64) -> String {
    format!("{} {}", if inward(screw, by) { "in" } else { "out" }, of_turns(by))
}

/// Where a screw stands against its start: `in 1/8`, or `as found`.
pub fn mark(screw: Screw, by: f64) -> String {
    if clicks(by) == 0 {
        "as found".to_string()
    } else {
        way(screw, by)
    }
}

/// What the mark does: `leaner`, `faster` and so on; nothing where it stands as found.
pub fn effect(screw: Screw, by: f64) -> Option<&'static str> {
    (clicks(by) != 0).then_some(match (screw, by > 0.0) {
        (Screw::Idle, true) => "faster",
        (Screw::Idle, false) => "slower",
        (_, true) => "richer",
        (_, false) => "leaner",
    })
}

/// A verdict in one word.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Rich => "rich",
        Verdict::Right => "right",
        Verdict::Lean => "lean",
    }
}

/// A screw and the way it is turned, as one types them.
fn typed(screw: Screw, by: f64) -> String {
    let name = match screw {
        Screw::High => "high",
        Screw::Low => "low",
        Screw::Idle => "idle",
    };
    format!("{name} {}", if inward(screw, by) { "in" } else { "out" })
}

/// An action as one would type it, amounts in common fractions.
pub fn command(action: &Action) -> String {
    match action {
        Action::Turn { screw, turns } if ((turns * 24.0).round() / 24.0 - turns).abs() < 1e-12 && turns.abs() < 1.0 => {
            format!("{} {}", typed(*screw, *turns), fraction(*turns))
        }
        Action::Hold { position, ms } if *position == 1.0 => format!("full {}", f64::from(*ms) / 1e3),
        Action::Hold { position, ms } if *position == 0.5 => format!("half {}", f64::from(*ms) / 1e3),
        _ => exactly(action),
    }
}

/// An action to the last digit.
pub fn exactly(action: &Action) -> String {
    let seconds = |ms: u32| f64::from(ms) / 1000.0;
    match action {
        Action::Turn { screw, turns } => format!("{} {}", typed(*screw, *turns), turns.abs()),
        Action::Throttle { position } => format!("throttle {:.0}%", 100.0 * position),
        Action::Hold { position, ms } => format!("hold {:.0}% {}", 100.0 * position, seconds(*ms)),
        Action::Wait { ms } => format!("wait {}", seconds(*ms)),
        Action::RollOn => "roll-on".to_string(),
        Action::Gun => "gun".to_string(),
        Action::Inspect => "inspect".to_string(),
        Action::Pinch => "pinch".to_string(),
        Action::Plug => "plug".to_string(),
        Action::Warm => "warm".to_string(),
        Action::Laps { laps } => format!("laps {laps}"),
        Action::Fuel => "fuel".to_string(),
        Action::Stop => "stop".to_string(),
        Action::Start => "start".to_string(),
        Action::Fix { part } => format!("fix {}", part.word()),
        Action::Judge {
            end,
            verdict: said,
            sure_percent,
        } => format!("judge {} {} {sure_percent}", short(*end), verdict(*said)),
        Action::SignOff => "sign off".to_string(),
        Action::Leave => "quit".to_string(),
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
        Action::RollOn => "Open it slowly to full".to_string(),
        Action::Gun => "Read the temperature gun".to_string(),
        Action::Inspect => "Look everything over".to_string(),
        Action::Pinch => "Pinch test".to_string(),
        Action::Plug => "Pull and read the plug".to_string(),
        Action::Warm => "Warm it up".to_string(),
        Action::Laps { laps: 1 } => "Drive another lap".to_string(),
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
        Action::RollOn => took("opened it slowly to full"),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::words::{Line, read};
    use crate::tuning::action::Part;

    #[test]
    fn marks_say_way_and_effect() {
        assert_eq!(mark(Screw::High, -0.125), "in 1/8");
        assert_eq!(effect(Screw::High, -0.125), Some("leaner"));
        assert_eq!(mark(Screw::Idle, 0.25), "in 1/4");
        assert_eq!(effect(Screw::Idle, 0.25), Some("faster"));
        assert_eq!(way_of_turns(Screw::Idle, 1.625), "in 1 5/8 turns");
        assert_eq!(way_of_turns(Screw::High, 1.0), "out 1 turn");
        assert_eq!(
            (mark(Screw::Low, 0.0).as_str(), effect(Screw::Low, 0.0)),
            ("as found", None)
        );
    }

    #[test]
    fn what_can_be_typed_reads_back_as_the_same_action() {
        let mut actions = vec![
            Action::RollOn,
            Action::Gun,
            Action::Inspect,
            Action::Pinch,
            Action::Plug,
            Action::Warm,
            Action::Laps { laps: 3 },
            Action::Fuel,
            Action::Stop,
            Action::Start,
            Action::SignOff,
            Action::Leave,
            Action::Wait { ms: 18_000 },
        ];
        actions.extend(Part::ALL.map(|part| Action::Fix { part }));
        for position in [0.3, 0.5, 1.0] {
            actions.extend([500, 2000, 3000].map(|ms| Action::Hold { position, ms }));
        }
        for screw in Screw::ALL {
            for turns in [
                -0.25,
                -0.125,
                -1.0 / 12.0,
                -1.0 / 24.0,
                1.0 / 24.0,
                5.0 / 24.0,
                1.5,
                0.3,
            ] {
                actions.push(Action::Turn { screw, turns });
            }
        }
        for end in [Screw::High, Screw::Low] {
            for verdict in [Verdict::Rich, Verdict::Right, Verdict::Lean] {
                actions.push(Action::Judge {
                    end,
                    verdict,
                    sure_percent: 70,
                });
            }
        }
        for action in actions {
            assert_eq!(read(&command(&action)), Ok(Line::Act(action)), "{action:?}");
        }
    }
}
