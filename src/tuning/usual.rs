//! From an engine's usual day to another: the setting at which it gets today the mixture it gets on the usual day, with its idle where a
//! careful racer leaves it, and how settings are judged today. A practice and a plan for another fuel or weather both begin here.

use super::judging::Judging;
use super::same_mixture::{Warmed, same_mixture_of};
use super::warmth::Warmth;
use crate::bench::checks::{Facts, Limits};
use crate::bench::manoeuvre::table::Waits;
use crate::config::EngineModel;
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup};

/// Where a careful racer leaves the idle in its window, as a share: high enough to pull away cleanly, with room for a hotter hour
/// (assumed).
const IDLE_PLACE: f64 = 0.75;

/// An engine on its usual day.
#[derive(Clone, Copy, Debug)]
pub struct Usual<'a> {
    /// The engine.
    pub engine: &'a EngineModel,
    /// The same with its usual fuel, in its usual weather.
    pub setup: &'a Setup,
    /// Where it is set then.
    pub setting: Setting,
    /// Limits of a clean setting.
    pub limits: Limits,
    /// Seed of the engine's noise.
    pub seed: u64,
}

impl Usual<'_> {
    /// The setting at which `sound` gets today the mixture of the usual day, each as warm as it comes in from laps.
    pub fn same_on(&self, sound: &Setup) -> Setting {
        let (today, usual) = rayon::join(|| self.warmed(sound), || self.warmed(self.setup));
        same_mixture_of(
            &today,
            &usual,
            self.setting,
            self.engine.rated_rpm,
            Some(self.idle_rpm(sound)),
        )
    }

    /// Where the idle is left, rpm.
    pub fn idle_rpm(&self, sound: &Setup) -> f64 {
        let limits = &self.limits;
        let clutch_rpm = sound.engine.drive.clutch_engage_rpm;
        let idle_high_rpm = limits.idle_high_rpm.min(clutch_rpm - limits.idle_below_clutch_rpm);
        limits.idle_low_rpm + IDLE_PLACE * (idle_high_rpm - limits.idle_low_rpm)
    }

    /// Equivalence ratios that `sound` meters today at each of these settings: wide open on the brake, and shut at the speed where the idle
    /// is left, so that nothing but the screws differs.
    pub fn mixtures(&self, sound: &Setup, settings: &[Setting]) -> Vec<[f64; 2]> {
        let warmed = self.warmed(sound);
        let full = warmed.wide_open(settings, self.engine.rated_rpm);
        let idle = warmed.shut(settings, self.idle_rpm(sound));
        full.into_iter().zip(idle).map(|(full, idle)| [full, idle]).collect()
    }

    /// Idle speeds of `sound` today at each of these settings, rpm; 0 where it dies.
    pub fn idles(&self, sound: &Setup, settings: &[Setting]) -> Vec<f64> {
        self.warmed(sound).idle_rpm(settings)
    }

    fn warmed(&self, setup: &Setup) -> Warmed {
        let warmth = Warmth::after_laps(setup, self.setting, self.seed);
        Warmed::new(setup, warmth, self.seed)
    }

    /// How settings are judged today: as warm as the engine comes in from laps at `setting`.
    pub fn judging(&self, sound: &Setup, setting: Setting) -> Judging {
        Judging {
            facts: Facts::of(self.engine, sound),
            limits: self.limits,
            waits: Waits::STANDARD,
            warmth: Warmth::after_laps(sound, setting, self.seed),
            seed: self.seed,
        }
    }

    /// How `check` judges them: at running temperature, whatever the weather.
    pub fn judging_as_checked(&self, sound: &Setup) -> Judging {
        Judging {
            facts: Facts::of(self.engine, sound),
            limits: self.limits,
            waits: Waits::STANDARD,
            warmth: Warmth::running(&Engine::new(sound)),
            seed: self.seed,
        }
    }
}
