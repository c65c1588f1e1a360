//! Where the story of what failed in a practice is told: the symptoms, and the setting at which `explain` shows them.

use serde::Serialize;

use super::session::Session;
use crate::bench::checks::CheckName;
use crate::engine::params::Setting;
use crate::insight::story::Tale;
use crate::tuning::scenario::WeatherNumbers;

/// Where `explain` tells the story of what failed: the engine by its label, at the setting where it was left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explained {
    /// The symptoms, as `explain --symptom` names them.
    pub symptoms: Vec<&'static str>,
    /// Engine, fuel and plug (names or paths).
    pub engine: String,
    /// Fuel.
    pub fuel: String,
    /// Plug.
    pub plug: String,
    /// The weather.
    pub weather: WeatherNumbers,
    /// The setting, turns open.
    pub setting: Setting,
}

impl Explained {
    /// What failed at this setting, at the end of a practice.
    pub fn of(failed: &[CheckName], session: &Session, setting: Setting) -> Self {
        let truth = session.episode().hidden.truth;
        let mut symptoms: Vec<&'static str> = Vec::new();
        for tale in failed.iter().filter_map(|name| Tale::of(*name, setting, truth)) {
            if !symptoms.contains(&tale.name()) {
                symptoms.push(tale.name());
            }
        }
        let scenario = &session.scenario;
        Self {
            symptoms,
            engine: scenario.engine.clone(),
            fuel: scenario.fuel.clone(),
            plug: scenario.plug.clone(),
            weather: scenario.weather,
            setting,
        }
    }
}
