//! The fluids against published values, the score of judgements and the statistics of studies against a library's: every table in `tests/data` that concerns
//! them, each with its own tolerance.
//!
//! `tests/data/README.md` says where the numbers come from. One file per subject.

mod air;
mod brier;
mod equilibrium;
mod fuel;
mod heat_release;
mod noise;
mod statistics;
mod table;
mod thermo;
