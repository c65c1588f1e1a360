//! What a picture of an explanation is of: engine, fuel, setting, weather and seed, as they stand in its caption.

use super::canvas::short;
use crate::engine::params::Setting;
use crate::fluids::air::Weather;

/// What was run.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The engine's name.
    pub engine: &'a str,
    /// The fuel's.
    pub fuel: &'a str,
    /// The plug's.
    pub plug: &'a str,
    /// The air.
    pub weather: Weather,
    /// Where the screws stand.
    pub setting: Setting,
    /// Seed of the noise.
    pub seed: u64,
}

impl Subject<'_> {
    /// Engine and fuel.
    pub fn name(&self) -> String {
        format!("{} on {}", short(self.engine, 32), short(self.fuel, 32))
    }

    /// Air.
    pub fn air(&self) -> String {
        let w = &self.weather;
        format!(
            "{:.1} °C, {:.1} hPa, {:.0} % humidity",
            w.temperature_c, w.pressure_hpa, w.humidity_percent
        )
    }
}

/// A setting in words.
pub fn setting(setting: Setting) -> String {
    format!(
        "high {:.3}, low {:.3}, idle stop {:.3} turns",
        setting.high_turns, setting.low_turns, setting.idle_turns
    )
}
