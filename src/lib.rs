//! needlebench: a physics-informed mixture simulator and trainer for small two-stroke glow engines.

pub mod fluids;
pub mod lanes;
pub mod units;
