//! The engine: constant parameters, varying state, one revolution as one function.

pub mod params;
