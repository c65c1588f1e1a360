//! The user's own files that a scenario rests on (engine, fuel, plug), by the paths they are named by: read from the disk once, or
//! carried in a recording, so that a practice can be had again where they are gone or changed.

use std::collections::BTreeMap;
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::config::built_in::{BuiltIn, ENGINES, FUELS, PLUGS, is_path};
use crate::config::error::ConfigError;
use crate::config::models;
use crate::config::schema::{EngineModel, FuelModel, PlugModel};
use crate::config::source::Source;

/// Texts of own files by path; what is built in is not among them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct OwnFiles(BTreeMap<String, String>);

impl OwnFiles {
    /// Reads those that an engine, a fuel and a plug rest on: a name of a built-in one needs no file, and an engine has a reference
    /// fuel and plug.
    ///
    /// # Errors
    /// A file that can't be read or used.
    pub fn read(engine: &str, fuel: &str, plug: &str) -> Result<Self, ConfigError> {
        let mut own = Self::default();
        for path in [engine, fuel, plug] {
            own.take(path)?;
        }
        let model = own.engine(engine)?;
        own.take(&model.reference_fuel)?;
        own.take(&model.reference_plug)?;
        own.check(engine, fuel, plug)?;
        Ok(own)
    }

    /// These and one more, that is no file: `path` is the name by which it is meant, and has to look like one.
    #[must_use]
    pub fn with(mut self, path: &str, text: String) -> Self {
        self.0.insert(path.to_string(), text);
        self
    }

    /// Whether everything that they rest on is here and right.
    ///
    /// # Errors
    /// The first file that is missing or can't be used.
    pub fn check(&self, engine: &str, fuel: &str, plug: &str) -> Result<(), ConfigError> {
        let model = self.engine(engine)?;
        for fuel in [fuel, &model.reference_fuel] {
            self.fuel(fuel)?;
        }
        for plug in [plug, &model.reference_plug] {
            self.plug(plug)?;
        }
        Ok(())
    }

    fn take(&mut self, argument: &str) -> Result<(), ConfigError> {
        if is_path(argument) && !self.0.contains_key(argument) {
            let source = Source::read(Path::new(argument))?;
            self.0.insert(argument.to_string(), source.text);
        }
        Ok(())
    }

    fn source(&self, kind: &'static str, argument: &str, built_in: &[BuiltIn]) -> Result<Source, ConfigError> {
        if !is_path(argument) {
            return models::built_in(kind, argument, built_in);
        }
        match self.0.get(argument) {
            Some(text) => Ok(Source::new(argument, text)),
            None => Err(ConfigError::NotCarried {
                kind,
                path: argument.to_string(),
            }),
        }
    }

    /// An engine, built in or among these.
    ///
    /// # Errors
    /// No such name, not among these, or a file that can't be used.
    pub fn engine(&self, argument: &str) -> Result<EngineModel, ConfigError> {
        EngineModel::read(&self.source("engine", argument, ENGINES)?)
    }

    /// A fuel, built in or among these.
    ///
    /// # Errors
    /// No such name, not among these, or a file that can't be used.
    pub fn fuel(&self, argument: &str) -> Result<FuelModel, ConfigError> {
        FuelModel::read(&self.source("fuel", argument, FUELS)?)
    }

    /// A plug, built in or among these.
    ///
    /// # Errors
    /// No such name, not among these, or a file that can't be used.
    pub fn plug(&self, argument: &str) -> Result<PlugModel, ConfigError> {
        PlugModel::read(&self.source("plug", argument, PLUGS)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_models_need_no_file() {
        let own = OwnFiles::read("offroad-3.5", "race-25", "medium").unwrap();
        assert_eq!(own, OwnFiles::default());
        assert!(own.engine("offroad-35").is_err());
    }

    #[test]
    fn own_files_are_read_once_with_what_an_engine_refers_to() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
        let text = |files: &[BuiltIn], name: &str| files.iter().find(|file| file.name == name).unwrap().text;
        let engine = text(ENGINES, "offroad-3.5").replacen("\"race-25\"", &format!("{:?}", path("f.toml")), 1);
        std::fs::write(path("e.toml"), engine).unwrap();
        std::fs::write(path("f.toml"), text(FUELS, "race-25")).unwrap();
        let own = OwnFiles::read(&path("e.toml"), "race-20", "medium").unwrap();
        for name in ["e.toml", "f.toml"] {
            std::fs::remove_file(path(name)).unwrap();
        }
        assert_eq!(own.engine(&path("e.toml")).unwrap().reference_fuel, path("f.toml"));
        assert_eq!(own.fuel(&path("f.toml")).unwrap().name, "race-25");
        let missing = own.plug(&path("p.toml")).unwrap_err().to_string();
        assert!(
            missing.contains("p.toml") && missing.contains("is not among"),
            "{missing}"
        );
        let gone = OwnFiles::read(&path("e.toml"), "race-20", "medium").unwrap_err();
        assert!(matches!(gone, ConfigError::NotFound { .. }));
    }
}
