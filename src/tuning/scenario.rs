//! A scenario: an engine, a fuel's label, the weather, how far each screw starts from the truth, what is hidden, what may be
//! broken, and what it teaches. Read from a file with the place of every mistake.

use std::path::Path;

use serde::Serialize;

use super::action::Part;
use crate::bench::checks::Limits;
use crate::config::models::{self, is_path};
use crate::config::{ConfigError, OwnFiles, Source, Table, names};
use crate::engine::params::Faults;
use crate::fluids::air::Weather;
use crate::parameters::{parameters, put};

parameters! {
    /// Today's weather.
    WeatherNumbers "weather" {
        /// Air temperature.
        temperature_c: -30 ..= 55, design;
        /// Station pressure.
        pressure_hpa: 500 ..= 1100, design;
        /// Relative humidity.
        humidity_percent: 0 ..= 100, design;
    }
}

parameters! {
    /// Where the screws stand at the start, against the true setting: positive is rich at the needles, fast at the idle stop.
    StartNumbers "start" {
        /// High-speed needle.
        high_off_turns: -1 ..= 3, design;
        /// Low-speed needle.
        low_off_turns: -1 ..= 3, design;
        /// Idle stop.
        idle_off_turns: -3 ..= 4, design;
        /// Half width of what chance adds to each of the three.
        spread_turns: 0 ..= 0.5, design;
    }
}

parameters! {
    /// What is hidden, each as the half width of its draw.
    HiddenNumbers "hidden" {
        /// How the places scatter where a screw's ends are felt, in and out alike (drawn from none to twice this).
        zero_turns: 0 ..= 1, design;
        /// Nitromethane against the label, in volume percent.
        nitro_percent: 0 ..= 5, design;
        /// Oil against the label, in volume percent.
        oil_percent: 0 ..= 3, design;
        /// Viscosity of the oil against the book.
        viscosity_share: 0 ..= 0.4, assumed;
        /// Largest share of the charge that a worn sleeve loses (drawn from none to this).
        sleeve_wear_share: 0 ..= 0.2, design;
    }
}

parameters! {
    /// What is broken, none by default; each is a physical link of the model.
    FaultNumbers "fault" {
        /// Air leak behind the carburettor.
        air_leak_mm2: 0 ..= 3, design;
        /// Share of the fuel line that is blocked.
        line_blocked_share: 0 ..= 0.95, design;
        /// Share of the pipe's pressure that the pressure line loses.
        pressure_line_leak_share: 0 ..= 1, design;
        /// Share of the plug's catalytic part that is gone.
        plug_tired_share: 0 ..= 1, design;
        /// Share of the air filter that is blocked.
        filter_blocked_share: 0 ..= 0.95, design;
        /// Brake drag at the wheels.
        brake_drag_n: 0 ..= 60, design;
        /// Share of the time in which the fuel line carries foam.
        foam_share: 0 ..= 1, design;
    }
}

impl FaultNumbers {
    /// As links of the model.
    pub fn faults(&self, sleeve_wear_share: f64) -> Faults {
        Faults {
            air_leak_mm2: self.air_leak_mm2,
            line_blocked_share: self.line_blocked_share,
            pressure_line_leak_share: self.pressure_line_leak_share,
            plug_tired_share: self.plug_tired_share,
            sleeve_wear_share,
            filter_blocked_share: self.filter_blocked_share,
            brake_drag_n: self.brake_drag_n,
            foam_share: self.foam_share,
        }
    }

    /// The parts at fault.
    pub fn parts(&self) -> Vec<Part> {
        [
            (Part::Leak, self.air_leak_mm2),
            (Part::Line, self.line_blocked_share),
            (Part::Pressure, self.pressure_line_leak_share),
            (Part::Plug, self.plug_tired_share),
            (Part::Filter, self.filter_blocked_share),
            (Part::Brake, self.brake_drag_n),
            (Part::Tank, self.foam_share),
        ]
        .into_iter()
        .filter(|(_, size)| *size > 0.0)
        .map(|(part, _)| part)
        .collect()
    }
}

