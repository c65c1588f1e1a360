//! Why something is proposed, as somebody at the bench would say it. A strategy's own sentence is said as it stands in its file.

use crate::tuning::action::{Action, Screw};
use crate::tuning::strategy::advice::Advice;
use crate::tuning::strategy::reason::{Because, Reason};

/// A turn in of a needle beyond this is large, turns: whoever goes too far is lean before it is heard (common practice).
const LARGE_TURN_IN: f64 = 0.25;

/// Why something is proposed, and how it is done to a real engine where that is worth a word.
pub fn why(advice: &Advice) -> String {
    let reason = reason(&advice.because);
    match advice.action {
        Action::Turn { screw, turns } if screw != Screw::Idle && turns < -(LARGE_TURN_IN + 1e-9) => {
            format!("{reason} (a real engine: an eighth at a time)")
        }
        _ => reason.to_string(),
    }
}

/// A reason in words.
fn reason(because: &Because) -> &str {
    match because {
        Because::Own(sentence) => sentence,
        Because::Known(reason) => known(*reason),
    }
}

fn known(reason: Reason) -> &'static str {
    match reason {
        Reason::FaultFound => "that is not the mixture: put it right before any needle",
        Reason::StopToFix => "that is not the mixture: stop it, then put it right before any needle",
        Reason::NoNeedleCures => "no needle cures this: it is a part; the cheapest that it can be comes first",
        Reason::NotLookedOver => "look it over first: no needle cures a leak, a blocked line or a dragging brake",
        Reason::Stands => "the engine stands: start it",
        Reason::WontStartPlug => {
            "it won't stay alight: look at the plug before anything else, a tired one drops the idle"
        }
        Reason::WontStayAlight => "it won't stay alight and the plug is good: open the idle stop",
        Reason::WontStayAlightLean => "it won't stay alight with the stop open either: give fuel at idle",
        Reason::SoundsLean => {
            "a crackle or a sagging pitch is too lean: give fuel at the high-speed needle at once, then listen"
        }
        Reason::TankLow => "fill it before you drive: as the tank empties the mixture gets leaner",
        Reason::HeadUnread => "a cold engine sounds rich whatever the needles do: read the head before you judge",
        Reason::HeadCold => "the head is cold: judged now, every needle would seem rich",
        Reason::HeadTooHot => "the head is hotter than it may be: give fuel at the high-speed needle",
        Reason::Drowns => "it drowns when opened: far too rich at the low end",
        Reason::DiedLean => "it dies when opened and there is no smoke in it: it starves, give fuel at the low end",
        Reason::FullUnheard => {
            "three seconds of full throttle clear it out and tell the high end: no longer, while it may be lean"
        }
        Reason::FullRough => "missing beats at full throttle are four-stroking: far too rich up there",
        Reason::FullDull => {
            "even at full throttle but dull, and it stays cool: rich up there, lean it before you do anything else"
        }
        Reason::FullLazy => {
            "even at full throttle, not quite its scream, and not hot: a little rich up there, lean it a little"
        }
        Reason::FullForPlug => {
            "the plug tells the high end only right after full throttle: hold it, and stop it wide open"
        }
        Reason::ChopForPlug => {
            "stop it now, from full throttle: the plug then shows the high end, and nothing burns your fingers"
        }
        Reason::PlugUnread => "read the plug: it has just seen full throttle, and lean up there can hardly be heard",
        Reason::PlugLean => "the plug is pale or has specks: lean on the straight, give fuel at the high-speed needle",
        Reason::PlugWet => "the plug is wet and dark: rich on the straight, lean the high-speed needle in small steps",
        Reason::StillFaster => "the last step in made it clearly faster: it is still rich up there",
        Reason::SlowerLeaner => "the last step in made it no faster: the best power lies behind, go back out",
        Reason::NotHot => "judge the low end hot: laps bring it to the temperature at which it is raced",
        Reason::TurnNotCleared => "a turn is heard only once the engine has run with it: clear it out, then listen",
        Reason::IdleUnheard => "let it come down, and listen to its return and its idle",
        Reason::PinchUnheard => {
            "pinched, a rich low end speeds up before it dies, a lean one hardly: that tells it from the high end"
        }
        Reason::SettleToPinch => "let the idle settle for the pinch test",
        Reason::SnapUnheard => "the film on the crankcase walls is full: snap it open and listen how it picks up",
        Reason::OpeningUnheard => "open it slowly from a settled idle: where it stutters tells which end is rich",
        Reason::FillToOpen => "a slow opening tells most from an idle that has settled: let the film fill",
        Reason::FillToSnap => "a snap tells most after a good while of idle: let the film fill",
        Reason::SnapOnceMore => "once more: near its rich edge one snap in two is clean by luck",
        Reason::LowFarRich => {
            "pinched, it runs on too long or speeds up a lot: fuel lies in the crankcase, the low end is far too rich"
        }
        Reason::LowRich => {
            "pinched, it runs on too long or speeds up clearly: fuel lies in the crankcase, the low end is rich"
        }
        Reason::LowLittleRich => "pinched, it runs on a little too long: the low end is a little rich",
        Reason::LowLean => "pinched, it hardly speeds up: it idles at its fastest or past it, the low end is lean",
        Reason::LowBorder => {
            "pinched, it speeds up just enough to be heard: the low end stands on the border of lean, a click is safe"
        }
        Reason::LowHangs => {
            "it hangs high after a burst, and speeds up only a little when pinched: the low end is a little lean"
        }
        Reason::LowFades => "pinched, it fades too soon: little fuel is in store, the low end is lean",
        Reason::StuttersFar => {
            "opened slowly it stutters, and idles slowly or misses beats at half throttle: the low end is far too rich"
        }
        Reason::StuttersLean => {
            "it stutters, but it idles without a missed beat and hangs after a burst: that is lack of fuel, the low end is lean"
        }
        Reason::HangsEvenly => {
            "after a burst it hangs high, and it misses no beat at idle: little fuel is in store, the low end is lean"
        }
        Reason::BurblesWarm => {
            "it comes down clean, and still misses beats as it idles warm: the low end is a little rich"
        }
        Reason::SinksRich => {
            "after a burst it sinks to its idle with beats missing: fuel was left, the low end is a little rich"
        }
        Reason::HardlySmokes => {
            "it idles without smoke and speeds up little when pinched: a little more fuel at the low end, that side is safe"
        }
        Reason::StaysCold => {
            "it won't stay warm at idle, burbles and smokes: it drowns in fuel, the low end is far too rich"
        }
        Reason::ColdAndEven => {
            "a cold engine burbles and smokes; this one does neither: too lean to be warmed up, give fuel at the low end first"
        }
        Reason::ListenCold => "before you warm it up, look at its smoke: a cold engine that hardly smokes is lean",
        Reason::PinchCold => {
            "before you warm it up, see how long it runs on when pinched: a lean low end starves it all the way"
        }
        Reason::StartRich => {
            "it ran on for too short a time: too lean to be warmed up, give fuel at the low end first; from rich it is safe"
        }
        Reason::FastAndLean => {
            "the idle is fast and hardly speeds up when pinched: that is the low end, lean; leave the idle stop alone and give fuel"
        }
        Reason::HesitatesLean => "it hesitates without puff or stutter: there was too little fuel, the low end is lean",
        Reason::StuttersHigh => {
            "it stutters on the way up though the low end is not rich at idle: lean the high-speed needle"
        }
        Reason::StuttersLow => "opened slowly it stutters just off idle: the low end is a little rich",
        Reason::GapWide => "the gap is wide, and covers a rich low end: close the idle stop before touching a needle",
        Reason::GapNarrow => "the gap is too narrow to breathe through: open the idle stop",
        Reason::IdleFast => "the idle is fast and not lean: close the idle stop",
        Reason::IdleSlow => "the idle is slow: open the idle stop",
        Reason::HalfUnheard => "hold half throttle: it has not been heard with the screws as they are",
        Reason::HalfRough => {
            "missing beats at half throttle though full throttle is clean: the low end is a little rich"
        }
        Reason::EnoughTurns => "more turns tell no more: have it checked",
        Reason::AskedFor => "before signing off it has to be heard once more with the screws as they are now",
        Reason::AllRight => {
            "it picks up at once, screams evenly, idles as it should, and the head is no hotter than it may be"
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_turn_in_comes_with_care_and_nothing_else_does() {
        let because = Because::Own("my own way".into());
        let told = |action| {
            let because = because.clone();
            why(&Advice { action, because })
        };
        let turn = |screw, turns| told(Action::Turn { screw, turns });
        for (screw, turns) in [(Screw::High, -0.625), (Screw::Low, -7.0 / 24.0)] {
            assert!(turn(screw, turns).contains("an eighth at a time"));
        }
        for (screw, turns) in [(Screw::High, -0.25), (Screw::High, 0.625), (Screw::Idle, -1.0)] {
            assert_eq!(turn(screw, turns), "my own way");
        }
        assert_eq!(told(Action::Warm), "my own way");
    }

    #[test]
    fn no_two_reasons_are_worded_alike_and_a_sentence_of_ones_own_is_said_as_it_is() {
        let mut words: Vec<&str> = Reason::ALL.iter().map(|reason| known(*reason)).collect();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), Reason::ALL.len());
        assert_eq!(reason(&Because::Own("my own way".into())), "my own way");
    }
}
