//! What the carburettor of a practice's engine meters at both its ends, for whoever may know what is hidden: wide open on the brake, and shut
//! at the speed where the idle belongs. So nothing but screws and faults moves it, whatever the throttle hand does meanwhile.

use super::hidden::Hidden;
use super::judging::within;
use super::same_mixture::Warmed;
use crate::engine::Setup;
use crate::engine::params::Setting;

/// An idle where the true setting's own isn't known, rpm.
const SOME_IDLE_RPM: f64 = 10_000.0;

/// Equivalence ratios that a carburettor meters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Wide open, on the brake at the engine's rated speed.
    pub full: f64,
    /// Shut, at the idle speed of the true setting.
    pub idle: f64,
}

impl Ends {
    /// Of the engine as it stands, its faults included.
    pub fn at(hidden: &Hidden, setting: Setting) -> Self {
        Self::of(hidden, &hidden.setup, within(setting))
    }

    /// Of the sound engine at its true setting.
    pub fn right(hidden: &Hidden) -> Self {
        Self::of(hidden, &hidden.sound, hidden.truth)
    }

    /// As warm as it comes in from laps.
    fn of(hidden: &Hidden, setup: &Setup, setting: Setting) -> Self {
        let judging = &hidden.judging;
        let warmed = Warmed::new(setup, judging.warmth, judging.seed);
        let idle_rpm = hidden.at_truth.symptoms.idle_rpm.unwrap_or(SOME_IDLE_RPM);
        Self {
            full: warmed.wide_open(&[setting], judging.facts.rated_rpm)[0],
            idle: warmed.shut(&[setting], idle_rpm)[0],
        }
    }
}
