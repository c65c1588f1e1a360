//! What is heard, seen and found, in a tuner's words.

use crate::bench::instruments::{
    Compared, Exit, Following, Manoeuvre, Note, Phase, PinchRise, PlugColour, Sense, Straight, Than, Unread, WayIn,
};
use crate::tuning::action::Part;
use crate::tuning::episode::{Found, WARM_HEAD_C, Warmed};

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
        Note::IdleBurbles => "the idle burbles: fuel lies in the crankcase",
        Note::IdleTooSoon => "the idle has not settled yet: wait some ten seconds and listen again",
        Note::ReturnHangs => "after the burst it hung high before it came down",
        Note::ReturnSinks => "after the burst it stayed above its idle for seconds, then sank to it",
        Note::ReturnDrops => "after the burst it dropped low and picked up again",
        Note::ReturnClean => "after the burst it came straight down to its idle",
        Note::SnapCrisp => "it picked up at once",
        Note::SnapHesitates => "it hesitated before it picked up",
        Note::SnapBogs => "it bogged and hardly picked up",
        Note::SnapStutters => "it stuttered on the way up",
        Note::SnapPuffs => "a puff of smoke as it opened",
        Note::OpeningEven => "opened slowly, it ran up evenly",
        Note::OpeningStuttersLow => "opened slowly, it stuttered low down, just off idle",
        Note::OpeningStuttersMiddle => "opened slowly, it stuttered in the middle",
        Note::OpeningStuttersTop => "opened slowly, it stuttered at the top",
        Note::OpeningSmokes => "opened slowly, it smoked like a chimney",
        Note::PartRough => "rough at part throttle: it stutters and misses beats",
        Note::PartClean => "even at part throttle",
        Note::FullRough => "rough at full throttle: a burble, beats missing",
        Note::FullDull => "even at full throttle, but dull: it does not scream",
        Note::FullLazy => "even at full throttle, but a little lazy: it lacks its scream",
        Note::FullSoft => "even at full throttle, a touch short of its scream",
        Note::FullClean => "an even scream at full throttle",
        Note::FullSags => "the pitch sags while the throttle is held",
        Note::Crackle => "a hard metallic crackle",
        Note::SmokeNone => "hardly any smoke",
        Note::SmokeHaze => "a haze of smoke",
        Note::SmokeThin => "a thin trail of smoke",
        Note::SmokeTrail => "a steady trail of smoke",
        Note::SmokeDense => "a dense trail of smoke",
        Note::SmokeThick => "thick smoke",
        Note::SmokeCloud => "a cloud of smoke",
        Note::GapWide => "the idle gap is wider than clean",
        Note::GapNarrow => "the idle gap is narrower than clean",
        Note::Cold => "the engine is cold: that is what you hear, not the needles",
    }
}

/// What a gun shows on a warm head, for the card.
pub fn warm_head() -> String {
    format!(
        "A warm head reads {WARM_HEAD_C:.0} °C and more on the gun, and some 90 as it comes in from laps; a cold engine sounds rich."
    )
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
            let read = match (plug.colour, plug.unread) {
                (Some(seen), _) => coloured(seen),
                (None, why) => unread(why.unwrap_or(Unread::NoFull)),
            };
            format!("{place}: {wire}; {read}")
        }
        Found::Fixed { part, was_at_fault } => {
            let old = if was_at_fault { was_bad(part) } else { was_good(part) };
            format!("{}; {old}", cure(part))
        }
        Found::SignedOff { clean: true } => "signed off, and clean".to_string(),
        Found::SignedOff { clean: false } => "signed off, and not clean".to_string(),
        Found::Straight { straight } => format!("straight: {}", straight_in_words(straight)),
        Found::Corner { exit } => format!("out of the corners: {}", exit_in_words(exit)),
        Found::WayIn { way_in } => format!("coming in: {}", way_in_in_words(way_in)),
        Found::HeadHot => "that is hotter than an engine should come in from laps".to_string(),
        Found::TrustPlug => "how far to trust a plug: after such a chop it is right nine times in ten where the needle is right, and \
                             eight in ten where it is a sixth of a turn off; after an idle or cold it says nothing"
            .to_string(),
        Found::Warmed { head_c, until } => {
            let why = match until {
                Warmed::Warm => "warm",
                Warmed::Before => "it was warm already",
                Warmed::TimeOver => "three minutes of blips warm it no further; drive laps to get it warm",
                Warmed::Died => "it died on the way",
            };
            format!("gun: {head_c:.0} °C on the head; {why}")
        }
        Found::Cooled { head_c } => {
            format!("meanwhile the head has cooled to {head_c:.0} °C: warm it up before you judge anything")
        }
        Found::SayAgain => {
            "the engine is cold: what it does is not the needles' doing. Warm it up first, or say it again and it is taken".to_string()
        }
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

