//! Every number that describes an engine, a plug and the shared laws: one declaration gives the field, its unit (in the name),
//! its allowed range, whether it is assumed, and its meaning.
//!
//! The fields carry the units of the files in `models/`; the laws turn them into SI once, when an engine is built. Because the
//! keys are also data ([`Key`]), files, calibration and the sensitivity tests all speak of a constant by the same name.

mod engine;
mod laws;

pub use super::setting::{Faults, Setting};
pub use crate::parameters::{Key, Origin};
pub use engine::{Carburettor, Cooling, Drive, EngineParams, Geometry, Tank};
pub use laws::{Combustion, FilmParams, Firing, Friction, HeatParams, HeatRange, LawParams, PlugParams, Smoke, Wear};