/// A practice situation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scenario {
    /// Name, as given to `practise`.
    pub name: String,
    /// What it is, in one line.
    pub summary: String,
    /// What it teaches.
    pub teaches: String,
    /// Engine (name or path).
    pub engine: String,
    /// Fuel on the label (name or path).
    pub fuel: String,
    /// Glow plug (name or path).
    pub plug: String,
    /// Whether the engine is cold at the start.
    pub cold: bool,
    /// Today's weather.
    pub weather: WeatherNumbers,
    /// Where the screws stand.
    pub start: StartNumbers,
    /// What is hidden.
    pub hidden: HiddenNumbers,
    /// What is broken.
    pub fault: FaultNumbers,
    /// Limits of a clean setting.
    pub limits: Limits,
    /// Own files among engine, fuel and plug.
    #[serde(skip)]
    pub own: OwnFiles,
}

macro_rules! scenarios {
    ($($name:literal)+) => {
        &[$(models::BuiltIn {
            name: $name,
            path: concat!("scenarios/", $name, ".toml"),
            text: include_str!(concat!("../../scenarios/", $name, ".toml")),
        },)+]
    };
}

/// The built-in scenarios, from easy to hard; the first is the default.
pub const SCENARIOS: &[models::BuiltIn] = scenarios!(
    "lesson-1" "lesson-2" "lesson-3" "fuel-change" "lean-low-end" "false-idle" "cold-morning" "mountain-track"
    "summer-heat" "small-engine" "big-engine" "air-leak" "tired-plug" "clogged-line"
);

impl Scenario {
    /// Tables that only a scenario has: what tells its file from others.
    pub const OWN_TABLE: &'static str = StartNumbers::GROUP;

    /// Reads a scenario's file, and the own files that it names.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range, or a model that is not built in or can't be used.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let alone = Self::read_alone(source)?;
        let own = OwnFiles::read(&alone.engine, &alone.fuel, &alone.plug)?;
        Ok(Self { own, ..alone })
    }

    /// Reads a scenario's text with the files that a recording carries; nothing is read from the disk.
    ///
    /// # Errors
    /// As for reading a file, or a file that is not carried.
    pub fn carried(source: &Source, own: OwnFiles) -> Result<Self, ConfigError> {
        let alone = Self::read_alone(source)?;
        own.check(&alone.engine, &alone.fuel, &alone.plug)?;
        Ok(Self { own, ..alone })
    }

    fn read_alone(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(
            &[],
            &[
                "name",
                "summary",
                "teaches",
                "engine",
                "fuel",
                "plug",
                "engine_is",
                WeatherNumbers::GROUP,
                StartNumbers::GROUP,
                HiddenNumbers::GROUP,
                FaultNumbers::GROUP,
                Limits::GROUP,
            ],
        )?;
        let reference = |kind, key: &str, known: Vec<&'static str>| -> Result<String, ConfigError> {
            let name = root.text(key)?;
            if !is_path(&name) && !known.contains(&name.as_str()) {
                return Err(ConfigError::UnknownReference {
                    place: root.place_of(key),
                    kind,
                    hint: names::hint(&name, &known),
                    name,
                });
            }
            Ok(name)
        };
        let engine = reference("engine", "engine", models::engine_names())?;
        let fuel = reference("fuel", "fuel", models::fuel_names())?;
        let plug = reference("plug", "plug", models::plug_names())?;
        let is = root.text("engine_is")?;
        let cold = match is.as_str() {
            "cold" => true,
            "warm" => false,
            _ => {
                return Err(ConfigError::Together {
                    place: root.place_of("engine_is"),
                    what: format!("`engine_is` = \"{}\" says nothing", is.escape_debug()),
                    remedy: "write \"warm\" or \"cold\"",
                });
            }
        };
        let mut weather = WeatherNumbers::default();
        let mut start = StartNumbers::default();
        let mut hidden = HiddenNumbers::default();
        let (mut fault, mut limits) = (FaultNumbers::default(), Limits::STANDARD);
        root.table(WeatherNumbers::GROUP)?
            .group(WeatherNumbers::KEYS, &[], |k, v| put(weather.get_mut(k), v))?;
        root.table(StartNumbers::GROUP)?
            .group(StartNumbers::KEYS, &[], |k, v| put(start.get_mut(k), v))?;
        root.table(HiddenNumbers::GROUP)?
            .group(HiddenNumbers::KEYS, &[], |k, v| put(hidden.get_mut(k), v))?;
        if let Some(table) = root.optional_table(FaultNumbers::GROUP)? {
            table.only(FaultNumbers::KEYS, &[])?;
            for key in FaultNumbers::KEYS {
                if let Some(value) = table.optional_number(key)? {
                    put(fault.get_mut(key.name), value);
                }
            }
        }
        if let Some(table) = root.optional_table(Limits::GROUP)? {
            table.only(Limits::KEYS, &[])?;
            for key in Limits::KEYS {
                if let Some(value) = table.optional_number(key)? {
                    put(limits.get_mut(key.name), value);
                }
            }
        }
        Ok(Self {
            name: root.text("name")?,
            summary: root.text("summary")?,
            teaches: root.text("teaches")?,
            engine,
            fuel,
            plug,
            cold,
            weather,
            start,
            hidden,
            fault,
            limits,
            own: OwnFiles::default(),
        })
    }

    /// Today's weather.
    pub fn weather(&self) -> Weather {
        Weather {
            temperature_c: self.weather.temperature_c,
            pressure_hpa: self.weather.pressure_hpa,
            humidity_percent: self.weather.humidity_percent,
        }
    }
}

