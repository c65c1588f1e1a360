//! The form in which constants are declared: one line gives the field, its unit (in the name), its allowed range, where it
//! comes from and what it means.
//!
//! Because the keys are also data ([`Key`]), files, calibration, and sensitivity tests all speak of a constant by one name.

/// What is known of one parameter besides its value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    /// Name with its unit, as in the file.
    pub name: &'static str,
    /// Smallest allowed value.
    pub low: f64,
    /// Largest allowed value.
    pub high: f64,
    /// Where the value comes from.
    pub origin: Origin,
    /// Meaning, in one sentence.
    pub meaning: &'static str,
}

impl Key {
    /// A number of somebody's own choice, such as a strategy's.
    pub const fn design(name: &'static str, low: f64, high: f64, meaning: &'static str) -> Self {
        Self {
            name,
            low,
            high,
            origin: Origin::design,
            meaning,
        }
    }
}

/// Where a parameter's value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(non_camel_case_types)]
pub enum Origin {
    /// Chosen freely: it describes this (invented) engine, and another engine has another.
    design,
    /// From a published source or computed from one; the file's comment names it.
    sourced,
    /// Nobody has measured it for such an engine; set by the calibration within its range.
    assumed,
}

/// A named group of parameters: the fields, and the same as data.
macro_rules! parameters {
    ($(#[doc = $about:literal])+ $name:ident $group:literal {
        $(#[doc = $meaning:literal] $key:ident: $low:literal ..= $high:literal, $origin:ident;)+
    }) => {
        $(#[doc = $about])+
        #[derive(Clone, Copy, Debug, PartialEq, Default, serde::Serialize)]
        pub struct $name {
            $(#[doc = $meaning] pub $key: f64,)+
        }
        impl $name {
            /// The group's table name in the file.
            pub const GROUP: &'static str = $group;
            /// The keys, in order of declaration.
            pub const KEYS: &'static [$crate::parameters::Key] = &[$($crate::parameters::Key {
                name: stringify!($key),
                low: $low as f64,
                high: $high as f64,
                origin: $crate::parameters::Origin::$origin,
                meaning: $meaning,
            },)+];
            /// The values, in the order of [`Self::KEYS`].
            pub fn values(&self) -> Vec<f64> {
                vec![$(self.$key,)+]
            }
            /// The value of the key of that name, to read or to change.
            pub fn get_mut(&mut self, name: &str) -> Option<&mut f64> {
                $(if name == stringify!($key) { return Some(&mut self.$key); })+
                None
            }
        }
    };
}

/// Several groups that are read from one file.
macro_rules! file_of_groups {
    ($(#[doc = $about:literal])+ $name:ident { $(#[doc = $meaning:literal] $field:ident: $type:ident,)+ }) => {
        $(#[doc = $about])+
        #[derive(Clone, Copy, Debug, PartialEq, Default, serde::Serialize)]
        pub struct $name {
            $(#[doc = $meaning] pub $field: $type,)+
        }
        impl $name {
            /// The groups and their keys, in order of declaration.
            pub const GROUPS: &'static [(&'static str, &'static [$crate::parameters::Key])] = &[$(($type::GROUP, $type::KEYS),)+];
            /// The value at `group`, `key`, to read or to change.
            pub fn get_mut(&mut self, group: &str, key: &str) -> Option<&mut f64> {
                $(if group == <$type>::GROUP { return self.$field.get_mut(key); })+
                None
            }
        }
    };
}

/// Stores a value at a key of the same declaration that listed it, so there is always a slot.
pub(crate) fn put(slot: Option<&mut f64>, value: f64) {
    if let Some(slot) = slot {
        *slot = value;
    }
}

pub(crate) use {file_of_groups, parameters};
