//! The fluids against published values: every table in `tests/data` that concerns them, each with its own tolerance.
//!
//! `tests/data/README.md` says where the numbers come from. One file per subject.

mod air;
mod equilibrium;
mod fuel;
mod heat_release;
mod table;
mod thermo;
