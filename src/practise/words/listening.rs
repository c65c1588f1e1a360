//! The listening room's words: what is asked, what may be answered, what it was, and where a swept needle stands.

use super::number::of_turns;
use crate::practise::listening::drill::{Answer, Drill};
use crate::practise::listening::sweep::At;
use crate::practise::listening::{CLICK, Question};
use crate::tuning::action::Screw;

/// What a drill is called.
pub fn drill(drill: Drill) -> &'static str {
    match drill {
        Drill::HighWideOpen => "High-speed needle, full throttle",
        Drill::HighHalf => "High-speed needle, half throttle",
        Drill::LowIdle => "Low-speed needle, settled idle",
        Drill::LowReturn => "Low-speed needle, after a burst",
        Drill::LowSnap => "Low-speed needle, snapped open",
        Drill::SnapRichOrLean => "A snap that bogs: rich or lean",
        Drill::HangOrLoadUp => "An idle that is not right: hang or load up",
    }
}

/// What it asks.
pub fn question(drill: Drill) -> &'static str {
    match drill {
        Drill::HighWideOpen => "Full throttle, wheels up: which has the leaner high-speed needle?",
        Drill::HighHalf => "Half throttle, wheels up: which has the leaner high-speed needle?",
        Drill::LowIdle => "At idle: which has the leaner low-speed needle?",
        Drill::LowReturn => "A burst, then shut: which has the leaner low-speed needle?",
        Drill::LowSnap => "Snapped open after ten seconds of idle: which has the leaner low-speed needle?",
        Drill::SnapRichOrLean => "Snapped open after ten seconds of idle, and not right: too much fuel, or too little?",
        Drill::HangOrLoadUp => {
            "A burst, then shut, and it does not idle as it should: does it hang, or does it load up?"
        }
    }
}

/// What may be answered.
pub fn choice(drill: Drill, answer: Answer) -> &'static str {
    match (drill, answer) {
        (_, Answer::First) => "A is leaner",
        (_, Answer::Second) => "B is leaner",
        (Drill::HangOrLoadUp, Answer::Lean) => "It hangs: lean",
        (Drill::HangOrLoadUp, Answer::Rich) => "It loads up: rich",
        (_, Answer::Lean) => "Too little fuel: lean",
        (_, Answer::Rich) => "Too much fuel: rich",
    }
}

fn needle(high: bool) -> &'static str {
    if high { "high-speed needle" } else { "low-speed needle" }
}

/// After an answer: whether it was right, and what was played.
pub fn answered(question: &Question, answer: Answer) -> String {
    let verdict = if question.answered(answer).right {
        "Right"
    } else {
        "Not this time"
    };
    let apart = question.apart_turns();
    let far = of_turns(apart);
    let needle = needle(matches!(question.drill, Drill::HighWideOpen | Drill::HighHalf));
    let was = match question.truth() {
        Answer::First => format!("A was leaner, its {needle} {far} further in than B's"),
        Answer::Second => format!("B was leaner, its {needle} {far} further in than A's"),
        Answer::Lean => format!("it was lean, the {needle} {far} in from clean"),
        Answer::Rich => format!("it was rich, the {needle} {far} out from clean"),
    };
    format!("{verdict}: {was}.")
}

/// Where a swept needle stands.
pub fn step(clicks: i32) -> String {
    let far = of_turns(f64::from(clicks) * CLICK);
    match clicks {
        0 => "clean".to_string(),
        1.. => format!("{far} richer"),
        _ => format!("{far} leaner"),
    }
}

/// At which throttle.
pub fn at(at: At) -> &'static str {
    match at {
        At::Idle => "idle",
        At::Half => "half throttle",
        At::Full => "full throttle",
    }
}

/// A step as it is said while it is heard.
pub fn swept(screw: Screw, clicks: i32, throttle: At) -> String {
    let name = match screw {
        Screw::High => "High-speed needle",
        Screw::Low => "Low-speed needle",
        Screw::Idle => "Idle stop",
    };
    format!("{name} {}, {}", step(clicks), at(throttle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::listening::Room;

    #[test]
    fn what_it_was_is_told_with_its_way_and_how_far() {
        let mut room = Room::new(3, []);
        let mut told = std::collections::BTreeSet::new();
        for _ in 0..40 {
            for drill in [Drill::HighHalf, Drill::SnapRichOrLean] {
                let question = room.ask(Some(drill));
                let [one, other] = drill.answers();
                let wrong = if question.truth() == one { other } else { one };
                told.insert(answered(&question, question.truth()));
                assert!(answered(&question, wrong).starts_with("Not this time: "));
            }
        }
        let told: Vec<String> = told.into_iter().collect();
        assert_eq!(
            told,
            [
                "Right: A was leaner, its high-speed needle 1/2 turn further in than B's.",
                "Right: B was leaner, its high-speed needle 1/2 turn further in than A's.",
                "Right: it was lean, the low-speed needle 1/3 turn in from clean.",
                "Right: it was rich, the low-speed needle 3/4 turn out from clean.",
            ]
        );
        assert_eq!(
            swept(Screw::High, 3, At::Full),
            "High-speed needle 1/8 turn richer, full throttle"
        );
        assert_eq!(
            swept(Screw::Low, -2, At::Idle),
            "Low-speed needle 1/12 turn leaner, idle"
        );
        assert_eq!(swept(Screw::Low, 0, At::Half), "Low-speed needle clean, half throttle");
    }
}
