//! Numbers that a file may write by a name which stands for them elsewhere in it, and where a value's text begins and ends.

use std::ops::Range;

use toml::de::DeValue;

use super::Table;
use crate::config::error::{ConfigError, Place};
use crate::parameters::Key;

/// A number as it is written.
#[derive(Clone, Debug, PartialEq)]
pub enum Written {
    /// Itself.
    Number(f64),
    /// By a name, and where that stands.
    Name(String, Place),
}

impl Table<'_> {
    /// A number within the key's range, or a name for one; a list of them where `many` are allowed. Empty if it isn't there.
    ///
    /// # Errors
    /// Of another type, an empty list, not finite or out of range.
    pub fn written(&self, key: &'static Key, many: bool) -> Result<Vec<Written>, ConfigError> {
        let one = |value: &toml::Spanned<DeValue<'_>>| match value.get_ref() {
            DeValue::String(name) => Some(Written::Name(name.to_string(), self.source.place(value.span().start))),
            _ => None,
        };
        let Some(value) = self.entries.get(key.name) else {
            return Ok(Vec::new());
        };
        let list = match value.get_ref() {
            DeValue::Array(list) if many && !list.is_empty() => list.iter().collect(),
            _ => vec![value],
        };
        list.into_iter()
            .map(|value| one(value).map_or_else(|| self.number_in(key, value).map(Written::Number), Ok))
            .collect()
    }

    /// Where the text of a value begins and ends in its source, bytes.
    pub fn span_of(&self, key: &str) -> Option<Range<usize>> {
        self.entries.get(key).map(|value| value.span())
    }

    /// The finite number at a name that no declaration lists.
    ///
    /// # Errors
    /// Missing, or no finite number.
    pub fn free_number(&self, name: &str) -> Result<f64, ConfigError> {
        let value = self.entries.get(name).map(|value| value.get_ref());
        let number = match value {
            Some(DeValue::Float(number)) => number.as_str().parse::<f64>().ok(),
            Some(DeValue::Integer(number)) => number.as_str().parse::<f64>().ok(),
            _ => None,
        };
        let finite = number.filter(|number| number.is_finite());
        finite.ok_or_else(|| ConfigError::WrongType {
            place: self.place_of(name),
            key: name.to_string(),
            found: match number {
                Some(_) => "no finite number",
                None => value.map_or("missing", super::kind),
            },
            wanted: "a number",
            hint: "; write it without quotes and unit".to_string(),
        })
    }
}
