//! What a practice costs an engine, by cause: seconds too lean, and shares of its life.

use serde::{Deserialize, Serialize};

use crate::engine::state::Damage;

/// Why an engine was too lean.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LeanCause {
    /// The needles.
    Needles,
    /// Something else kept the fuel away: a fault, an empty tank.
    Starved,
}

impl LeanCause {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Needles, Self::Starved];
}

/// Seconds too lean by cause.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeanSeconds {
    /// Of the needles.
    pub needles_s: f64,
    /// Of something else that kept the fuel away.
    pub starved_s: f64,
}

impl LeanSeconds {
    /// Of one cause.
    pub fn of(&self, cause: LeanCause) -> f64 {
        match cause {
            LeanCause::Needles => self.needles_s,
            LeanCause::Starved => self.starved_s,
        }
    }

    /// Adds to one cause.
    pub fn add(&mut self, cause: LeanCause, seconds: f64) {
        *match cause {
            LeanCause::Needles => &mut self.needles_s,
            LeanCause::Starved => &mut self.starved_s,
        } += seconds;
    }

    /// Of all causes.
    pub fn total(&self) -> f64 {
        LeanCause::ALL.iter().map(|cause| self.of(*cause)).sum()
    }
}

/// What wears an engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WearCause {
    /// Knocking.
    Detonation,
    /// Too hot a head.
    Overheating,
    /// Too little oil came with the fuel.
    ThinOil,
    /// Revving beyond what the rod bears.
    Revving,
    /// Load while cold.
    ColdRunning,
}

impl WearCause {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Detonation,
        Self::Overheating,
        Self::ThinOil,
        Self::Revving,
        Self::ColdRunning,
    ];
}

/// Wear by cause, as shares of an engine's life.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wear {
    /// Knocking.
    pub detonation: f64,
    /// Too hot a head.
    pub overheating: f64,
    /// Too little oil.
    pub thin_oil: f64,
    /// Revving.
    pub revving: f64,
    /// Load while cold.
    pub cold_running: f64,
}

impl Wear {
    /// Of one cause.
    pub fn of(&self, cause: WearCause) -> f64 {
        match cause {
            WearCause::Detonation => self.detonation,
            WearCause::Overheating => self.overheating,
            WearCause::ThinOil => self.thin_oil,
            WearCause::Revving => self.revving,
            WearCause::ColdRunning => self.cold_running,
        }
    }

    /// The same, to be changed.
    pub fn of_mut(&mut self, cause: WearCause) -> &mut f64 {
        match cause {
            WearCause::Detonation => &mut self.detonation,
            WearCause::Overheating => &mut self.overheating,
            WearCause::ThinOil => &mut self.thin_oil,
            WearCause::Revving => &mut self.revving,
            WearCause::ColdRunning => &mut self.cold_running,
        }
    }

    /// The causes that took at least this share, the worst first.
    pub fn worst(&self, least_share: f64) -> Vec<(WearCause, f64)> {
        let mut all: Vec<_> = WearCause::ALL.map(|cause| (cause, self.of(cause))).to_vec();
        all.retain(|(_, share)| *share >= least_share);
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        all
    }
}

impl From<Damage> for Wear {
    fn from(damage: Damage) -> Self {
        let Damage {
            detonation,
            overheating,
            thin_oil,
            revving,
            cold_running,
        } = damage;
        Self {
            detonation,
            overheating,
            thin_oil,
            revving,
            cold_running,
        }
    }
}

/// What a practice has cost so far, by cause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sums {
    /// Of the engine's life.
    pub wear: Wear,
    /// Too lean.
    pub lean: LeanSeconds,
}
