//! The bench: engines under somebody's hands. A [`manoeuvre`] is what the hands do, as data; a [`player`] plays it on one engine or
//! on many side by side; [`measures`] note what a tuner can notice of it, a [`lab`] takes many measures at once, [`checks`] say
//! whether that is clean, and [`symptoms`] what such an engine must show. [`rig::Rig`] is one engine for whoever wants just one.

pub mod checks;
pub mod guide;
pub mod instruments;
pub mod lab;
pub mod manoeuvre;
pub mod measures;
pub mod player;
pub mod rig;
pub mod series;
pub mod symptoms;