/// The text of a scenario, by name or path.
///
/// # Errors
/// No such name, or a file that can't be read.
pub fn source(argument: &str) -> Result<Source, ConfigError> {
    if is_path(argument) {
        return Source::read(Path::new(argument));
    }
    built_in(argument)
}

/// The text of a built-in scenario.
///
/// # Errors
/// No such name.
pub fn built_in(name: &str) -> Result<Source, ConfigError> {
    models::built_in("scenario", name, SCENARIOS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_scenario_reads_and_bears_its_own_name() {
        for file in SCENARIOS {
            let scenario = Scenario::read(&Source::new(file.path, file.text)).unwrap_or_else(|error| panic!("{error}"));
            assert_eq!(scenario.name, file.name);
        }
    }

    #[test]
    fn every_file_in_the_folder_is_built_in() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
        let mut found: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|e| e == "toml"))
            .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
            .collect();
        let mut listed: Vec<&str> = SCENARIOS.iter().map(|file| file.name).collect();
        found.sort();
        listed.sort();
        assert_eq!(found, listed);
    }

    #[test]
    fn mistakes_are_told_at_their_place() {
        let changed = |from: &str, to: &str| {
            let text = SCENARIOS[0].text.replacen(from, to, 1);
            assert_ne!(text, SCENARIOS[0].text, "{from}");
            Scenario::read(&Source::new("mine.toml", &text))
                .unwrap_err()
                .to_string()
        };
        for (from, to, expected) in [
            (
                "offroad-3.5",
                "offroad-35",
                "there is no engine `offroad-35`; did you mean `offroad-3.5`?",
            ),
            (
                "high_off_turns = 0.4",
                "high_off_turns = 9",
                "`high_off_turns` = 9 is out of range; allowed -1 to 3",
            ),
            (
                "high_off_turns",
                "high_of_turns",
                "[start] has no key `high_of_turns`; did you mean",
            ),
            (
                "engine_is = \"warm\"",
                "engine_is = \"tepid\"",
                "write \"warm\" or \"cold\"",
            ),
            (
                "[weather]",
                "[fault]\nair_leak_cm2 = 1\n[weather]",
                "`air_leak_cm2` has the wrong unit",
            ),
        ] {
            let message = changed(from, to);
            assert!(
                message.starts_with("mine.toml:") && message.contains(expected),
                "{message}"
            );
        }
        let message = source("lesson1").unwrap_err().to_string();
        assert!(
            message.contains("there is no scenario `lesson1`; did you mean `lesson-1`?"),
            "{message}"
        );
    }
}
