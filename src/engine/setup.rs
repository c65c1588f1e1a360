//! What an engine is derived from: parts, laws, plug, fuel, weather and faults, all in the units of their files.

use super::params::{EngineParams, Faults, HeatRange, LawParams};
use crate::fluids::{air::Air, fuel::Fuel, heat_release::HeatRelease};

/// Everything that stays constant while one engine runs: parts, fuel, weather, faults.
#[derive(Clone, Copy, Debug)]
pub struct Setup {
    /// The engine.
    pub engine: EngineParams,
    /// The laws' shared constants.
    pub laws: LawParams,
    /// The plug's heat range.
    pub range: HeatRange,
    /// The fuel.
    pub fuel: Fuel,
    /// Its heat per kilogram of air.
    pub heat: HeatRelease,
    /// The weather.
    pub air: Air,
    /// What is wrong with it.
    pub faults: Faults,
}
