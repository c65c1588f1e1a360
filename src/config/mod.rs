//! Files to checked numbers: models (and whatever else is written as TOML) are read here, and what is wrong with them is said
//! as `path:line:column: what, allowed range, remedy`.
//!
//! [`source`] reads a file within bounds, [`table`] takes typed values out of it, [`schema`] says what an engine, a fuel, a plug
//! and the laws consist of, [`built_in`] lists the files that
//! are part of the program, [`models`] finds one by name or path, [`setup`] puts them together, [`mod@ensemble`] has further sets of the
//! constants, and [`mod@rewrite`] puts calibrated numbers back.

pub mod built_in;
pub mod ensemble;
pub mod error;
pub mod kind;
pub mod models;
pub mod names;
mod outdated;
pub mod own;
pub mod rewrite;
pub mod schema;
pub mod setup;
pub mod source;
pub mod table;
pub mod unit;

pub use ensemble::Ensemble;
pub use error::{ConfigError, Place};
pub use kind::Kind;
pub use own::OwnFiles;
pub use rewrite::{rewrite, rewrite_at};
pub use schema::{EngineModel, FuelModel, PlugModel};
pub use setup::{Models, SetupError, reference_setup};
pub use source::Source;
pub use table::{Table, Written};
