//! A plug as an eye reads it: whether its wire is sound, and the colour that a chop from full throttle has left on it. After anything
//! else there is nothing to read: an idle clouds it, and a cold engine wets any plug.

use serde::{Deserialize, Serialize};

/// Mixture at full throttle over that of best power, below which the plug comes out pale and above which wet. Assumed: a plug is
/// hottest, and palest, where combustion is, up to best power; it is wet about where so much fuel is
/// left over that the power falls by the three percent that a clean setting allows; and a plug is read in three words, no finer.
const PALE: f64 = 0.992;
const WET: f64 = 1.07;
/// Share of full throttle spent knocking that leaves specks on a plug, and the least of it, s. Assumed: a quarter, and a few hundred
/// beats; any engine knocks now and then.
const KNOCKED_SHARE: f64 = 0.25;
const KNOCKED_S: f64 = 0.5;

/// What full throttle has left on a plug.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlugColour {
    /// Dry and pale: lean.
    Pale,
    /// Moist and shiny: about right.
    Moist,
    /// Wet and dark: rich.
    Wet,
    /// Grey specks on its rim: it has been knocking.
    Specks,
}

/// Why there is nothing to read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unread {
    /// It has seen no full throttle, or too little.
    NoFull,
    /// The engine ran on after it: only a chop keeps the colour.
    NoChop,
    /// The engine was cold.
    Cold,
}

impl Unread {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::NoFull, Self::NoChop, Self::Cold];
}

/// A plug as it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlugReading {
    /// The wire is dull and bent: the plug is tired.
    pub tired: bool,
    /// What full throttle has left on it, if it can be read.
    pub colour: Option<PlugColour>,
    /// Why it can't.
    pub unread: Option<Unread>,
}

impl PlugReading {
    /// Reads a plug. `mixture` is that at full throttle just before the chop over that of best power, or why there is none;
    /// `knocked_s` the seconds of knocking among `full_s` of full throttle since it was last looked at, which show whatever came after.
    pub fn of(tired: bool, mixture: Result<f64, Unread>, knocked_s: f64, full_s: f64) -> Self {
        let colour = match mixture {
            _ if knocked_s > KNOCKED_S && knocked_s > KNOCKED_SHARE * full_s => Some(PlugColour::Specks),
            Ok(m) if m > WET => Some(PlugColour::Wet),
            Ok(m) if m > PALE => Some(PlugColour::Moist),
            Ok(_) => Some(PlugColour::Pale),
            Err(_) => None,
        };
        Self {
            tired,
            colour,
            unread: mixture.err().filter(|_| colour.is_none()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plug_is_read_by_mixture_and_knocking() {
        for (mixture, knocked_s, colour) in [
            (Err(Unread::NoChop), 0.0, None),
            (Err(Unread::NoChop), 5.0, Some(PlugColour::Specks)),
            (Ok(0.95), 0.0, Some(PlugColour::Pale)),
            (Ok(1.03), 0.0, Some(PlugColour::Moist)),
            (Ok(1.2), 0.0, Some(PlugColour::Wet)),
            (Ok(1.2), 0.4, Some(PlugColour::Wet)),
            (Ok(1.2), 0.6, Some(PlugColour::Specks)),
        ] {
            assert_eq!(PlugReading::of(false, mixture, knocked_s, 2.0).colour, colour);
            // The same seconds among many are none.
            let among_many = PlugReading::of(false, mixture, knocked_s, 1000.0);
            assert_ne!(among_many.colour, Some(PlugColour::Specks));
        }
    }

    #[test]
    fn what_is_not_read_says_why_and_what_is_does_not() {
        for why in Unread::ALL {
            assert_eq!(PlugReading::of(false, Err(why), 0.0, 2.0).unread, Some(why));
            assert_eq!(PlugReading::of(false, Err(why), 1.0, 2.0).unread, None);
        }
    }
}
