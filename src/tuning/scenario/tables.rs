//! The tables of a scenario's file that are more than plain numbers: how far the screws may be off, what may be broken, and what comes
//! after each sign-off.

use serde::Serialize;

use super::numbers::{FaultNumbers, NeedleNumbers, StageNumbers, StartNumbers, StopNumbers, WeatherNumbers};
use crate::config::{ConfigError, Table, models, names};
use crate::parameters::put;

/// What comes after a sign-off, where a practice has several: the same engine and the same screws, another day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stage {
    /// What happened, in one line.
    pub summary: String,
    /// Fuel on the label (built in).
    pub fuel: String,
    /// Whether the engine is cold when it begins.
    pub cold: bool,
    /// Weather.
    pub weather: WeatherNumbers,
    /// Tank and wear.
    pub numbers: StageNumbers,
}

/// Stages that a practice may have after its first.
const MOST_STAGES: usize = 8;

/// Reads what may be broken: how often anything is, and at least one part.
pub(super) fn read_fault(table: &Table<'_>, fault: &mut FaultNumbers) -> Result<(), ConfigError> {
    table.only(FaultNumbers::KEYS, &[])?;
    let [chance, parts @ ..] = FaultNumbers::KEYS else {
        return Ok(());
    };
    put(fault.get_mut(chance.name), table.number(chance)?);
    for key in parts {
        if let Some(value) = table.optional_number(key)? {
            put(fault.get_mut(key.name), value);
        }
    }
    if fault.chance_percent > 0.0 && fault.worst().is_empty() {
        return Err(ConfigError::Together {
            place: table.place_of(chance.name),
            what: "something may be at fault, but no part is named".to_string(),
            remedy: "name a part and how badly at the worst, such as `air_leak_mm2 = 0.6`, or leave [fault] out",
        });
    }
    Ok(())
}

/// Whether the engine is cold.
pub(super) fn read_cold(table: &Table<'_>) -> Result<bool, ConfigError> {
    let is = table.text("engine_is")?;
    match is.as_str() {
        "cold" => Ok(true),
        "warm" => Ok(false),
        _ => Err(ConfigError::Together {
            place: table.place_of("engine_is"),
            what: format!("`engine_is` = \"{}\" says nothing", is.escape_debug()),
            remedy: "write \"warm\" or \"cold\"",
        }),
    }
}

/// Reads what comes after each sign-off.
pub(super) fn read_stages(root: &Table<'_>) -> Result<Vec<Stage>, ConfigError> {
    let tables = root.tables(StageNumbers::GROUP)?;
    if let Some(table) = tables.get(MOST_STAGES) {
        return Err(ConfigError::Together {
            place: table.place(),
            what: format!("there are {} [[stage]]s; allowed at most {MOST_STAGES}", tables.len()),
            remedy: "leave the last ones out",
        });
    }
    tables.iter().map(read_stage).collect()
}

fn read_stage(table: &Table<'_>) -> Result<Stage, ConfigError> {
    const TEXTS: [&str; 3] = ["summary", "fuel", "engine_is"];
    table.only(StageNumbers::KEYS, &[&TEXTS[..], &[WeatherNumbers::GROUP]].concat())?;
    let fuel = table.text("fuel")?;
    let known = models::fuel_names();
    if !known.contains(&fuel.as_str()) {
        return Err(ConfigError::UnknownReference {
            place: table.place_of("fuel"),
            kind: "built-in fuel",
            hint: names::hint(&fuel, &known),
            name: fuel,
        });
    }
    let (mut numbers, mut weather) = (StageNumbers::default(), WeatherNumbers::default());
    for key in StageNumbers::KEYS {
        put(numbers.get_mut(key.name), table.number(key)?);
    }
    table
        .table(WeatherNumbers::GROUP)?
        .group(WeatherNumbers::KEYS, &[], |k, v| put(weather.get_mut(k), v))?;
    Ok(Stage {
        summary: table.text("summary")?,
        fuel,
        cold: read_cold(table)?,
        weather,
        numbers,
    })
}

/// Reads how far the screws may be off, a table for each.
pub(super) fn read_start(table: &Table<'_>, start: &mut StartNumbers) -> Result<(), ConfigError> {
    let gone = ["high_off_turns", "low_off_turns", "idle_off_turns", "spread_turns"];
    if let Some(key) = gone.into_iter().find(|key| table.has(key)) {
        return Err(ConfigError::Together {
            place: table.place_of_name(key),
            what: format!("`{key}` is no more"),
            remedy: "say for each screw, in [start.high], [start.low] and [start.idle], how often and how far it is off; `needlebench \
                     models show lesson-1 --toml` shows how",
        });
    }
    table.only(&[], &StartNumbers::TABLES)?;
    let [high, low, idle] = StartNumbers::TABLES.map(|name| table.table(name));
    let (high, low, idle) = (high?, low?, idle?);
    high.group(NeedleNumbers::KEYS, &[], |k, v| put(start.high.get_mut(k), v))?;
    low.group(NeedleNumbers::KEYS, &[], |k, v| put(start.low.get_mut(k), v))?;
    idle.group(StopNumbers::KEYS, &[], |k, v| put(start.idle.get_mut(k), v))?;
    for (off, table) in start.offs().iter().zip([high, low, idle]) {
        if let Some(most) = off.contradiction() {
            return Err(ConfigError::Together {
                place: table.place_of("least_turns"),
                what: format!("`least_turns` is more than the most, {most} turns, on a side on which it may be off"),
                remedy: "lower `least_turns`, or raise that side's most",
            });
        }
    }
    Ok(())
}
