//! One symptom on one page, to hang up beside the bench: what is heard, which end it may be, how to tell, what to do, and why; with what the
//! model measured. What is heard and done is common practice.

use super::plan::{CAUTIONS, Kind, Line};
use super::story::{drifts, measure, tale, why};
use crate::insight::story::{Story, Tale};

/// What is heard and seen, what it may be, how to tell, what to do.
fn craft(tale: Tale) -> [&'static str; 4] {
    match tale {
        Tale::Hang => [
            "Wide open, then shut: the note stays high and comes down over seconds instead of at once.",
            "A lean low end, most often. An air leak does the same, and so does a throttle that does not close.",
            "Pinch the line at idle: if the speed hardly rises before it dies, it is lean. If it rises well, look for air that comes in elsewhere.",
            "Open the low-speed needle by 1/24 to 1/12 turn, clear it out, listen again; trim the idle stop afterwards, never instead.",
        ],
        Tale::LoadUp => [
            "The idle begins well, then sinks and burbles within tens of seconds; the smoke thickens, and the next opening puffs.",
            "A rich low end: fuel gathers on the crankcase's walls faster than it leaves.",
            "Pinch the line at idle: a rich engine speeds up a lot, and for long. Clear it out with a burst: for a moment the idle is right again.",
            "Close the low-speed needle by 1/24 to 1/12 turn, clear it out, wait ten seconds, listen. Raising the idle stop only hides it.",
        ],
        Tale::Puff => [
            "A ball of smoke as it is snapped open after a wait.",
            "A rich low end, or only a long wait: oil and fuel gather at any idle.",
            "The same snap after two seconds and after ten: if only the long wait puffs, and the pick-up is crisp, it may be right.",
            "If the pinched line says rich as well, close the low-speed needle by a click or two of 1/24; else leave it.",
        ],
        Tale::Bog => [
            "Snapped open it stumbles, comes up late, or dies.",
            "Rich if it burbles and smokes on the way up; lean if it falls silent without smoke.",
            "Look at the smoke, not at the clock; then pinch the line at idle. In doubt take it for lean.",
            "Lean: open the low-speed needle by 1/12 turn first. Rich: close it by 1/24 to 1/12, clear it out, wait, snap again.",
        ],
        Tale::FourStroking => [
            "Wide open the note is rough, as if it fired every second time; much smoke, and the head stays cool.",
            "A rich high end, or a cold engine.",
            "Warm it up; then listen again with the tank half empty. If it stays rough and the plug is wet, it is rich.",
            "Close the high-speed needle by 1/12 turn at a time, and stop while it still leaves a trail of smoke.",
        ],
        Tale::Sag => [
            "Held wide open the pitch falls within seconds; little smoke, the head climbs, there may be a hard crackle.",
            "A lean high end, or fuel that does not come: a clogged filter, a split line, an empty tank.",
            "Shut it off at once. Specks or a bleached plug say lean; a look over line, filter and tank says the rest.",
            "Open the high-speed needle by 1/8 turn before it runs again, let it cool, and only then find out why.",
        ],
    }
}

/// The page's lines; the first is its title.
pub fn sheet(story: &Story, engine: &str) -> Vec<Line> {
    let line = |kind, text: String| Line { kind, text };
    let mut lines = vec![line(Kind::Title, tale(story.tale).to_string())];
    let headings = ["What is heard and seen", "What it may be", "How to tell", "What to do"];
    for (heading, text) in headings.into_iter().zip(craft(story.tale)) {
        lines.push(line(Kind::Heading, heading.to_string()));
        lines.push(line(Kind::Text, text.to_string()));
    }
    lines.push(line(Kind::Heading, "Why, as the model has it".to_string()));
    lines.push(line(Kind::Text, why(story.tale).to_string()));
    lines.push(line(
        Kind::Text,
        format!(
            "On the model's {engine} (thick: as asked; dashed: clean): {}.",
            measure(story)
        ),
    ));
    lines.extend(
        drifts(story)
            .into_iter()
            .map(|drift| line(Kind::Text, format!("{drift}."))),
    );
    lines.push(line(Kind::Heading, "Cautions".to_string()));
    lines.extend(CAUTIONS.map(|caution| line(Kind::Text, caution.to_string())));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::reference_setup;
    use crate::insight::story;

    #[test]
    fn every_symptom_has_its_page_and_leaning_is_never_said_without_what_stops_it() {
        let (model, setup) = reference_setup("offroad-3.5").unwrap();
        let clean = model.reference;
        for tale in Tale::ALL {
            let asked = tale.shown_by().from(clean).unwrap();
            let told = story::story(&setup, model.rated_rpm, tale, [asked, clean], 1);
            let lines = sheet(&told, &model.name);
            let all: String = lines
                .iter()
                .map(|line| line.text.as_str())
                .collect::<Vec<_>>()
                .join("\n");
            assert_eq!(lines[0].kind, Kind::Title);
            assert!(
                all.contains("clean setting") && all.contains("Never lean an engine by numbers alone"),
                "{all}"
            );
            // Whoever is told to close a needle is told how little, and what stops him.
            let does = craft(tale)[3];
            let closes = does.to_lowercase().contains("close");
            let stops = ["listen", "stop while", "snap again", "pinched"]
                .iter()
                .any(|word| does.contains(word));
            assert!(!closes || (stops && does.contains("1/")), "{does}");
        }
    }
}
