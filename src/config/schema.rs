//! What an engine, a fuel, a plug and the laws consist of as files, and what has to fit together within one.
//!
//! Fields keep the files' units (in their names); the laws turn them into SI once, when an engine is built.

use serde::Serialize;

use crate::config::error::ConfigError;
use crate::config::source::Source;
use crate::config::table::Table;
use crate::config::{built_in, names, outdated};
use crate::engine::params::{EngineParams, HeatRange, LawParams, Setting};
use crate::fluids::fuel::{Blend, Fuel};
use crate::parameters::{Key, parameters, put};

parameters! {
    /// An engine's reference setting and what is judged against it.
    Reference "reference" {
        /// High-speed needle, turns open from closed.
        high_turns: 0 ..= 8, assumed;
        /// Low-speed needle, turns open from closed.
        low_turns: 0 ..= 8, assumed;
        /// Idle stop, turns open from closed.
        idle_turns: 0 ..= 6, assumed;
        /// Speed on the brake at which power and head temperature are judged.
        rated_rpm: 8000 ..= 45000, design;
    }
}

parameters! {
    /// A fuel as on its label.
    FuelNumbers "blend" {
        /// Nitromethane in percent by volume.
        nitro_percent: 0 ..= 100, design;
        /// All oil in percent by volume.
        oil_percent: 0 ..= 60, design;
        /// Castor oil's share of the oil by volume, the rest being synthetic.
        castor_share: 0 ..= 1, design;
        /// Factor on the computed viscosity: mixing rules for oil in alcohol differ widely.
        viscosity_factor: 0.4 ..= 2.5, assumed;
    }
}

/// One engine, read from a file in `models/engines/` or the user's own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EngineModel {
    /// Name, as given to `--engine`.
    pub name: String,
    /// What it is, in one line.
    pub summary: String,
    /// Reference setting: clean, with the reference fuel and plug, at 20 °C and 1013.25 hPa.
    pub reference: Setting,
    /// Fuel that setting belongs to (name or path).
    pub reference_fuel: String,
    /// Plug that setting belongs to (name or path).
    pub reference_plug: String,
    /// Speed on the brake at which power and head temperature are judged.
    pub rated_rpm: f64,
    /// The engine's parameters.
    pub params: EngineParams,
}

impl EngineModel {
    /// Reads an engine's file.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        let groups = EngineParams::GROUPS.iter().map(|(name, _)| *name);
        let allowed: Vec<&str> = ["name", "summary", "reference"].into_iter().chain(groups).collect();
        root.only(&[], &allowed)?;
        let (name, summary) = (root.text("name")?, root.text("summary")?);
        outdated::refuse(&root, &outdated::GONE, EngineParams::GROUPS, built_in::ENGINES[0])?;
        let table = root.table("reference")?;
        let mut reference = Reference::default();
        table.group(Reference::KEYS, &["fuel", "plug"], |key, value| {
            put(reference.get_mut(key), value)
        })?;
        let (fuel, plug) = (table.text("fuel")?, table.text("plug")?);
        for (kind, key, given, known) in [
            ("fuel", "fuel", &fuel, built_in::fuel_names()),
            ("plug", "plug", &plug, built_in::plug_names()),
        ] {
            if !built_in::is_path(given) && !known.contains(&given.as_str()) {
                return Err(ConfigError::UnknownReference {
                    place: table.place_of(key),
                    kind,
                    name: given.clone(),
                    hint: names::hint(given, &known),
                });
            }
        }
        let mut params = EngineParams::default();
        for (group, keys) in EngineParams::GROUPS {
            root.table(group)?
                .group(keys, &[], |key, value| put(params.get_mut(group, key), value))?;
        }
        Ok(Self {
            name,
            summary,
            reference: Setting {
                high_turns: reference.high_turns,
                low_turns: reference.low_turns,
                idle_turns: reference.idle_turns,
            },
            reference_fuel: fuel,
            reference_plug: plug,
            rated_rpm: reference.rated_rpm,
            params,
        })
    }

    /// The keys of the table `[reference]` that hold numbers.
    pub const REFERENCE_KEYS: &'static [Key] = Reference::KEYS;
    /// The largest openings of the three screws, in files, flags and practices; all are 0 when shut.
    pub const MOST_OPEN: Setting = Setting {
        high_turns: Reference::KEYS[0].high,
        low_turns: Reference::KEYS[1].high,
        idle_turns: Reference::KEYS[2].high,
    };
}

