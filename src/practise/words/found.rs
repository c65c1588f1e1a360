//! What is heard, seen and found, in a tuner's words.

use crate::bench::instruments::{Note, PinchRise, PlugColour};
use crate::tuning::action::Part;
use crate::tuning::episode::Found;

/// One thing heard or seen.
pub fn note(note: Note) -> &'static str {
    match note {
        Note::Silent => "silence: the engine stands",
        Note::IdleSlow => "a slow, heavy idle",
        Note::IdleEven => "an idle of the right pitch",
        Note::IdleFast => "a fast idle",
        Note::IdleWavers => "the idle wavers",
        Note::IdleFalls => "the idle is falling",
        Note::IdleRises => "the idle is rising",
        Note::IdleTooSoon => "the idle has not settled yet: wait some ten seconds and listen again",
        Note::ReturnHangs => "after the burst it hung high before it came down",
        Note::ReturnSinks => "after the burst it came down, then kept sinking for seconds",
        Note::ReturnDrops => "after the burst it dropped low and picked up again",
        Note::ReturnClean => "after the burst it came straight down to its idle",
        Note::SnapCrisp => "it picked up at once",
        Note::SnapHesitates => "it hesitated before it picked up",
        Note::SnapBogs => "it bogged and hardly picked up",
        Note::SnapStutters => "it stuttered on the way up",
        Note::SnapPuffs => "a puff of smoke as it opened",
        Note::PartRough => "rough at part throttle: it stutters and misses beats",
        Note::PartClean => "even at part throttle",
        Note::FullRough => "rough at full throttle: a burble, beats missing",
        Note::FullClean => "an even scream at full throttle",
        Note::FullSags => "the pitch sags while the throttle is held",
        Note::Crackle => "a hard metallic crackle",
        Note::SmokeNone => "hardly any smoke",
        Note::SmokeThin => "a thin trail of smoke",
        Note::SmokeTrail => "a steady trail of smoke",
        Note::SmokeThick => "thick smoke",
    }
}

/// What an action brought to light.
pub fn found(found: &Found) -> String {
    match *found {
        Found::Gun { head_c } => format!("gun: {head_c:.0} °C on the head"),
        Found::Looked { part, at_fault } => {
            let (place, good, bad) = looks(part);
            format!("{place}: {}", if at_fault { bad } else { good })
        }
        Found::Pinched { rise, seconds } => format!("{}, after {seconds:.1} s", pinched(rise)),
        Found::Plug(plug) => {
            let (place, good, bad) = looks(Part::Plug);
            let wire = if plug.tired { bad } else { good };
            format!("{place}: {wire}; {}", colour(plug.colour))
        }
        Found::Fixed { part } => cure(part).to_string(),
        Found::NotJudged => {
            "not judged: the engine is cold; warm it up, clear it out and read the gun first".to_string()
        }
    }
}

/// Where a part is looked at, how it looks when it is sound, and how when it is at fault.
fn looks(part: Part) -> (&'static str, &'static str, &'static str) {
    match part {
        Part::Leak => ("carburettor", "dry at its foot", "an oily trace at its foot"),
        Part::Line => ("fuel line", "free", "little comes when you blow through it"),
        Part::Pressure => ("pressure line", "tight", "split at the nipple"),
        Part::Plug => ("plug", "the wire is bright", "the wire is dull and bent"),
        Part::Filter => ("air filter", "clean", "caked with dust"),
        Part::Brake => ("wheels", "they spin freely", "they stop by themselves, the brake drags"),
        Part::Tank => ("tank", "no bubbles", "bubbles in the line as it runs"),
    }
}

/// What is done about a part at fault.
pub fn cure(part: Part) -> &'static str {
    match part {
        Part::Leak => "the carburettor's seal is renewed",
        Part::Line => "the fuel line and its filter are renewed",
        Part::Pressure => "the pressure line is renewed",
        Part::Plug => "a new glow plug is fitted",
        Part::Filter => "the air filter is cleaned and oiled",
        Part::Brake => "the brake is set free",
        Part::Tank => "the tank's pick-up is put right",
    }
}

pub(super) fn pinched(rise: PinchRise) -> &'static str {
    match rise {
        PinchRise::Hardly => "pinched, it hardly speeds up before it fades",
        PinchRise::Little => "pinched, it speeds up a little before it fades",
        PinchRise::Clear => "pinched, it speeds up clearly before it fades",
        PinchRise::Lot => "pinched, it speeds up a lot before it fades",
    }
}

fn colour(colour: Option<PlugColour>) -> &'static str {
    colour.map_or("it has seen no full throttle to be read by", coloured)
}

/// What full throttle has left on a plug.
pub(super) fn coloured(colour: PlugColour) -> &'static str {
    match colour {
        PlugColour::Specks => "grey specks on its rim: it has been knocking",
        PlugColour::Wet => "wet and dark: rich on the straight",
        PlugColour::Moist => "moist and shiny: about right on the straight",
        PlugColour::Pale => "dry and pale: lean on the straight",
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::bench::instruments::PlugReading;

    #[test]
    fn no_two_things_are_worded_alike() {
        let notes: BTreeSet<&str> = Note::ALL.map(note).into();
        assert_eq!(notes.len(), Note::ALL.len());
        let mut all = vec![
            Found::Gun { head_c: 92.0 },
            Found::NotJudged,
            Found::Plug(PlugReading::of(true, None, 0.0)),
        ];
        for part in Part::ALL {
            all.extend([
                Found::Looked { part, at_fault: true },
                Found::Looked { part, at_fault: false },
                Found::Fixed { part },
            ]);
        }
        all.extend(PinchRise::ALL.map(|rise| Found::Pinched { rise, seconds: 2.5 }));
        for mixture in [0.9, 1.0, 1.2] {
            all.push(Found::Plug(PlugReading::of(false, Some(mixture), 0.0)));
        }
        all.push(Found::Plug(PlugReading::of(false, Some(1.0), 1.0)));
        let words: BTreeSet<String> = all.iter().map(found).collect();
        assert_eq!(words.len(), all.len());
    }

    #[test]
    fn numbers_stand_in_the_words_with_their_units() {
        assert_eq!(found(&Found::Gun { head_c: 92.0 }), "gun: 92 °C on the head");
        let pinched = Found::Pinched {
            rise: PinchRise::Clear,
            seconds: 3.2,
        };
        assert_eq!(
            found(&pinched),
            "pinched, it speeds up clearly before it fades, after 3.2 s"
        );
    }
}
