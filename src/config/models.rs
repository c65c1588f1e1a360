//! How a model is found: by the name of a built-in one, or by a path to the user's own file.
//!
//! Every function reads and checks the file, built-in ones too.

use std::path::Path;

pub use crate::config::built_in::{
    BuiltIn, ENGINES, FUELS, LAWS, PLUGS, engine_names, fuel_names, is_path, plug_names,
};
use crate::config::error::ConfigError;
use crate::config::names;
use crate::config::schema::{self, EngineModel, FuelModel, PlugModel};
use crate::config::source::Source;
use crate::engine::params::LawParams;

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
    built_in(kind, argument, files)
}

/// The text of a built-in model.
///
/// # Errors
/// No such name.
pub fn built_in(kind: &'static str, name: &str, files: &[BuiltIn]) -> Result<Source, ConfigError> {
    match files.iter().find(|file| file.name == name) {
        Some(file) => Ok(Source::new(file.path, file.text)),
        None => {
            let known: Vec<&str> = files.iter().map(|file| file.name).collect();
            Err(ConfigError::UnknownModel {
                kind,
                name: name.to_string(),
                hint: names::hint(name, &known),
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
        }
    }

    #[test]
    fn an_unknown_name_is_answered_with_the_nearest() {
        let message = engine("offroad-35").unwrap_err().to_string();
        assert!(message.contains("`offroad-3.5`"), "{message}");
        assert!(matches!(engine("./offroad-3.5"), Err(ConfigError::NotFound { .. })));
    }
}
