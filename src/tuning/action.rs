//! What somebody at the bench can do, as plain data: one value per action, written and read the same in recordings, scripts and
//! screens.

use serde::{Deserialize, Serialize};

/// A screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Screw {
    /// High-speed needle.
    High,
    /// Low-speed needle.
    Low,
    /// Idle stop.
    Idle,
}

impl Screw {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 3] = [Self::High, Self::Low, Self::Idle];

    /// Its name in the trade.
    pub fn name(self) -> &'static str {
        match self {
            Self::High => "high-speed needle",
            Self::Low => "low-speed needle",
            Self::Idle => "idle stop",
        }
    }
}

/// A part that can be at fault, and put right at the track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// A seal that lets air in behind the carburettor.
    Leak,
    /// The fuel line or its filter.
    Line,
    /// The line that brings the pipe's pressure to the tank.
    Pressure,
    /// The glow plug.
    Plug,
    /// The air filter.
    Filter,
    /// A dragging brake.
    Brake,
    /// The tank's pick-up, which draws foam.
    Tank,
}

impl Part {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Leak,
        Self::Line,
        Self::Pressure,
        Self::Plug,
        Self::Filter,
        Self::Brake,
        Self::Tank,
    ];

    /// Minutes that putting it right takes, with everything that is in the way (assumed).
    pub fn cure_minutes(self) -> u32 {
        match self {
            // The carburettor comes off.
            Self::Leak => 12,
            Self::Line => 6,
            Self::Pressure | Self::Brake => 4,
            Self::Plug => 3,
            Self::Filter => 5,
            // The tank comes out.
            Self::Tank => 8,
        }
    }

    /// What the new part costs, euros (assumed, round: what a club's shop asks).
    pub fn cure_euros(self) -> u32 {
        match self {
            Self::Leak => 5,
            Self::Line => 6,
            Self::Pressure => 2,
            Self::Plug => 8,
            Self::Filter => 4,
            Self::Brake => 0,
            Self::Tank => 3,
        }
    }

    /// The word by which it is fixed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Leak => "leak",
            Self::Line => "line",
            Self::Pressure => "pressure",
            Self::Plug => "plug",
            Self::Filter => "filter",
            Self::Brake => "brake",
            Self::Tank => "tank",
        }
    }
}

/// What somebody says of one end of the mixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Too much fuel.
    Rich,
    /// As it should be.
    Right,
    /// Too little fuel.
    Lean,
}

/// One action.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Action {
    /// Turn a screw by so many turns: out is positive at the needles (more fuel), in is positive at the idle stop (faster).
    Turn {
        /// Which.
        screw: Screw,
        /// How far, -2 to 2 turns.
        turns: f64,
    },
    /// Move the throttle and leave it there.
    Throttle {
        /// 0 shut to 1 full.
        position: f64,
    },
    /// Hold the throttle for a while, then let it spring back.
    Hold {
        /// 0 shut to 1 full.
        position: f64,
        /// Milliseconds.
        ms: u32,
    },
    /// Let time pass.
    Wait {
        /// Milliseconds.
        ms: u32,
    },
    /// Open the throttle slowly from idle to full, then let it spring back.
    RollOn,
    /// Read the temperature gun on the head.
    Gun,
    /// Look over filter, lines, tank, brake, throttle: takes a minute.
    Inspect,
    /// Pinch the fuel line at idle until the speed falls away, then let go.
    Pinch,
    /// Stop, pull the plug, look at it, put it back: takes a minute and a half.
    Plug,
    /// Warm the engine up with gentle throttle.
    Warm,
    /// Drive laps and bring it in.
    Laps {
        /// How many, 1 to 20.
        laps: u8,
    },
    /// Fill the tank.
    Fuel,
    /// Stop the engine.
    Stop,
    /// Start it, with the glow lead on.
    Start,
    /// "Not the mixture": put one part right; takes its time and costs its price, sound or not.
    Fix {
        /// Which.
        part: Part,
    },
    /// Say, before the first turn of a needle, how one end is, and how sure.
    Judge {
        /// The high-speed or the low-speed end.
        end: Screw,
        /// How it is.
        verdict: Verdict,
        /// How sure, 34 to 100 percent.
        sure_percent: u8,
    },
    /// Have the setting checked: ends the practice.
    SignOff,
    /// End without signing off.
    Leave,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_action_survives_its_line_to_the_bit() {
        // As typed: fractions, decimals and clicks.
        let amounts = (1..=64).flat_map(|part| (1..=64).map(move |whole| f64::from(part) / f64::from(whole)));
        let clicks = (1..=64).map(|click| f64::from(click) * (1.0 / 24.0));
        for turns in amounts.chain(clicks).flat_map(|turns| [turns, -turns]) {
            let screw = Screw::Low;
            let line = serde_json::to_string(&Action::Turn { screw, turns }).unwrap();
            match serde_json::from_str(&line).unwrap() {
                Action::Turn { turns: read, .. } => assert_eq!(read.to_bits(), turns.to_bits(), "{line}"),
                other => panic!("{other:?}"),
            }
        }
    }
}
