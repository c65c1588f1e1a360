//! Options that several commands share, each with its allowed range, and the models they mean.
//!
//! A value outside its range is refused while the arguments are read, so a command only ever sees values that make sense.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use clap::Args;
use needlebench::config::models;
use needlebench::config::{ConfigError, EngineModel, Ensemble, FuelModel, Models, Source};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams, Setting};
use needlebench::fluids::air::Weather;
use needlebench::fluids::fuel::Blend;
use needlebench::units::{celsius_from_fahrenheit, hpa_from_inhg};

use crate::cli::Failure;
use crate::cli::places::Named;

/// Another one each time; small, so that it can be said and typed.
pub fn any_seed() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(1, |d| u64::from(d.subsec_nanos()) / 7 % 100_000)
}

/// The engine that is meant when none is named.
const DEFAULT_ENGINE: &str = models::ENGINES[0].name;

/// A parser for a number within a range, whose message tells the range and the remedy.
pub fn number(low: f64, high: f64, unit: &'static str) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync {
    move |text| {
        let allowed = format!("allowed {low} to {high} {unit}");
        match text.parse::<f64>() {
            Ok(value) if (low..=high).contains(&value) => Ok(value),
            Ok(value) if value.is_finite() => Err(format!("out of range; {allowed}; choose a value within")),
            Ok(_) => Err(format!(
                "not a finite number; {allowed}; write a plain number such as {low}"
            )),
            Err(_) => Err(format!(
                "not a number; {allowed}; write it without its unit, with a point for decimals"
            )),
        }
    }
}

/// Reads a whole number within these bounds; the message tells them and the remedy.
pub fn whole(low: u64, high: u64) -> impl Fn(&str) -> Result<u64, String> + Clone + Send + Sync {
    move |text| {
        let allowed = format!("allowed {low} to {high}");
        let such = low.max(7).min(high);
        match text.parse() {
            Ok(value) if (low..=high).contains(&value) => Ok(value),
            _ if text.parse::<f64>().is_ok_and(f64::is_finite) => Err(format!(
                "not a whole number in range; {allowed}; choose one, such as {such}"
            )),
            _ => Err(format!(
                "not a whole number; {allowed}; write digits only, such as {such}"
            )),
        }
    }
}

/// Reads a seed; the message tells the range and the remedy.
pub fn seed(text: &str) -> Result<u64, String> {
    whole(0, u64::MAX)(text)
}

/// Which fuel: by name or file, or by its label's percentages.
#[derive(Args, Clone, Debug)]
#[command(next_help_heading = "Fuel")]
pub struct FuelOptions {
    /// Fuel: a built-in name (see `needlebench models`) or a file [default: the engine's reference fuel]
    #[arg(long, value_name = "NAME|FILE", conflicts_with_all = ["nitro", "oil", "castor_share"])]
    pub fuel: Option<String>,
    /// Nitromethane, percent by volume [default: that of the reference fuel]
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true, value_parser = number(0.0, 100.0, "percent"))]
    pub nitro: Option<f64>,
    /// Oil, percent by volume [default: that of the reference fuel]
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true,
          value_parser = number(0.0, Blend::MAX_OIL_PERCENT, "percent"))]
    pub oil: Option<f64>,
    /// Castor oil's share of the oil, 0 to 1 [default: that of the reference fuel]
    #[arg(long, value_name = "SHARE", allow_negative_numbers = true, value_parser = number(0.0, 1.0, "(1 is all castor)"))]
    pub castor_share: Option<f64>,
}

impl FuelOptions {
    /// Whether the fuel is the user's choice in any way.
    pub fn is_given(&self) -> bool {
        self.fuel.is_some() || self.nitro.is_some() || self.oil.is_some() || self.castor_share.is_some()
    }

    /// The fuel; what isn't given is taken from `reference` (name or path).
    ///
    /// # Errors
    /// A fuel that can't be read, or nitromethane and oil beyond 100 percent.
    pub fn load(&self, reference: &str) -> Result<FuelModel, Failure> {
        let base = models::fuel(self.fuel.as_deref().unwrap_or(reference))?;
        if self.fuel.is_some() || !self.is_given() {
            return Ok(base);
        }
        let blend = Blend {
            nitro_percent: self.nitro.unwrap_or(base.blend.nitro_percent),
            oil_percent: self.oil.unwrap_or(base.blend.oil_percent),
            castor_share: self.castor_share.unwrap_or(base.blend.castor_share),
        };
        match blend.validated() {
            Ok(blend) => Ok(FuelModel::from_blend(blend)),
            Err(error) => Err(Failure::Usage {
                flag: "--nitro, --oil",
                what: error.to_string(),
                allowed: "100 percent together, the rest being methanol",
                remedy: "lower one of them",
            }),
        }
    }
}

/// The lowest and highest air temperature in °F, rounded inward.
pub const TEMPERATURE_F: [f64; 2] = [-22.0, 131.0];
/// The same of the pressure in inches of mercury.
pub const PRESSURE_INHG: [f64; 2] = [14.8, 32.4];

