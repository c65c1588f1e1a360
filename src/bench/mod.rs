//! The bench: an engine under somebody's hands. A [`rig::Rig`] runs one engine at its controls; [`measures`] does what a tuner does
//! to it and notes what a tuner can notice; [`checks`] says whether that is clean.

pub mod checks;
pub mod instruments;
pub mod measures;
pub mod rig;
pub mod series;
pub mod symptoms;
