//! The laws by their limits, identities and directions: nothing here rests on how large a calibrated constant is.

mod account;
mod any_input;
mod directions;
mod pure;

use needlebench::config::models;
use needlebench::engine::Setup;
use needlebench::engine::params::{Faults, Setting};
use needlebench::fluids::air::{Air, Weather};
use needlebench::fluids::heat_release::HeatRelease;

/// The reference engine, its fuel and setting.
fn reference() -> (Setup, Setting) {
    let engine = models::engine("offroad-3.5").unwrap();
    let fuel = models::fuel(&engine.reference_fuel).unwrap().fuel();
    let setup = Setup {
        engine: engine.params,
        laws: models::laws().unwrap(),
        range: models::plug(&engine.reference_plug).unwrap().range,
        fuel,
        heat: HeatRelease::fit(&fuel).unwrap(),
        air: Air::new(&Weather::REFERENCE),
        faults: Faults::NONE,
    };
    (setup, engine.reference)
}