/// Today's weather.
#[derive(Args, Clone, Debug)]
#[command(next_help_heading = "Weather")]
pub struct WeatherOptions {
    /// Air temperature, °C
    #[arg(long, value_name = "C", default_value_t = Weather::REFERENCE.temperature_c, allow_negative_numbers = true,
          value_parser = number(*Weather::TEMPERATURE_C.start(), *Weather::TEMPERATURE_C.end(), "°C"))]
    pub temperature_c: f64,
    /// Air temperature, °F
    #[arg(long, value_name = "F", conflicts_with = "temperature_c", allow_negative_numbers = true,
          value_parser = number(TEMPERATURE_F[0], TEMPERATURE_F[1], "°F"))]
    pub temperature_f: Option<f64>,
    /// Air pressure at the track (station pressure, not reduced to sea level), hPa [default: 1013.25]
    #[arg(long, value_name = "HPA", allow_negative_numbers = true, conflicts_with = "altitude_m",
          value_parser = number(*Weather::PRESSURE_HPA.start(), *Weather::PRESSURE_HPA.end(), "hPa"))]
    pub pressure_hpa: Option<f64>,
    /// The same in inches of mercury
    #[arg(long, value_name = "INHG", allow_negative_numbers = true, conflicts_with_all = ["pressure_hpa", "altitude_m"],
          value_parser = number(PRESSURE_INHG[0], PRESSURE_INHG[1], "inHg"))]
    pub pressure_inhg: Option<f64>,
    /// Altitude of the track, m: stands in for a barometer by the standard atmosphere
    #[arg(long, value_name = "M", allow_negative_numbers = true, value_parser = number(-500.0, 5500.0, "m"))]
    pub altitude_m: Option<f64>,
    /// Relative humidity, percent
    #[arg(long, value_name = "PERCENT", default_value_t = Weather::REFERENCE.humidity_percent,
          allow_negative_numbers = true, value_parser = number(0.0, 100.0, "percent"))]
    pub humidity_percent: f64,
}

impl WeatherOptions {
    /// The weather meant.
    pub fn weather(&self) -> Weather {
        let temperature_c = self.temperature_f.map_or(self.temperature_c, celsius_from_fahrenheit);
        let humidity_percent = self.humidity_percent;
        match self.altitude_m {
            Some(altitude_m) => Weather::at_altitude(temperature_c, altitude_m, humidity_percent),
            None => Weather {
                temperature_c,
                pressure_hpa: self
                    .pressure_hpa
                    .or(self.pressure_inhg.map(hpa_from_inhg))
                    .unwrap_or(Weather::REFERENCE.pressure_hpa),
                humidity_percent,
            },
        }
    }
}

/// Which engine, plug and fuel.
#[derive(Args, Clone, Debug)]
#[command(next_help_heading = "Engine")]
pub struct EngineOptions {
    /// Engine: a built-in name (see `needlebench models`) or a file
    #[arg(long, value_name = "NAME|FILE", default_value = DEFAULT_ENGINE)]
    pub engine: String,
    /// Glow plug: a built-in name or a file [default: the engine's reference plug]
    #[arg(long, value_name = "NAME|FILE")]
    pub plug: Option<String>,
    #[command(flatten)]
    pub fuel: FuelOptions,
}

impl EngineOptions {
    /// The files among them and those that the engine's own file names, with the flags that lead to them.
    pub fn files<'a>(&'a self, engine: &'a EngineModel) -> Vec<Named<'a>> {
        let named = [
            ("--engine", Some(&self.engine)),
            ("--plug", self.plug.as_ref()),
            ("--fuel", self.fuel.fuel.as_ref()),
            ("--engine", Some(&engine.reference_plug)),
            ("--engine", Some(&engine.reference_fuel)),
        ];
        named
            .into_iter()
            .filter_map(|(flag, text)| Some((flag, text.filter(|text| models::is_path(text))?)))
            .map(|(flag, text)| (flag, Path::new(text)))
            .collect()
    }

    /// The models meant.
    ///
    /// # Errors
    /// A name that isn't built in, or a file that can't be used.
    pub fn load(&self) -> Result<Models, Failure> {
        let engine = models::engine(&self.engine)?;
        let plug = models::plug(self.plug.as_deref().unwrap_or(&engine.reference_plug))?;
        let fuel = self.fuel.load(&engine.reference_fuel)?;
        Ok(Models {
            engine,
            plug,
            fuel,
            laws: models::laws()?,
        })
    }
}

/// What files and practices allow too.
const MOST_OPEN: Setting = EngineModel::MOST_OPEN;