/// How the old part looks, once it is out, that was at fault.
fn was_bad(part: Part) -> &'static str {
    match part {
        Part::Leak => "the old one was cut",
        Part::Line => "the old filter was clogged",
        Part::Pressure => "the old one was split",
        Part::Plug => "the old one was worn out",
        Part::Filter => "it was caked",
        Part::Brake => "it was bent",
        Part::Tank => "it had come loose",
    }
}

/// The same of one that was sound: it was put right in vain.
fn was_good(part: Part) -> &'static str {
    match part {
        Part::Leak | Part::Line | Part::Pressure | Part::Plug => "the old one was sound",
        Part::Filter => "it was clean",
        Part::Brake => "it was free",
        Part::Tank => "it sat as it should",
    }
}

pub(super) fn pinched(rise: PinchRise) -> &'static str {
    match rise {
        PinchRise::Hardly => "pinched, it hardly speeds up before it fades",
        PinchRise::Barely => "pinched, it speeds up just enough to be heard, and fades",
        PinchRise::Little => "pinched, it speeds up a little before it fades",
        PinchRise::Clear => "pinched, it speeds up clearly before it fades",
        PinchRise::Lot => "pinched, it speeds up a lot before it fades",
    }
}

/// What full throttle has left on a plug.
pub(super) fn coloured(colour: PlugColour) -> &'static str {
    match colour {
        PlugColour::Specks => "grey specks on its rim: it has been knocking",
        PlugColour::Wet => "wet and dark: rich on the straight",
        PlugColour::Moist => "moist and shiny: about right on the straight, to a sixth of a turn",
        PlugColour::Pale => "dry and pale: lean on the straight",
    }
}

fn unread(why: Unread) -> &'static str {
    match why {
        Unread::NoFull => "nothing to read: it wants two or three seconds of full throttle, and then the engine cut",
        Unread::NoChop => {
            "nothing to read: it ran on after full throttle, which clouds a plug; cut it from full throttle"
        }
        Unread::Cold => "nothing to read: the engine was cold, which wets any plug",
    }
}

fn straight_in_words(straight: Straight) -> &'static str {
    match straight {
        Straight::Pulls => "it pulls to the end",
        Straight::Dull => "it pulls, but sounds dull, without its scream",
        Straight::Burbles => "it burbles, beats missing",
        Straight::Sags => "the pitch sags before the end",
        Straight::Crackles => "a hard metallic crackle under load",
    }
}

fn exit_in_words(exit: Exit) -> &'static str {
    match exit {
        Exit::Crisp => "it picks up crisply",
        Exit::Stutters => "it stutters as it opens",
        Exit::Bogs => "it bogs before it picks up",
    }
}

fn way_in_in_words(way_in: WayIn) -> &'static str {
    match way_in {
        WayIn::Died => "it stands",
        WayIn::Faster => "it idles faster, hot, than it did on the stand",
        WayIn::AsSettled => "it idles as it did on the stand",
        WayIn::Slower => "it idles slower, hot, than it did on the stand",
        WayIn::Fast => "a fast idle",
        WayIn::Right => "an idle of the right pitch",
        WayIn::Slow => "a slow, heavy idle",
    }
}

