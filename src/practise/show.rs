//! A practice in plain text: the card at the start, and each frame as a few lines.

use super::session::{Frame, Session};
use super::words;
use crate::tuning::episode::LIMIT_MS;

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
    out += &format!("It ends after {} at the latest. ", words::span(LIMIT_MS as f64 / 1e3));
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
pub fn frame(frame: &Frame) -> String {
    let f = &frame.sight;
    let mut out = format!(
        "[{}] high {}  low {}  idle {}  gap {:.2} mm  throttle {:.0} %  tank {}/4",
        words::stopwatch(f.clock_s),
        words::turns(f.marks.high_turns),
        words::turns(f.marks.low_turns),
        words::turns(f.marks.idle_turns),
        f.idle_gap_mm,
        100.0 * f.throttle,
        f.tank_quarters
    );
    if let Some(rpm) = f.tachometer_rpm {
        out += &format!("  {rpm:.0} rpm");
    }
    out.push('\n');
    for found in &f.found {
        out += &format!("  {}\n", words::found(found));
    }
    for event in &frame.events {
        out += &format!("  ! {}\n", words::event(event));
    }
    if !f.notes.is_empty() {
        let notes: Vec<&str> = f.notes.iter().map(|note| words::note(*note)).collect();
        out += &format!("  {}\n", notes.join("; "));
    }
    if let Some(hint) = &frame.hint {
        out += &format!(
            "  try `{}`: {}\n",
            words::command(&hint.action),
            words::reason(hint.because)
        );
    }
    out
}
