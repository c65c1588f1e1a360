//! A scenario: an engine, a fuel's label, the weather, how far each screw may start from the truth, what is hidden, what may be
//! broken, and what it teaches. Read from a file with the place of every mistake. Its name and summary say what happened; what is
//! wrong, on which side and by how much chance draws anew in every practice (`drawn`).

mod numbers;
mod tables;

use std::path::Path;

use serde::Serialize;

pub use numbers::{
    Fault, FaultNumbers, HiddenNumbers, LEAST_SHARE, NeedleNumbers, Off, StageNumbers, StartNumbers, StopNumbers,
    WeatherNumbers,
};
pub use tables::Stage;
use tables::{read_cold, read_fault, read_stages, read_start};

use crate::bench::checks::Limits;
use crate::config::models::{self, is_path};
use crate::config::{ConfigError, OwnFiles, Source, Table, names};
use crate::fluids::air::Weather;
use crate::parameters::put;

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
    /// How far the screws may be off.
    pub start: StartNumbers,
    /// What is hidden.
    pub hidden: HiddenNumbers,
    /// Whether which set of constants is the engine's is hidden, too.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub ensemble: bool,
    /// What may be broken.
    pub fault: FaultNumbers,
    /// Limits of a clean setting.
    pub limits: Limits,
    /// What comes after each sign-off but the last; nothing in most.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stages: Vec<Stage>,
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
    "lesson-1" "lesson-2" "lesson-3" "fuel-change" "other-hands" "rebuild" "cold-morning" "mountain-track"
    "summer-heat" "small-engine" "big-engine" "after-crash" "long-day" "winter-shelf" "club-day" "weekend"
);

/// Of the table `hidden`: whether the engine is by a set of constants that is drawn.
const ENSEMBLE: &str = "ensemble";

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
                StageNumbers::GROUP,
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
        let cold = read_cold(&root)?;
        let mut weather = WeatherNumbers::default();
        let mut start = StartNumbers::default();
        let mut hidden = HiddenNumbers::default();
        let (mut fault, mut limits) = (FaultNumbers::default(), Limits::STANDARD);
        root.table(WeatherNumbers::GROUP)?
            .group(WeatherNumbers::KEYS, &[], |k, v| put(weather.get_mut(k), v))?;
        read_start(&root.table(StartNumbers::GROUP)?, &mut start)?;
        let table = root.table(HiddenNumbers::GROUP)?;
        table.group(HiddenNumbers::KEYS, &[ENSEMBLE], |k, v| put(hidden.get_mut(k), v))?;
        let ensemble = table.has(ENSEMBLE) && table.yes_no(ENSEMBLE)?;
        if ensemble && is_path(&engine) {
            return Err(ConfigError::Together {
                place: table.place_of(ENSEMBLE),
                what: format!("no sets of constants were drawn for `{}`", engine.escape_debug()),
                remedy: "leave `ensemble` out, or name a built-in engine",
            });
        }
        if let Some(table) = root.optional_table(FaultNumbers::GROUP)? {
            read_fault(&table, &mut fault)?;
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
            ensemble,
            fault,
            limits,
            stages: read_stages(&root)?,
            own: OwnFiles::default(),
        })
    }

    /// The situation as it is after so many sign-offs: what happened, the fuel, the weather, and whether it is cold.
    pub fn at_stage(&self, signed_off: usize) -> Self {
        let mut now = self.clone();
        if let Some(stage) = signed_off.checked_sub(1).and_then(|k| self.stages.get(k)) {
            now.summary.clone_from(&stage.summary);
            now.fuel.clone_from(&stage.fuel);
            (now.cold, now.weather) = (stage.cold, stage.weather);
        }
        now
    }

    /// Today's weather.
    pub fn weather(&self) -> Weather {
        self.weather.weather()
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
                "most_rich_turns = 0.9",
                "most_rich_turns = 9",
                "`most_rich_turns` = 9 is out of range; allowed 0 to 3",
            ),
            (
                "rich_percent",
                "rich_percents",
                "[start.high] has no key `rich_percents`; did you mean",
            ),
            (
                "[start.high]",
                "[start]\nhigh_off_turns = 0.4\n[start.high]",
                "`high_off_turns` is no more; say for each screw",
            ),
            (
                "least_turns = 0.2",
                "least_turns = 0.95",
                "`least_turns` is more than the most, 0.9 turns",
            ),
            (
                "engine_is = \"warm\"",
                "engine_is = \"tepid\"",
                "write \"warm\" or \"cold\"",
            ),
            (
                "[hidden]\n",
                "[hidden]\nensemble = 1\n",
                "`ensemble` is a whole number, but yes or no is wanted; write true or false",
            ),
            (
                "[weather]",
                "[fault]\nair_leak_cm2 = 1\n[weather]",
                "`air_leak_cm2` has the wrong unit",
            ),
            ("[weather]", "[fault]\nair_leak_mm2 = 1\n[weather]", "`chance_percent`"),
            (
                "[weather]",
                "[fault]\nchance_percent = 20\n[weather]",
                "no part is named",
            ),
            (
                "[weather]",
                "[[stage]]\nsummary = \"x\"\nfuel = \"mine.toml\"\nengine_is = \"warm\"\n[weather]",
                "there is no built-in fuel `mine.toml`",
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
