//! A strategy's parameters: numbers with a name, a range and a step. Its rules write the name where they would write a number, so that
//! somebody, or a search, can vary a strategy without knowing its rules.

use std::cell::Cell;
use std::ops::Range;

use serde::Serialize;

use crate::config::{ConfigError, Place, Table, Written, unit};
use crate::parameters::Key;

/// What each parameter says of itself; its meaning stands beside, as a text.
static KEYS: [Key; 4] = [
    Key::design("value", -1e6, 1e6, "Its number, in the unit of where it is used."),
    Key::design("low", -1e6, 1e6, "The least that is worth a try."),
    Key::design("high", -1e6, 1e6, "The most that is worth a try."),
    Key::design("step", 1e-6, 1e6, "The least change that makes a difference."),
];
const WHAT: &str = "what";

/// A parameter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Parameter {
    /// As its rules name it.
    pub name: String,
    /// Its number.
    pub value: f64,
    /// Least that it may be.
    pub low: f64,
    /// Most.
    pub high: f64,
    /// The least change that makes a difference.
    pub step: f64,
    /// What it means.
    pub what: String,
    /// Where the text of its value stands in the file.
    #[serde(skip)]
    pub(super) text: Range<usize>,
}

/// A number of a rule: itself and, if a parameter stands there, the ends of that one's range.
#[derive(Clone, Copy, Debug)]
pub(super) struct Number<'p> {
    pub(super) value: f64,
    parameter: Option<&'p Parameter>,
}

impl Number<'_> {
    /// What is wrong with it where `low` to `high` is allowed for `key`; `unit` is how that is measured.
    pub(super) fn outside(&self, key: &str, low: f64, high: f64, unit: &str) -> Option<String> {
        let out = |value: &f64| value.is_finite() && !(low..=high).contains(value);
        let unit = if unit.is_empty() {
            String::new()
        } else {
            format!(" {unit}")
        };
        match self.parameter {
            None => out(&self.value).then(|| {
                format!(
                    "`{key}` = {} is out of range; allowed {low} to {high}{unit}",
                    self.value
                )
            }),
            Some(of) => [of.value, of.low, of.high]
                .iter()
                .find(|value| out(value))
                .map(|value| {
                    format!(
                        "`{key}` takes the parameter `{}`, which may be {value}; allowed {low} to {high}{unit}",
                        of.name
                    )
                }),
        }
    }
}

/// The parameters of a file while its rules are read.
#[derive(Debug, Default)]
pub(super) struct Parameters {
    all: Vec<Parameter>,
    places: Vec<Place>,
    used: Vec<Cell<bool>>,
}

impl Parameters {
    /// The table of that name, if there is one.
    pub(super) const TABLE: &'static str = "parameters";

    /// Reads them, in the order of the file.
    pub(super) fn read(root: &Table<'_>) -> Result<Self, ConfigError> {
        let mut parameters = Self::default();
        let Some(declared) = root.optional_table(Self::TABLE)? else {
            return Ok(parameters);
        };
        let mut names = declared.names();
        names.sort_by_key(|name| {
            let place = declared.place_of_name(name);
            (place.line, place.column)
        });
        for name in names {
            let table = declared.table(&name)?;
            table.only(&KEYS, &[WHAT])?;
            let number = |at: usize| table.number(&KEYS[at]);
            let (value, low, high, step) = (number(0)?, number(1)?, number(2)?, number(3)?);
            let wrong = if low >= high {
                Some((
                    1,
                    format!("`{name}` has no range: its low is {low} and its high {high}"),
                ))
            } else if !(low..=high).contains(&value) {
                Some((
                    0,
                    format!("`{name}` = {value} is outside its own range, {low} to {high}"),
                ))
            } else if step > high - low {
                Some((
                    3,
                    format!("`{name}` has a step of {step}, and a range of {}", high - low),
                ))
            } else {
                None
            };
            if let Some((at, what)) = wrong {
                return Err(ConfigError::Together {
                    place: table.place_of(KEYS[at].name),
                    what,
                    remedy: "change one of them",
                });
            }
            parameters.places.push(declared.place_of_name(&name));
            parameters.used.push(Cell::new(false));
            parameters.all.push(Parameter {
                value,
                low,
                high,
                step,
                what: table.text(WHAT)?,
                text: table.span_of(KEYS[0].name).unwrap_or_default(),
                name,
            });
        }
        Ok(parameters)
    }

    /// A number of a rule, if it is there: as it is written, or the parameter's that is named.
    pub(super) fn optional(&self, table: &Table<'_>, key: &'static Key) -> Result<Option<Number<'_>>, ConfigError> {
        let written = table.written(key, false)?;
        written
            .into_iter()
            .next()
            .map(|number| self.number(key, number))
            .transpose()
    }

    /// The same of a number that has to be there.
    pub(super) fn needed(&self, table: &Table<'_>, key: &'static Key) -> Result<f64, ConfigError> {
        match self.optional(table, key)? {
            Some(number) => Ok(number.value),
            None => table.number(key),
        }
    }

    /// A number or a list of them, empty if there is none.
    pub(super) fn list(&self, table: &Table<'_>, key: &'static Key) -> Result<Vec<f64>, ConfigError> {
        let written = table.written(key, true)?;
        let number = |written| self.number(key, written).map(|number| number.value);
        written.into_iter().map(number).collect()
    }

    fn number(&self, key: &'static Key, written: Written) -> Result<Number<'_>, ConfigError> {
        let (name, place) = match written {
            Written::Number(value) => return Ok(Number { value, parameter: None }),
            Written::Name(name, place) => (name, place),
        };
        let Some(at) = self.all.iter().position(|parameter| parameter.name == name) else {
            return Err(unknown(place, &name, &self.all));
        };
        self.used[at].set(true);
        let parameter = &self.all[at];
        let number = Number {
            value: parameter.value,
            parameter: Some(parameter),
        };
        let unit = unit::split(key.name).1.unwrap_or("");
        match number.outside(key.name, key.low, key.high, unit) {
            None => Ok(number),
            Some(what) => Err(ConfigError::Together {
                place,
                what,
                remedy: OUT_OF_RANGE,
            }),
        }
    }

    /// All of them, after every rule was read.
    pub(super) fn all_used(self) -> Result<Vec<Parameter>, ConfigError> {
        match self.used.iter().position(|used| !used.get()) {
            None => Ok(self.all),
            Some(at) => Err(ConfigError::Together {
                place: self.places[at].clone(),
                what: format!("no rule names the parameter `{}`", self.all[at].name),
                remedy: "write its name where a rule has a number, or delete it",
            }),
        }
    }
}

/// What to do where a number, or the parameter that it is, is out of range.
pub(super) const OUT_OF_RANGE: &str = "change the value";

/// There is no parameter of that name among these.
pub(super) fn unknown(place: Place, name: &str, known: &[Parameter]) -> ConfigError {
    let known: Vec<&str> = known.iter().map(|parameter| parameter.name.as_str()).collect();
    let mut error = ConfigError::no_such(place, "parameter", name, &known);
    if let (ConfigError::UnknownReference { hint, .. }, true) = (&mut error, known.is_empty()) {
        *hint = "; declare it under [parameters], or write a number without quotes".to_string();
    }
    error
}

#[cfg(test)]
#[path = "parameters_tests.rs"]
mod tests;
