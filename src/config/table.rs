//! A table of a file from which typed, checked values are taken: the one reader for every file the project reads.
//!
//! A reader first says which keys there may be ([`Table::only`]), so that a misspelt or wrongly united key is reported as that
//! and not as the absence of the right one, and then takes them.

mod named;

use std::borrow::Cow;

pub use named::Written;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::config::error::{ConfigError, Place};
use crate::config::source::Source;
use crate::config::{names, unit};
use crate::parameters::Key;

/// Characters that a text value may have.
const TEXT_LIMIT: usize = 400;

/// One table of a file, with its place.
#[derive(Debug)]
pub struct Table<'s> {
    source: &'s Source,
    /// Name with the outer tables' names before it, empty for the file itself.
    path: String,
    at: usize,
    entries: DeTable<'s>,
}

impl<'s> Table<'s> {
    /// The outermost table of a file.
    ///
    /// # Errors
    /// Nothing in it, or not TOML.
    pub fn root(source: &'s Source) -> Result<Self, ConfigError> {
        match DeTable::parse(&source.text) {
            Ok(table) if table.get_ref().is_empty() => Err(ConfigError::Empty { place: source.place(0) }),
            Ok(table) => Ok(Self {
                source,
                path: String::new(),
                at: 0,
                entries: table.into_inner(),
            }),
            Err(error) => Err(ConfigError::Syntax {
                place: source.place(error.span().map_or(0, |span| span.start)),
                message: error.message().replace('\n', " "),
            }),
        }
    }

    /// A table within this one.
    fn inner(&self, key: &str, at: usize, entries: &DeTable<'s>) -> Self {
        Self {
            source: self.source,
            path: self.inner_path(key),
            at,
            entries: entries.clone(),
        }
    }

    /// Where the table begins.
    pub fn place(&self) -> Place {
        self.source.place(self.at)
    }

    /// Where the value of `key` stands, or the table if there is none.
    pub fn place_of(&self, key: &str) -> Place {
        self.source
            .place(self.entries.get(key).map_or(self.at, |value| value.span().start))
    }

