//! A plug as an eye reads it: whether its wire is sound, and the colour that full throttle has left on it since it was last looked at.

use serde::{Deserialize, Serialize};

/// Mean mixture at full throttle over that of best power, below which the plug comes out pale and above which wet. Assumed: a plug is
/// hottest, and palest, where combustion is; a clean setting lies up to some twelve percent on the rich side; and a plug is read in
/// three words, no finer.
const PALE: f64 = 0.97;
const WET: f64 = 1.12;
/// Seconds of knocking that leave specks on a plug. Assumed: a few hard beats, not one.
const KNOCKED_S: f64 = 0.1;

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

/// A plug as it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlugReading {
    /// The wire is dull and bent: the plug is tired.
    pub tired: bool,
    /// What full throttle has left on it; none where it has seen none.
    pub colour: Option<PlugColour>,
}

impl PlugReading {
    /// Reads a plug. `mixture` is the mean at full throttle over that of best power, `knocked_s` the seconds of knocking there.
    pub fn of(tired: bool, mixture: Option<f64>, knocked_s: f64) -> Self {
        let colour = mixture.map(|m| {
            if knocked_s > KNOCKED_S {
                PlugColour::Specks
            } else if m > WET {
                PlugColour::Wet
            } else if m > PALE {
                PlugColour::Moist
            } else {
                PlugColour::Pale
            }
        });
        Self { tired, colour }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plug_is_read_by_mixture_and_knocking() {
        for (mixture, knocked_s, colour) in [
            (None, 5.0, None),
            (Some(0.9), 0.0, Some(PlugColour::Pale)),
            (Some(1.0), 0.0, Some(PlugColour::Moist)),
            (Some(1.2), 0.0, Some(PlugColour::Wet)),
            (Some(1.2), 0.2, Some(PlugColour::Specks)),
        ] {
            assert_eq!(PlugReading::of(false, mixture, knocked_s).colour, colour);
        }
    }
}