/// The screws, in turns open from closed.
#[derive(Args, Clone, Debug)]
#[command(next_help_heading = "Setting")]
pub struct ScrewOptions {
    /// High-speed needle, turns open from closed [default: the engine's reference]
    #[arg(long, value_name = "TURNS", allow_negative_numbers = true,
          value_parser = number(0.0, MOST_OPEN.high_turns, "turns open from closed"))]
    pub high: Option<f64>,
    /// Low-speed needle, turns open from closed [default: the engine's reference]
    #[arg(long, value_name = "TURNS", allow_negative_numbers = true,
          value_parser = number(0.0, MOST_OPEN.low_turns, "turns open from closed"))]
    pub low: Option<f64>,
    /// Idle stop, turns in from closed [default: the engine's reference]
    #[arg(long, value_name = "TURNS", allow_negative_numbers = true,
          value_parser = number(0.0, MOST_OPEN.idle_turns, "turns in from closed"))]
    pub idle: Option<f64>,
}

impl ScrewOptions {
    /// Whether any screw is said.
    pub fn is_given(&self) -> bool {
        self.high.is_some() || self.low.is_some() || self.idle.is_some()
    }

    /// The setting meant; what isn't given is taken from the engine's reference.
    pub fn setting(&self, reference: Setting) -> Setting {
        Setting {
            high_turns: self.high.unwrap_or(reference.high_turns),
            low_turns: self.low.unwrap_or(reference.low_turns),
            idle_turns: self.idle.unwrap_or(reference.idle_turns),
        }
    }
}

/// The screws, and how warm the engine is.
#[derive(Args, Clone, Debug)]
#[command(next_help_heading = "Setting")]
pub struct SettingOptions {
    #[command(flatten)]
    pub screws: ScrewOptions,
    /// Start with a cold engine
    #[arg(long)]
    pub cold: bool,
}

impl SettingOptions {
    /// The setting meant; what isn't given is taken from the engine's reference.
    pub fn setting(&self, reference: Setting) -> Setting {
        self.screws.setting(reference)
    }
}

/// Where noise comes from.
#[derive(Args, Clone, Copy, Debug)]
pub struct SeedOptions {
    /// Seed of all noise: the same seed gives the same result, to the bit
    #[arg(long, value_name = "N", default_value_t = 1, allow_negative_numbers = true, value_parser = seed,
          help_heading = "Answer")]
    pub seed: u64,
}

/// How sure an answer is.
#[derive(Args, Clone, Debug)]
pub struct SpreadOptions {
    /// How sure is it: the median and range of every measure over sets of constants that all show what this engine shows
    #[arg(long, help_heading = "Answer")]
    pub spread: bool,
    /// Sets of constants of your own, beside --spread [default: those that ship with the models; `models show ensemble`]
    #[arg(long, value_name = "FILE", requires = "spread", help_heading = "Answer")]
    pub ensemble: Option<PathBuf>,
}

impl SpreadOptions {
    /// The engine by each set's constants, in the same fuel and air, if that is asked for.
    ///
    /// # Errors
    /// A file that can't be used, or one that does not know the engine.
    pub fn setups(
        &self,
        engine: &EngineOptions,
        models: &Models,
        setup: &Setup,
    ) -> Result<Option<Vec<Setup>>, Failure> {
        if !self.spread {
            return Ok(None);
        }
        let ensemble = match &self.ensemble {
            Some(path) => Ensemble::read(&Source::read(path)?)?,
            // What was drawn for a built-in engine says nothing of a changed one.
            None if models::is_path(&engine.engine) => {
                return Err(unknown("a file", "--engine NAME of a built-in engine"));
            }
            None => Ensemble::built_in()?,
        };
        let sets = ensemble.setups(&models.engine.name, setup);
        if sets.is_empty() {
            return Err(unknown(
                &format!("`{}`", models.engine.name),
                "an engine that the ensemble has a table for",
            ));
        }
        Ok(Some(sets))
    }
}

/// Constants of a built-in engine and the laws by each set that ships with the models, for answers that always count them; none for an
/// engine of the user's own, of which nothing was drawn.
///
/// # Errors
/// None with a tested build.
pub fn other_constants(engine: &EngineModel) -> Result<Vec<(EngineParams, LawParams)>, Failure> {
    if !models::engine_names().contains(&engine.name.as_str()) || Models::of_engine(&engine.name)?.engine != *engine {
        return Ok(Vec::new());
    }
    let members = Ensemble::built_in()?.models(&Models::of_engine(&engine.name)?);
    Ok(members.into_iter().map(|m| (m.engine.params, m.laws)).collect())
}

/// An engine for which there are no sets.
fn unknown(engine: &str, allowed: &'static str) -> Failure {
    Failure::Usage {
        flag: "--spread",
        what: format!("no sets of constants were drawn for {engine}"),
        allowed,
        remedy: "choose another engine, or give sets of your own by --ensemble FILE",
    }
}

/// How to answer.
#[derive(Args, Clone, Copy, Debug)]
pub struct AnswerOptions {
    /// Answer in JSON
    #[arg(long, help_heading = "Answer")]
    pub json: bool,
}

/// The name of the fuel that is meant where no engine is named.
///
/// # Errors
/// None with a tested build.
pub fn default_fuel() -> Result<String, ConfigError> {
    Ok(models::engine(DEFAULT_ENGINE)?.reference_fuel)
}