    /// Where `key` itself stands, or the table if it isn't there.
    pub fn place_of_name(&self, key: &str) -> Place {
        let at = self
            .entries
            .get_key_value(key)
            .map_or(self.at, |(name, _)| name.span().start);
        self.source.place(at)
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// The names of all entries, in alphabetical order.
    pub fn names(&self) -> Vec<String> {
        self.entries.keys().map(|key| key.get_ref().to_string()).collect()
    }

    /// The table in words.
    fn words(&self) -> String {
        if self.path.is_empty() {
            "the file".to_string()
        } else {
            format!("[{}]", self.path)
        }
    }

    /// Refuses any entry but the numbers of `numbers` and those named in `others` (texts and tables).
    ///
    /// # Errors
    /// The first entry, in the order of the file, that is unknown or has another unit.
    pub fn only(&self, numbers: &'static [Key], others: &[&str]) -> Result<(), ConfigError> {
        let unknown = self.entries.iter().filter(|(key, _)| {
            let name = key.get_ref().as_ref();
            !others.contains(&name) && !numbers.iter().any(|number| number.name == name)
        });
        let Some((key, value)) = unknown.min_by_key(|(key, _)| key.span().start) else {
            return Ok(());
        };
        let name = key.get_ref().as_ref();
        let place = self.source.place(key.span().start);
        let (stem, written) = unit::split(name);
        let mut same_quantity = numbers.iter().filter(|number| unit::split(number.name).0 == stem);
        // Where two keys share a stem (a value and its rise per kelvin), the plain list of keys helps more.
        if let (Some(number), None, true) = (same_quantity.next(), same_quantity.next(), written.is_some()) {
            return Err(ConfigError::WrongUnit {
                place,
                table: self.words(),
                written: name.to_string(),
                wanted: number,
            });
        }
        let known: Vec<&str> = numbers
            .iter()
            .map(|number| number.name)
            .chain(others.iter().copied())
            .collect();
        Err(ConfigError::Unknown {
            place,
            table: self.words(),
            is_table: value.get_ref().is_table(),
            key: shortened(name),
            hint: names::hint(name, &known),
        })
    }

    /// All numbers of a group, each handed to `set`; no other entry is allowed except those named in `others`.
    ///
    /// # Errors
    /// An unknown key, a wrong unit, or the first number that is missing or wrong.
    pub fn group(
        &self,
        keys: &'static [Key],
        others: &[&str],
        mut set: impl FnMut(&str, f64),
    ) -> Result<(), ConfigError> {
        self.only(keys, others)?;
        for key in keys {
            set(key.name, self.number(key)?);
        }
        Ok(())
    }

    /// A number within its range; whole numbers count as numbers.
    ///
    /// # Errors
    /// Missing, of another type, not finite or out of range.
    pub fn number(&self, key: &'static Key) -> Result<f64, ConfigError> {
        self.optional_number(key)?.ok_or_else(|| ConfigError::MissingNumber {
            place: self.place(),
            table: self.words(),
            key,
        })
    }

    /// A number within its range, if it is there.
    ///
    /// # Errors
    /// Of another type, not finite or out of range.
    pub fn optional_number(&self, key: &'static Key) -> Result<Option<f64>, ConfigError> {
        let value = self.entries.get(key.name);
        value.map(|value| self.number_in(key, value)).transpose()
    }

    /// A number or a list of some, each within the key's range; empty if it isn't there.
    ///
    /// # Errors
    /// Of another type, an empty list, not finite or out of range.
    pub fn numbers(&self, key: &'static Key) -> Result<Vec<f64>, ConfigError> {
        match self.entries.get(key.name).map(|value| (value, value.get_ref())) {
            None => Ok(Vec::new()),
            Some((_, DeValue::Array(list))) if !list.is_empty() => {
                list.iter().map(|value| self.number_in(key, value)).collect()
            }
            Some((value, _)) => Ok(vec![self.number_in(key, value)?]),
        }
    }

    fn number_in(&self, key: &'static Key, value: &Spanned<DeValue<'s>>) -> Result<f64, ConfigError> {
        let place = self.source.place(value.span().start);
        let number = match value.get_ref() {
            DeValue::Float(number) => number.as_str().parse::<f64>().ok(),
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse::<f64>().ok(),
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .map(|n| n as f64),
            other => {
                return Err(ConfigError::WrongType {
                    place,
                    key: key.name.to_string(),
                    found: kind(other),
                    wanted: "a number",
                    hint: format!(", {}; write it without quotes and unit", unit::range(key)),
                });
            }
        };
        match number.filter(|number| number.is_finite()) {
            None => Err(ConfigError::NotFinite { place, key }),
            Some(value) if !(key.low..=key.high).contains(&value) => Err(ConfigError::OutOfRange { place, key, value }),
            Some(value) => Ok(value),
        }
    }

    /// What stands at `key`, in words, if it is there.
    pub fn kind_of(&self, key: &str) -> Option<&'static str> {
        self.entries.get(key).map(|value| kind(value.get_ref()))
    }

    /// Yes or no.
    ///
    /// # Errors
    /// Missing, or of another type.
    pub fn yes_no(&self, key: &str) -> Result<bool, ConfigError> {
        match self.entries.get(key).map(|value| value.get_ref()) {
            Some(DeValue::Boolean(is)) => Ok(*is),
            other => Err(ConfigError::WrongType {
                place: self.place_of(key),
                key: key.to_string(),
                found: other.map_or("missing", kind),
                wanted: "yes or no",
                hint: "; write true or false".to_string(),
            }),
        }
    }

