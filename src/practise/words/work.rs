//! The order of work at the real engine in plain words: what is done at each step, and what to look for (common practice).

use super::action::way_of_turns;
use super::number::{clicks, span};
use crate::insight::change::{Act, Step, Work};

/// A step: what is done, and what to look for.
pub fn told(step: &Step, work: &Work) -> [String; 2] {
    let expected = step.screw.zip(step.turns).map_or(String::new(), |(screw, turns)| {
        if clicks(turns) == 0 {
            return "expected to stay".to_string();
        }
        let spread = step.spread_turns.map_or(1, |spread| clicks(spread).max(1));
        let spread = if spread == 1 {
            "a click".to_string()
        } else {
            format!("{spread} clicks")
        };
        format!("expected {}, give or take {spread}", way_of_turns(screw, turns))
    });
    let [what, look] = match step.act {
        Act::Purge => [
            format!(
                "Purge: drain tank and line, fill with the new fuel, let it run{} with blips before believing anything.",
                work.purge_s.map_or(String::new(), |s| format!(" {}", span(s)))
            ),
            "The old fuel in line and crankcase tells the old mixture: wait until its smoke and sound have changed and stay.".to_string(),
        ],
        Act::RichStart => [
            "Set all screws to the rich start, engine off.".to_string(),
            "Count clicks out loud and note them: they are the way back.".to_string(),
        ],
        Act::WarmUp => [
            format!(
                "Warm up with gentle blips{}, then a lap or two.",
                work.warm_up_s
                    .map_or(" for some minutes".to_string(), |s| format!(", about {}", span((s / 10.0).ceil() * 10.0)))
            ),
            "Smoke at every opening, a four-stroking rich sound: good. No smoke, or a whistle: richer at once.".to_string(),
        ],
        Act::HighNeedle => [
            format!("High-speed needle, 1/12 turn at a time: {expected}."),
            "After each: 3 s of full throttle. Stop at a clean note with a smoke trail, power no longer rising; hotter or no smoke: back out 1/8.".to_string(),
        ],
        Act::IdleStop => [
            format!("Idle stop: {expected}."),
            "Steady, well below the clutch. It follows the needles: set it again after each.".to_string(),
        ],
        Act::LowNeedle => [
            format!("Low-speed needle, 1/24 turn at a time: {expected}."),
            "Pinch the line at idle: it should rise a little, then die. Hangs high after a burst: lean. Sinks, puffs, loads up: rich.".to_string(),
        ],
        Act::SecondPass => [
            "Second pass: high, idle stop, low once more, a click or two.".to_string(),
            "Each moved the others: the high needle is felt at idle, the low hardly at full throttle.".to_string(),
        ],
        Act::Confirm => [
            "Confirm: 3 s full, 6 s of idle after a burst, a snap after 10 s of idle, a slow opening, two laps and the head's temperature.".to_string(),
            "In doubt a click richer: a little power is cheaper than an engine.".to_string(),
        ],
    };
    [what, look]
}
