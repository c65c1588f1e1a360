//! The pinch test as an ear has it: how much the pitch of the idle rises while the fuel line is pinched.

use serde::{Deserialize, Serialize};

/// How much the pitch rises before the engine fades, from lean by right to rich.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PinchRise {
    /// Hardly at all.
    Hardly,
    /// Enough to be heard, and no more: on the border of lean.
    Barely,
    /// A little.
    Little,
    /// Clearly.
    Clear,
    /// A lot.
    Lot,
}

/// Rises of the pitch at which a grade begins, percent: a semitone is six, more than one is clear, two are a lot (assumed). A lean end
/// gains less than an ear tells two pitches in a row apart by, somewhat under a percent (assumed).
const RISE_PERCENT: [(f64, PinchRise); 4] = [
    (12.0, PinchRise::Lot),
    (6.0, PinchRise::Clear),
    (1.8, PinchRise::Little),
    (0.7, PinchRise::Barely),
];

impl PinchRise {
    /// All of them, from lean to rich.
    pub const ALL: [Self; 5] = [Self::Hardly, Self::Barely, Self::Little, Self::Clear, Self::Lot];

    /// The grade of a rise.
    pub fn of(percent: f64) -> Self {
        RISE_PERCENT
            .iter()
            .find(|(limit, _)| percent > *limit)
            .map_or(Self::Hardly, |(_, grade)| *grade)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_begin_above_their_limits() {
        for (percent, grade) in [
            (-3.0, PinchRise::Hardly),
            (0.7, PinchRise::Hardly),
            (0.8, PinchRise::Barely),
            (1.8, PinchRise::Barely),
            (1.9, PinchRise::Little),
            (6.0, PinchRise::Little),
            (6.1, PinchRise::Clear),
            (12.0, PinchRise::Clear),
            (12.1, PinchRise::Lot),
            (f64::NAN, PinchRise::Hardly),
        ] {
            assert_eq!(PinchRise::of(percent), grade, "{percent}");
        }
        assert!(PinchRise::ALL.is_sorted());
    }
}
