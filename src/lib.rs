//! needlebench: a physics-informed mixture simulator and trainer for small two-stroke glow engines.

pub mod engine;
pub mod lanes;
pub mod parameters;