/// Where the return from a burst is, with the stopwatch's seconds.
pub fn following(following: &Following) -> String {
    let s = following.seconds;
    match following.phase {
        Phase::ComingDown => format!("coming down, {s:.1} s"),
        Phase::HangingHigh => format!("hanging high, {s:.1} s"),
        Phase::Dropping => format!("dropping, {s:.1} s"),
        Phase::Low => format!("low, below its idle, {s:.1} s"),
        Phase::Burbling => format!("down, but burbling, {s:.1} s"),
        Phase::Settled => format!("back at its idle after {s:.1} s"),
    }
}

/// How one thing differs from before.
pub fn compared(compared: &Compared) -> String {
    let what = match compared.manoeuvre {
        Manoeuvre::Idle => "idle",
        Manoeuvre::Return => "return from the burst",
        Manoeuvre::Snap => "snap",
        Manoeuvre::Opening => "slow opening",
        Manoeuvre::Part => "part throttle",
        Manoeuvre::Full => "full throttle",
    };
    let how = match (compared.sense, compared.more) {
        (Sense::Pitch, true) => "higher",
        (Sense::Pitch, false) => "lower",
        (Sense::Smoke, true) => "smokier",
        (Sense::Smoke, false) => "thinner smoke",
        (Sense::Beats, true) => "rougher",
        (Sense::Beats, false) => "more even",
        (Sense::Time, true) => "later",
        (Sense::Time, false) => "sooner",
    };
    let than = match compared.than {
        Than::BeforeTurn => "than before the turn",
        Than::LastTime => "than last time",
    };
    format!("{what}: {how} {than}")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::bench::instruments::PlugReading;

    #[test]
    fn a_speed_that_has_come_down_is_told_in_another_word_than_an_idle_that_keeps_still() {
        // Both stand on one screen: the stopwatch's in its title, the note under it.
        let down = following(&Following {
            phase: Phase::Settled,
            seconds: 1.24,
        });
        assert_eq!(down, "back at its idle after 1.2 s");
        assert!(note(Note::IdleTooSoon).contains("settled"));
    }

    #[test]
    fn no_two_things_are_worded_alike() {
        let notes: BTreeSet<&str> = Note::ALL.map(note).into();
        assert_eq!(notes.len(), Note::ALL.len());
        let mut all = vec![
            Found::Gun { head_c: 92.0 },
            Found::NotJudged,
            Found::SignedOff { clean: true },
            Found::SignedOff { clean: false },
            Found::SayAgain,
            Found::HeadHot,
            Found::TrustPlug,
            Found::Cooled { head_c: 50.0 },
        ];
        for part in Part::ALL {
            all.extend([
                Found::Looked { part, at_fault: true },
                Found::Looked { part, at_fault: false },
                Found::Fixed {
                    part,
                    was_at_fault: true,
                },
                Found::Fixed {
                    part,
                    was_at_fault: false,
                },
            ]);
        }
        all.extend(PinchRise::ALL.map(|rise| Found::Pinched { rise, seconds: 2.5 }));
        for mixture in [0.9, 1.03, 1.2] {
            all.push(Found::Plug(PlugReading::of(false, Ok(mixture), 0.0, 2.0)));
        }
        for why in Unread::ALL {
            all.extend([true, false].map(|tired| Found::Plug(PlugReading::of(tired, Err(why), 0.0, 2.0))));
        }
        all.push(Found::Plug(PlugReading::of(false, Ok(1.0), 1.0, 2.0)));
        all.extend(Straight::ALL.map(|straight| Found::Straight { straight }));
        all.extend(Exit::ALL.map(|exit| Found::Corner { exit }));
        all.extend(WayIn::ALL.map(|way_in| Found::WayIn { way_in }));
        for until in [Warmed::Warm, Warmed::Before, Warmed::TimeOver, Warmed::Died] {
            all.push(Found::Warmed { head_c: 80.0, until });
        }
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
