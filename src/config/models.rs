//! The models that are built into the program, and how one is found: by its name, or by a path to the user's own file.
//!
//! An argument is a path when it has a separator or ends in `.toml`; otherwise it is a name. The lists below are the one place
//! to add a model.

use std::path::Path;

use crate::config::error::ConfigError;
use crate::config::kind::Kind;
use crate::config::names;
use crate::config::schema::{self, EngineModel, FuelModel, PlugModel};
use crate::config::source::Source;
use crate::engine::params::LawParams;

/// A file that is part of the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BuiltIn {
    /// Name, as given on the command line.
    pub name: &'static str,
    /// Its place in the project.
    pub path: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! built_in {
    ($folder:literal: $($name:literal)+) => {
        &[$(BuiltIn {
            name: $name,
            path: concat!("models/", $folder, "/", $name, ".toml"),
            text: include_str!(concat!("../../models/", $folder, "/", $name, ".toml")),
        },)+]
    };
}

/// Engines; the first is the default.
pub const ENGINES: &[BuiltIn] = built_in!("engines": "offroad-3.5" "onroad-2.1" "truggy-4.6");

/// Fuels.
pub const FUELS: &[BuiltIn] = built_in!("fuels":
    "plain-20-castor" "sport-10" "sport-16" "sport-20-castor" "race-16" "race-20" "race-25" "race-25-castor" "race-30"
    "drag-40");

/// Plugs, from cold to hot.
pub const PLUGS: &[BuiltIn] = built_in!("plugs": "cold" "medium" "hot");

/// The laws' constants.
pub const LAWS: BuiltIn = BuiltIn {
    name: "laws",
    path: "models/laws.toml",
    text: include_str!("../../models/laws.toml"),
};

/// The built-in file of that name and its kind, be it an engine, a fuel, a plug or the laws.
///
/// # Errors
/// No such name.
pub fn find(name: &str) -> Result<(Kind, BuiltIn), ConfigError> {
    let all = || {
        let kinds = [
            (Kind::Engine, ENGINES),
            (Kind::Fuel, FUELS),
            (Kind::Plug, PLUGS),
            (Kind::Laws, &[LAWS][..]),
        ];
        kinds
            .into_iter()
            .flat_map(|(kind, files)| files.iter().map(move |file| (kind, *file)))
    };
    all().find(|(_, file)| file.name == name).ok_or_else(|| {
        let known: Vec<&str> = all().map(|(_, file)| file.name).collect();
        ConfigError::UnknownModel {
            kind: "model",
            name: name.to_string(),
            hint: names::hint(name, &known),
        }
    })
}

/// Names of the built-in engines.
pub fn engine_names() -> Vec<&'static str> {
    ENGINES.iter().map(|file| file.name).collect()
}

/// Names of the built-in fuels.
pub fn fuel_names() -> Vec<&'static str> {
    FUELS.iter().map(|file| file.name).collect()
}

/// Names of the built-in plugs.
pub fn plug_names() -> Vec<&'static str> {
    PLUGS.iter().map(|file| file.name).collect()
}

/// Whether an argument means a file rather than a built-in name.
pub fn is_path(argument: &str) -> bool {
    argument.contains(std::path::is_separator) || argument.to_ascii_lowercase().ends_with(".toml")
}

/// An engine by name or path.
///
/// # Errors
/// No such name, or a file that can't be used.
pub fn engine(argument: &str) -> Result<EngineModel, ConfigError> {
    EngineModel::read(&source("engine", argument, ENGINES)?)
}

/// A fuel by name or path.
///
/// # Errors
/// No such name, or a file that can't be used.
pub fn fuel(argument: &str) -> Result<FuelModel, ConfigError> {
    FuelModel::read(&source("fuel", argument, FUELS)?)
}

/// A plug by name or path.
///
/// # Errors
/// No such name, or a file that can't be used.
pub fn plug(argument: &str) -> Result<PlugModel, ConfigError> {
    PlugModel::read(&source("plug", argument, PLUGS)?)
}

/// The laws' constants, as built in.
///
/// # Errors
/// None with a tested build; the file is checked like any other.
pub fn laws() -> Result<LawParams, ConfigError> {
    schema::read_laws(&Source::new(LAWS.path, LAWS.text))
}

/// The text of a model, built in or the user's own.
fn source(kind: &'static str, argument: &str, files: &[BuiltIn]) -> Result<Source, ConfigError> {
    if is_path(argument) {
        return Source::read(Path::new(argument));
    }
    match files.iter().find(|file| file.name == argument) {
        Some(file) => Ok(Source::new(file.path, file.text)),
        None => {
            let known: Vec<&str> = files.iter().map(|file| file.name).collect();
            Err(ConfigError::UnknownModel {
                kind,
                name: argument.to_string(),
                hint: names::hint(argument, &known),
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_model_reads_and_bears_its_own_name() {
        for name in engine_names() {
            let model = engine(name).unwrap_or_else(|error| panic!("{error}"));
            assert_eq!(model.name, name);
            fuel(&model.reference_fuel).unwrap();
            plug(&model.reference_plug).unwrap();
        }
        for name in fuel_names() {
            assert_eq!(fuel(name).unwrap_or_else(|error| panic!("{error}")).name, name);
        }
        for name in plug_names() {
            assert_eq!(plug(name).unwrap_or_else(|error| panic!("{error}")).name, name);
        }
        laws().unwrap_or_else(|error| panic!("{error}"));
    }

    #[test]
    fn every_file_in_the_folders_is_built_in() {
        for (folder, files) in [("engines", ENGINES), ("fuels", FUELS), ("plugs", PLUGS)] {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("models").join(folder);
            let mut found: Vec<String> = std::fs::read_dir(path)
                .unwrap()
                .map(|entry| {
                    entry
                        .unwrap()
                        .file_name()
                        .to_string_lossy()
                        .trim_end_matches(".toml")
                        .to_string()
                })
                .collect();
            let mut listed: Vec<&str> = files.iter().map(|file| file.name).collect();
            found.sort();
            listed.sort();
            assert_eq!(found, listed, "models/{folder}");
        }
    }

    #[test]
    fn every_number_of_the_built_in_files_says_where_it_comes_from() {
        for file in ENGINES.iter().chain(FUELS).chain(PLUGS).chain([&LAWS]) {
            for (number, line) in file.text.lines().enumerate() {
                if line.contains(" = ") && !line.starts_with('#') && !line.contains('"') {
                    let comment = line
                        .split_once('#')
                        .map(|(_, comment)| comment.trim())
                        .unwrap_or_default();
                    assert!(comment.len() > 4, "{}:{}: no origin: {line}", file.path, number + 1);
                }
            }
        }
    }

    #[test]
    fn a_name_means_one_file_whatever_its_kind() {
        let all: Vec<&str> = [engine_names(), fuel_names(), plug_names(), vec!["laws"]].concat();
        for (i, name) in all.iter().enumerate() {
            assert!(!all[..i].contains(name), "{name} twice");
            assert_eq!(find(name).unwrap().1.name, *name);
        }
    }

    #[test]
    fn an_unknown_name_is_answered_with_the_nearest() {
        let message = engine("offroad-35").unwrap_err().to_string();
        assert!(message.contains("`offroad-3.5`"), "{message}");
        assert!(matches!(engine("./offroad-3.5"), Err(ConfigError::NotFound { .. })));
    }
}
