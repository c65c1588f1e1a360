//! Files of an earlier edition: which keys they have that nothing asks for any more, and which are new since. All of it is told at once,
//! with a value to start from, so that an engine of one's own is brought up to date in one go.

use crate::config::built_in::BuiltIn;
use crate::config::error::{Amend, ConfigError};
use crate::config::source::Source;
use crate::config::table::Table;
use crate::parameters::Key;

/// A key that earlier editions had, and what became of it.
pub struct Gone {
    /// Its table.
    pub group: &'static str,
    /// Its name.
    pub key: &'static str,
    /// What stands for it now.
    pub why: &'static str,
}

/// Keys of engines that are no more.
pub const GONE: [Gone; 2] = [
    Gone {
        group: "reference",
        key: "snap_delay_best_s",
        why: "is computed now, for any fuel and weather",
    },
    Gone {
        group: "carburettor",
        key: "jet_warm_crankcase_k",
        why: "follows now from `jet_exchange_mg_per_s` and `body_warming_share`",
    },
];

/// Refuses a file with keys of `gone`, or one whose `groups` lack a key: what is to be deleted, and what to be added with the value of
/// `model`. Tables are complete or refused in their own words by whoever reads them.
///
/// # Errors
/// A table that isn't there, a key that is no more, or a number that is missing.
pub fn refuse(
    root: &Table<'_>,
    gone: &[Gone],
    groups: &[(&'static str, &'static [Key])],
    model: BuiltIn,
) -> Result<(), ConfigError> {
    let mut amends = Vec::new();
    let mut place = None;
    for Gone { group, key, why } in gone {
        let table = root.table(group)?;
        if table.has(key) {
            place.get_or_insert(table.place_of_name(key));
            amends.push(Amend::Delete { group, key, why });
        }
    }
    for (group, keys) in groups {
        let table = root.table(group)?;
        let no_more: Vec<&str> = gone.iter().filter(|g| g.group == *group).map(|g| g.key).collect();
        table.only(keys, &no_more)?;
        for key in keys.iter().filter(|key| !table.has(key.name)) {
            place.get_or_insert(table.place());
            let start = start(model, group, key);
            amends.push(Amend::Add { group, key, start });
        }
    }
    match place {
        Some(place) => Err(ConfigError::Outdated {
            place,
            amends,
            model: model.name,
        }),
        None => Ok(()),
    }
}

/// The value that a built-in model has there.
fn start(model: BuiltIn, group: &str, key: &'static Key) -> Option<f64> {
    let source = Source::new(model.path, model.text);
    let table = Table::root(&source).ok()?.table(group).ok()?;
    table.optional_number(key).ok()?
}

#[cfg(test)]
#[path = "outdated_tests.rs"]
mod tests;
