//! needlebench: a physics-informed mixture simulator and trainer for small two-stroke glow engines.
//!
//! The story runs one way. Files in `models/` become checked parameters ([`config`]); parts, fuel and weather ([`fluids`]) become an
//! [`engine`], constant, whose state varies revolution by revolution; somebody's hands run it on the [bench](mod@bench) and note what a tuner
//! can notice; [`tuning`] hides a setting and scores who finds it.

#![forbid(unsafe_code)]

pub mod bench;
pub mod chance;
pub mod config;
pub mod digest;
pub mod engine;
pub mod fluids;
pub mod insight;
pub mod lanes;
pub mod noise;
pub mod parameters;
pub mod plot;
pub mod practise;
pub mod sound;
pub mod stats;
pub mod tuning;
pub mod units;
