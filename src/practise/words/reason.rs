//! Why something is proposed, as somebody at the bench would say it.

use crate::tuning::strategy::reason::Reason;

/// A reason in words.
pub fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::FaultFound => "that is not the mixture: put it right before any needle",
        Reason::NotLookedOver => "look it over first: no needle cures a leak, a blocked line or a dragging brake",
        Reason::PlugUnseen => "look at the plug before it runs: a tired one sounds like a rich mixture",
        Reason::SoundsLean => "a crackle or a sagging pitch is too lean: give fuel at once, then listen",
        Reason::TankLow => "fill it before you drive",
        Reason::HeadUnread => "a cold engine sounds rich whatever the needles do: read the head before you judge",
        Reason::HeadCold => "the head is cold; judged now, every needle would seem rich",
        Reason::HeadTooHot => "the head is hotter than it may be: give fuel at the high-speed needle",
        Reason::PlugLean => "the plug is pale or has specks: lean on the straight, give fuel at the high-speed needle",
        Reason::PlugWet => "the plug is wet and dark: rich on the straight",
        Reason::EnoughTurns => "more turns tell no more: have it checked",
        Reason::NotHot => {
            "judge it hot, and with what the needles give now: three laps clear it out and bring it to temperature"
        }
        Reason::TankNotFull => {
            "as the tank empties the mixture gets leaner: judge it with the same tank each time, a full one"
        }
        Reason::TurnNotCleared => "a turn is heard only once the engine has run with it: clear it out, then listen",
        Reason::FullUnheard => "clear it out and listen to full throttle",
        Reason::IdleUnheard => "let it come down, and listen to its return and its idle",
        Reason::SnapUnheard => "the film on the crankcase walls is full: snap it open and listen how it picks up",
        Reason::PinchUnheard => {
            "pinched, a rich low end speeds up before it dies, a lean one hardly: that tells it from the high end"
        }
        Reason::SettleToPinch => "let the idle settle for the pinch test",
        Reason::FillToSnap => "a snap tells most after a good while of idle: let the film fill",
        Reason::WontStayAlightLean => "it won't stay alight and the plug is good: give fuel at idle",
        Reason::WontStayAlight => "it won't stay alight: open the idle stop an eighth",
        Reason::Stands => "the engine stands",
        Reason::DiedOpenedPinch => "it died when opened: pinched at idle, a rich low end speeds up before it dies",
        Reason::DiedOpenedSettle => "it died when opened: let the idle settle for the pinch test",
        Reason::DrownsHigh => "it drowns when opened, and not for the low end: far too rich up there",
        Reason::DrownsLow => "it drowns when opened and speeds up clearly when pinched: the low end is far too rich",
        Reason::FullRough => "missing beats at full throttle are four-stroking: far too rich up there",
        Reason::StillFaster => "the last eighth still made it clearly faster: it is rich up there",
        Reason::NoFaster => "the last eighth hardly made it faster: it is at its best, so give a little back",
        Reason::SlowedClearly => "opened, it slowed clearly: it was rich before, so lean it further than it stood",
        Reason::SlowedLittle => "opened, it slowed a little: it stood right before, so back to there",
        Reason::GapWide => "the gap is wide, and covers a rich low end: close the idle stop before touching a needle",
        Reason::IdleFast => "the idle is fast: close the idle stop a little",
        Reason::LowRich => {
            "it speeds up clearly when pinched, or sinks after a burst: fuel lies in the crankcase, the low end is rich"
        }
        Reason::LowLean => "it hardly speeds up when pinched: it idles at its fastest or past it, the low end is lean",
        Reason::LowHangs => {
            "it hangs high after a burst, and speeds up only a little when pinched: the low end is a little lean"
        }
        Reason::IdleSlow => "the idle is slow and not rich: open the idle stop a little",
        Reason::StuttersLow => {
            "it stutters on the way up, and leaning the high-speed needle made it no faster: it is the low end"
        }
        Reason::StuttersHigh => {
            "it stutters on the way up though the low end is not rich at idle: lean the high-speed needle"
        }
        Reason::HesitatesLean => "it hesitates without puff or stutter: there was too little fuel, the low end is lean",
        Reason::HesitatesSlowIdle => {
            "it hesitates without puff or stutter, and the low end was rich before: the idle is low, open the stop a little"
        }
        Reason::SnapOnceMore => "once more: near its rich edge one snap in two is clean by luck",
        Reason::HalfUnheard => "hold half throttle: missing beats there are the high-speed needle's",
        Reason::HalfRough => "missing beats at half throttle: rich between half and full",
        Reason::NeverRich => {
            "nothing sounds rich up there, and lean can't be heard: open it, and hear what that costs in speed"
        }
        Reason::PinchIsOld => {
            "the high-speed needle has moved since the pinch test, and gives fuel at idle too: once more"
        }
        Reason::PlugUnread => "read the plug before you sign: it has seen the laps",
        Reason::AllRight => {
            "it picks up at once, screams evenly, idles as it should, and the head is no hotter than it may be"
        }
    }
}
