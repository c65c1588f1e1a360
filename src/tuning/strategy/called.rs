//! How what an action brings to light is called in a strategy's file.

use crate::bench::instruments::{Exit, PinchRise, PlugColour, Straight, WayIn};

/// The rise of a pinch test.
pub(super) fn rise_word(rise: PinchRise) -> &'static str {
    match rise {
        PinchRise::Hardly => "hardly",
        PinchRise::Barely => "barely",
        PinchRise::Little => "little",
        PinchRise::Clear => "clear",
        PinchRise::Lot => "lot",
    }
}

/// A plug's colour.
pub(super) fn colour_word(colour: PlugColour) -> &'static str {
    match colour {
        PlugColour::Specks => "specks",
        PlugColour::Pale => "pale",
        PlugColour::Moist => "moist",
        PlugColour::Wet => "wet",
    }
}

/// The straights of the laps.
pub(super) fn straight_word(straight: Straight) -> &'static str {
    match straight {
        Straight::Crackles => "crackles",
        Straight::Sags => "sags",
        Straight::Burbles => "burbles",
        Straight::Dull => "dull",
        Straight::Pulls => "pulls",
    }
}

/// The corners' exits.
pub(super) fn exit_word(exit: Exit) -> &'static str {
    match exit {
        Exit::Bogs => "bogs",
        Exit::Stutters => "stutters",
        Exit::Crisp => "crisp",
    }
}

/// The way in.
pub(super) fn way_in_word(way_in: WayIn) -> &'static str {
    match way_in {
        WayIn::Died => "died",
        WayIn::Fast => "fast",
        WayIn::Right => "right",
        WayIn::Slow => "slow",
        WayIn::Faster => "faster",
        WayIn::Slower => "slower",
        WayIn::AsSettled => "as-settled",
    }
}
