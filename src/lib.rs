//! needlebench: a physics-informed mixture simulator and trainer for small two-stroke glow engines.

pub mod config;
pub mod engine;
pub mod fluids;
pub mod lanes;
pub mod parameters;
pub mod units;
