//! The fluids an engine lives on: moist air, methanol-nitromethane-oil fuel, and what burning them can give.
//!
//! Nothing here knows of an engine. Weather becomes [`air::Air`], a blend becomes [`fuel::Fuel`], and
//! [`heat_release::HeatRelease`] boils the chemical equilibrium of the two down to a curve that a revolution can afford.

pub mod air;
pub mod atmosphere;
pub mod equilibrium;
pub mod fuel;
pub mod gibbs;
pub mod heat_release;
pub mod jugs;
pub mod liquids;
pub mod mixing_rule;
pub mod mixture;
pub mod nasa7;
mod products;
pub mod thermo;