/// One fuel, read from a file in `models/fuels/` or the user's own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FuelModel {
    /// Name, as given to `--fuel`.
    pub name: String,
    /// What it is, in one line.
    pub summary: String,
    /// The recipe.
    pub blend: Blend,
    /// Factor on the computed viscosity.
    pub viscosity_factor: f64,
}

impl FuelModel {
    /// The keys of the table `[blend]`.
    pub const KEYS: &'static [Key] = FuelNumbers::KEYS;

    /// Reads a fuel's file.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range, or nitromethane and oil beyond 100 % together.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(&[], &["name", "summary", FuelNumbers::GROUP])?;
        let (name, summary) = (root.text("name")?, root.text("summary")?);
        let table = root.table(FuelNumbers::GROUP)?;
        let mut numbers = FuelNumbers::default();
        table.group(FuelNumbers::KEYS, &[], |key, value| put(numbers.get_mut(key), value))?;
        let FuelNumbers {
            nitro_percent,
            oil_percent,
            castor_share,
            viscosity_factor,
        } = numbers;
        match (Blend {
            nitro_percent,
            oil_percent,
            castor_share,
        })
        .validated()
        {
            Ok(blend) => Ok(Self {
                name,
                summary,
                blend,
                viscosity_factor,
            }),
            Err(error) => Err(ConfigError::Together {
                place: table.place_of("oil_percent"),
                what: error.to_string(),
                remedy: "lower one of them",
            }),
        }
    }

    /// A fuel that is in no file, from its label's percentages; it is named after them.
    pub fn from_blend(blend: Blend) -> Self {
        let hundredths = |percent: f64| (100.0 * percent).round() / 100.0;
        Self {
            name: format!(
                "{} % nitro, {} % oil",
                hundredths(blend.nitro_percent),
                hundredths(blend.oil_percent)
            ),
            summary: "by its percentages".to_string(),
            blend,
            viscosity_factor: 1.0,
        }
    }

    /// What the blend means to an engine.
    pub fn fuel(&self) -> Fuel {
        Fuel {
            viscosity_factor: self.viscosity_factor,
            ..Fuel::new(self.blend)
        }
    }
}

/// One plug, read from a file in `models/plugs/` or the user's own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlugModel {
    /// Name, as given to `--plug`.
    pub name: String,
    /// What it is, in one line.
    pub summary: String,
    /// Its heat range.
    pub range: HeatRange,
}

impl PlugModel {
    /// Reads a plug's file.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown or out of range.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(&[], &["name", "summary", HeatRange::GROUP])?;
        let (name, summary) = (root.text("name")?, root.text("summary")?);
        let mut range = HeatRange::default();
        root.table(HeatRange::GROUP)?
            .group(HeatRange::KEYS, &[], |key, value| put(range.get_mut(key), value))?;
        Ok(Self { name, summary, range })
    }
}

/// Reads the laws' constants.
///
/// # Errors
/// The first thing in it that is missing, unknown or out of range.
pub fn read_laws(source: &Source) -> Result<LawParams, ConfigError> {
    let root = Table::root(source)?;
    let groups: Vec<&str> = LawParams::GROUPS.iter().map(|(name, _)| *name).collect();
    root.only(&[], &groups)?;
    outdated::refuse(&root, &[], LawParams::GROUPS, built_in::LAWS)?;
    let mut laws = LawParams::default();
    for (group, keys) in LawParams::GROUPS {
        root.table(group)?
            .group(keys, &[], |key, value| put(laws.get_mut(group, key), value))?;
    }
    Ok(laws)
}
