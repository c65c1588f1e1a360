//! A practice in plain text: the card at the start, and each frame as a few lines.

use super::class_code::Class;
use super::said::Said;
use super::session::{Frame, Session};
use super::words;
use crate::tuning::episode::Found;

/// The card that is shown at the start: nothing hidden is on it.
pub fn card(session: &Session) -> String {
    let mut out = situation(session);
    if !session.whole.stages.is_empty() {
        out += &format!(
            "{} sign-offs: each but the last brings another day for the same engine.\n",
            1 + session.whole.stages.len()
        );
    }
    if let Some(code) = Class::code(&session.whole.name, session.seed, session.level) {
        out += &format!("Class code {code}: with it anybody practises this very engine (`--class`).\n");
    }
    out +=
        "Bring both needles and the idle stop to a clean, safe setting in as few turns as you can, then `sign off`.\n";
    out += &words::warm_head();
    let limit_s = session.episode().limit_ms() as f64 / 1e3;
    out += &format!("\nIt ends after {} at the latest. ", words::span(limit_s));
    out += "The engine stands. `start` starts it, `help` lists the commands.\n";
    out
}

/// What happened, with which engine, fuel and weather.
fn situation(session: &Session) -> String {
    let s = &session.scenario;
    format!(
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
    )
}

/// The situation again, where the frame has brought another stage.
pub fn another_stage(session: &Session, frame: &Frame) -> Option<String> {
    let next = frame
        .sight
        .found
        .iter()
        .any(|found| matches!(found, Found::SignedOff { .. }));
    next.then(|| situation(session) + "The engine stands, its screws as you left them.\n")
}

/// The cautions that belong before any practice.
pub const CAUTION: &str = "\
Caution: this is a simulator, it teaches. With a real engine its maker's
instructions, the fuel's data sheet and your club's rules decide;
never lean one by numbers alone. Methanol is poisonous by breath, skin and
mouth and burns with a nearly invisible flame; nitromethane is hazardous;
exhaust has carbon monoxide: run outdoors, protect your hearing, mind hot and
spinning parts.
";

/// A frame in a few lines: of what is heard, only what was not `said` before.
pub fn frame(frame: &Frame, said: &mut Said) -> String {
    let f = &frame.sight;
    let news = said.news(f);
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
    if !f.running {
        out += "  engine stands";
    }
    out.push('\n');
    for found in &f.found {
        out += &format!("  {}\n", words::found(found));
    }
    if let Some(following) = &news.following {
        out += &format!("  {}\n", words::following(following));
    }
    for event in &frame.events {
        out += &format!("  ! {}\n", words::event(event));
    }
    if !news.notes.is_empty() {
        let notes: Vec<&str> = news.notes.iter().map(|note| words::note(*note)).collect();
        out += &format!("  {}\n", notes.join("; "));
    }
    for compared in &news.compared {
        out += &format!("  {}\n", words::compared(compared));
    }
    if let Some(hint) = &frame.hint {
        out += &format!("  try `{}`: {}\n", words::command(&hint.action), words::why(hint));
    }
    out
}