    /// A word or a list of some, each with its place.
    ///
    /// # Errors
    /// Missing, or something else than words.
    pub fn words_of(&self, key: &str) -> Result<Vec<(String, Place)>, ConfigError> {
        let word = |value: &Spanned<DeValue<'s>>| {
            let place = self.source.place(value.span().start);
            match value.get_ref() {
                DeValue::String(text) => Ok((text.to_string(), place)),
                other => Err(ConfigError::WrongType {
                    place,
                    key: key.to_string(),
                    found: kind(other),
                    wanted: "a word or a list of words",
                    hint: "; write each in double quotes".to_string(),
                }),
            }
        };
        match self.entries.get(key).map(|value| (value, value.get_ref())) {
            Some((_, DeValue::Array(list))) if !list.is_empty() => list.iter().map(word).collect(),
            Some((value, _)) => Ok(vec![word(value)?]),
            None => Err(ConfigError::Missing {
                place: self.place(),
                table: self.words(),
                what: "text",
                key: key.to_string(),
            }),
        }
    }

    /// A text of 1 to 400 characters.
    ///
    /// # Errors
    /// Missing, of another type, empty, too long, of several lines or with control characters.
    pub fn text(&self, key: &str) -> Result<String, ConfigError> {
        let place = self.place_of(key);
        match self.entries.get(key).map(|value| value.get_ref()) {
            Some(DeValue::String(text)) => {
                let characters = text.chars().count();
                if text.trim().is_empty() || characters > TEXT_LIMIT || text.contains(char::is_control) {
                    return Err(ConfigError::TextLength {
                        place,
                        key: key.to_string(),
                        characters,
                        most: TEXT_LIMIT,
                    });
                }
                Ok(text.to_string())
            }
            Some(other) => Err(ConfigError::WrongType {
                place,
                key: key.to_string(),
                found: kind(other),
                wanted: "a text",
                hint: "; write it in double quotes".to_string(),
            }),
            None => Err(ConfigError::Missing {
                place,
                table: self.words(),
                what: "text",
                key: key.to_string(),
            }),
        }
    }

    /// A table within this one.
    ///
    /// # Errors
    /// Missing, or of another type.
    pub fn table(&self, key: &str) -> Result<Table<'s>, ConfigError> {
        self.optional_table(key)?.ok_or_else(|| ConfigError::Missing {
            place: self.place(),
            table: self.words(),
            what: "table",
            key: format!("[{}]", self.inner_path(key)),
        })
    }

    /// A table within this one, if it is there.
    ///
    /// # Errors
    /// Of another type.
    pub fn optional_table(&self, key: &str) -> Result<Option<Table<'s>>, ConfigError> {
        let Some((name, value)) = self.entries.get_key_value(key) else {
            return Ok(None);
        };
        match value.get_ref() {
            DeValue::Table(entries) => Ok(Some(self.inner(key, name.span().start, entries))),
            other => Err(ConfigError::WrongType {
                place: self.source.place(value.span().start),
                key: key.to_string(),
                found: kind(other),
                wanted: "a table",
                hint: format!("; write it as [{}]", self.inner_path(key)),
            }),
        }
    }

    /// A list of tables (`[[key]]`), empty if there is none.
    ///
    /// # Errors
    /// Of another type, or a list with something else in it.
    pub fn tables(&self, key: &str) -> Result<Vec<Table<'s>>, ConfigError> {
        let wrong = |place: Place, found: &'static str| ConfigError::WrongType {
            place,
            key: key.to_string(),
            found,
            wanted: "a list of tables",
            hint: format!("; write each as [[{}]]", self.inner_path(key)),
        };
        let Some(value) = self.entries.get(key) else {
            return Ok(Vec::new());
        };
        let DeValue::Array(list) = value.get_ref() else {
            return Err(wrong(self.source.place(value.span().start), kind(value.get_ref())));
        };
        list.iter()
            .map(|item| match item.get_ref() {
                DeValue::Table(entries) => Ok(self.inner(key, item.span().start, entries)),
                other => Err(wrong(self.source.place(item.span().start), kind(other))),
            })
            .collect()
    }

    fn inner_path(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_string()
        } else {
            format!("{}.{key}", self.path)
        }
    }
}

/// A value's kind in words.
fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// A name as it stands in a message: a long one is cut.
fn shortened(name: &str) -> String {
    let cut: Cow<'_, str> = if name.chars().count() > 60 {
        Cow::Owned(name.chars().take(57).chain("...".chars()).collect())
    } else {
        Cow::Borrowed(name)
    };
    cut.escape_debug().to_string()
}

#[cfg(test)]
mod tests;
