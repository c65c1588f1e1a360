//! The models that are part of the program, file by file: the one place to add one.
//!
//! An argument is a path to the user's own file when it has a separator or ends in `.toml`; otherwise it is one of these names.

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
