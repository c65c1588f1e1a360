//! A practice in plain text: the card at the start, and each frame as a few lines.

use std::fmt::Write;

use super::debrief::turns;
use super::session::{Frame, Session};
use crate::tuning::action::{Action, Screw, Verdict};
use crate::tuning::episode::Found;

/// The card that is shown at the start: nothing hidden is on it.
pub fn card(session: &Session) -> String {
    let s = &session.scenario;
    let mut out = format!(
        "{}: {}\nengine {}, fuel {} on the label, plug {}; {} °C, {} hPa, {} % humidity; seed {}\n",
        s.name,
        s.summary,
        s.engine,
        s.fuel,
        s.plug,
        s.weather.temperature_c,
        s.weather.pressure_hpa,
        s.weather.humidity_percent,
        session.seed
    );
    out +=
        "Bring both needles and the idle stop to a clean, safe setting in as few turns as you can, then `sign off`.\n";
    out += "The engine stands. `start` starts it, `help` lists the commands.\n";
    out
}

/// The cautions that belong before any practice.
pub const CAUTION: &str = "\
Caution: this is a simulator, it teaches. With a real engine its maker's instructions, the fuel's data sheet and your club's rules
decide; never lean one by numbers alone. Methanol is poisonous by breath, skin and mouth and burns with a nearly invisible flame;
nitromethane is hazardous; exhaust has carbon monoxide: run outdoors, protect your hearing, mind hot and spinning parts.
";

/// A frame in a few lines.
pub fn frame(f: &Frame) -> String {
    let mut out = String::new();
    let minutes = (f.clock_s / 60.0).floor();
    // Writing to a string can't fail.
    let _ = write!(
        out,
        "[{minutes:02.0}:{:04.1}] high {}  low {}  idle {}  gap {:.2} mm  throttle {:.0} %  tank {}/4",
        f.clock_s - 60.0 * minutes,
        turns(f.marks.high_turns),
        turns(f.marks.low_turns),
        turns(f.marks.idle_turns),
        f.idle_gap_mm,
        100.0 * f.throttle,
        f.tank_quarters
    );
    if let Some(rpm) = f.tachometer_rpm {
        let _ = write!(out, "  {rpm:.0} rpm");
    }
    out.push('\n');
    for found in &f.found {
        let _ = match found {
            Found::Gun(c) => writeln!(out, "  gun: {c:.0} °C on the head"),
            Found::Seen(words) => writeln!(out, "  {words}"),
        };
    }
    if !f.notes.is_empty() {
        let words: Vec<String> = f.notes.iter().map(ToString::to_string).collect();
        let _ = writeln!(out, "  {}", words.join("; "));
    }
    if let Some(hint) = &f.hint {
        let _ = writeln!(out, "  try `{}`: {}", hint.attempt, hint.because);
    }
    out
}

/// An action as the line that does it.
pub fn action(action: &Action) -> String {
    let seconds = |ms: u32| f64::from(ms) / 1000.0;
    match action {
        Action::Turn { screw, turns } => {
            let (name, inward) = match screw {
                Screw::High => ("high", *turns < 0.0),
                Screw::Low => ("low", *turns < 0.0),
                Screw::Idle => ("idle", *turns > 0.0),
            };
            format!("{name} {} {}", if inward { "in" } else { "out" }, turns.abs())
        }
        Action::Throttle { position } => format!("throttle {:.0}%", 100.0 * position),
        Action::Hold { position, ms } => format!("hold {:.0}% {}", 100.0 * position, seconds(*ms)),
        Action::Wait { ms } => format!("wait {}", seconds(*ms)),
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
            verdict,
            sure_percent,
        } => format!(
            "judge {} {} {sure_percent}",
            if *end == Screw::High { "high" } else { "low" },
            match verdict {
                Verdict::Rich => "rich",
                Verdict::Right => "right",
                Verdict::Lean => "lean",
            }
        ),
        Action::SignOff => "sign off".to_string(),
        Action::Leave => "quit".to_string(),
    }
}
