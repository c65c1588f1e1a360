//! What a file is meant to be, told from its tables, and whether it is that without a fault.

use std::fmt;

use crate::config::ensemble::Ensemble;
use crate::config::error::ConfigError;
use crate::config::schema::{self, EngineModel, FuelModel, PlugModel};
use crate::config::source::Source;
use crate::config::table::Table;

/// Kinds of files the project reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An engine.
    Engine,
    /// A fuel.
    Fuel,
    /// A glow plug.
    Plug,
    /// The laws' constants.
    Laws,
    /// Sets of constants.
    Ensemble,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Engine => "engine",
            Self::Fuel => "fuel",
            Self::Plug => "plug",
            Self::Laws => "laws",
            Self::Ensemble => "ensemble",
        })
    }
}

impl Kind {
    /// The kind whose tables a file has. Laws also have a table `[plug]`, so a plug is what has that alone.
    ///
    /// # Errors
    /// Nothing in it, not TOML, or no table of any kind.
    pub fn of(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        let any = |tables: &[&str]| tables.iter().any(|table| root.has(table));
        if any(&Ensemble::OWN_TABLES) {
            Ok(Self::Ensemble)
        } else if any(&["geometry", "carburettor", "reference"]) {
            Ok(Self::Engine)
        } else if any(&["blend"]) {
            Ok(Self::Fuel)
        } else if any(&["film", "firing", "combustion"]) {
            Ok(Self::Laws)
        } else if any(&["plug"]) {
            Ok(Self::Plug)
        } else {
            Err(ConfigError::UnknownKind { place: root.place() })
        }
    }

    /// Reads a file as this kind, for its faults alone.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range.
    pub fn validate(self, source: &Source) -> Result<(), ConfigError> {
        match self {
            Self::Engine => EngineModel::read(source).map(|_| ()),
            Self::Fuel => FuelModel::read(source).map(|_| ()),
            Self::Plug => PlugModel::read(source).map(|_| ()),
            Self::Laws => schema::read_laws(source).map(|_| ()),
            Self::Ensemble => Ensemble::read(source).map(|_| ()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::built_in;
    use crate::config::ensemble::ENSEMBLE;

    #[test]
    fn built_in_files_are_of_their_kind() {
        for (kind, files) in [
            (Kind::Engine, built_in::ENGINES),
            (Kind::Fuel, built_in::FUELS),
            (Kind::Plug, built_in::PLUGS),
            (Kind::Laws, &[built_in::LAWS]),
            (Kind::Ensemble, &[ENSEMBLE]),
        ] {
            for file in files {
                let source = Source::new(file.path, file.text);
                assert_eq!(Kind::of(&source).unwrap(), kind, "{}", file.path);
                kind.validate(&source).unwrap();
            }
        }
        assert!(matches!(
            Kind::of(&Source::new("a", "x = 1")),
            Err(ConfigError::UnknownKind { .. })
        ));
    }

    proptest::proptest! {
        /// Whatever is done to a built-in file, reading it answers: with a model or with a message that says where.
        #[test]
        fn damaged_files_are_answered(
            which in 0usize..6,
            cut in 0usize..6000,
            length in 0usize..40,
            piece in "[ -~\n\u{0}-\u{7f}°]{0,12}",
        ) {
            let file = [built_in::LAWS, built_in::ENGINES[0], built_in::ENGINES[1], built_in::FUELS[0], built_in::PLUGS[0], ENSEMBLE][which];
            let letters: Vec<char> = file.text.chars().collect();
            let start = cut % letters.len();
            let end = (start + length).min(letters.len());
            let text: String = letters[..start].iter().copied().chain(piece.chars()).chain(letters[end..].iter().copied()).collect();
            let source = Source::new("damaged.toml", &text);
            if let Err(error) = Kind::of(&source).and_then(|kind| kind.validate(&source)) {
                let message = error.to_string();
                let place = message.strip_prefix("damaged.toml:").expect("the message begins with the place");
                let mut numbers = place.splitn(3, ':').take(2).map(|number| number.parse::<usize>().expect("a number"));
                let line = numbers.next().expect("a line");
                proptest::prop_assert!(line >= 1 && line <= text.split('\n').count(), "{}", message);
                proptest::prop_assert!(!message.contains('\n'), "{}", message);
            }
        }
    }
}
