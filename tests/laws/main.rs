//! The laws by their limits, identities and directions: nothing here rests on how large a calibrated constant is.

mod account;
mod any_input;
mod directions;
mod pure;
mod standing;
mod wear;

use needlebench::config::reference_setup;
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

/// The reference engine, its fuel and setting.
fn reference() -> (Setup, Setting) {
    let (engine, setup) = reference_setup("offroad-3.5").unwrap();
    (setup, engine.reference)
}
