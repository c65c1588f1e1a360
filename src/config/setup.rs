//! From a choice of engine, plug, fuel, weather and faults to everything an engine runs on.
//!
//! Commands, scenarios, tests and benches all come through here, so that "the reference engine" means the same to each of them.

use crate::config::error::ConfigError;
use crate::config::models;
use crate::config::own::OwnFiles;
use crate::config::schema::{EngineModel, FuelModel, PlugModel};
use crate::engine::Setup;
use crate::engine::params::{Faults, LawParams};
use crate::fluids::air::{Air, Weather};
use crate::fluids::equilibrium::EquilibriumError;
use crate::fluids::heat_release::HeatRelease;

/// Why a choice can't be run.
#[derive(Debug, thiserror::Error)]
pub enum SetupError {
    /// A model that can't be used.
    #[error(transparent)]
    Config(#[from] ConfigError),
    /// The heat of the fuel can't be computed.
    #[error("the heat of this fuel can't be computed: {0}; choose another blend")]
    Heat(#[from] EquilibriumError),
}

/// Everything that makes an engine, read and checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Models {
    /// The engine.
    pub engine: EngineModel,
    /// The plug screwed into it.
    pub plug: PlugModel,
    /// The fuel in its tank.
    pub fuel: FuelModel,
    /// The laws' constants.
    pub laws: LawParams,
}

impl Models {
    /// An engine, by name or path, with the plug and the fuel its reference setting belongs to.
    ///
    /// # Errors
    /// No such name, or a file that can't be used.
    pub fn of_engine(engine: &str) -> Result<Self, ConfigError> {
        let engine = models::engine(engine)?;
        Ok(Self {
            plug: models::plug(&engine.reference_plug)?,
            fuel: models::fuel(&engine.reference_fuel)?,
            laws: models::laws()?,
            engine,
        })
    }

    /// The same with own files taken from `own`, not from the disk.
    ///
    /// # Errors
    /// No such name, a file that is not among them, or one that can't be used.
    pub fn among(own: &OwnFiles, engine: &str) -> Result<Self, ConfigError> {
        let engine = own.engine(engine)?;
        Ok(Self {
            plug: own.plug(&engine.reference_plug)?,
            fuel: own.fuel(&engine.reference_fuel)?,
            laws: models::laws()?,
            engine,
        })
    }

    /// Everything that stays constant while this engine runs in this weather with these faults.
    ///
    /// # Errors
    /// A fuel whose heat can't be computed.
    pub fn setup(&self, weather: &Weather, faults: Faults) -> Result<Setup, EquilibriumError> {
        let fuel = self.fuel.fuel();
        Ok(Setup {
            engine: self.engine.params,
            laws: self.laws,
            range: self.plug.range,
            fuel,
            heat: HeatRelease::fit(&fuel)?,
            air: Air::new(weather),
            faults,
        })
    }
}

/// An engine, by name or path, sound, with its reference fuel and plug in the reference weather; its reference setting is in the
/// model.
///
/// # Errors
/// No such name, a file that can't be used, or a fuel whose heat can't be computed.
pub fn reference_setup(engine: &str) -> Result<(EngineModel, Setup), SetupError> {
    let models = Models::of_engine(engine)?;
    let setup = models.setup(&Weather::REFERENCE, Faults::NONE)?;
    Ok((models.engine, setup))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fluids::fuel::Blend;

    #[test]
    fn the_reference_is_the_engines_own_fuel_and_plug() {
        for name in models::engine_names() {
            let (engine, setup) = reference_setup(name).unwrap();
            assert_eq!(engine.name, name);
            assert_eq!(setup.engine, engine.params);
            assert_eq!(setup.fuel, models::fuel(&engine.reference_fuel).unwrap().fuel());
            assert_eq!(setup.range, models::plug(&engine.reference_plug).unwrap().range);
            assert_eq!(setup.faults, Faults::NONE);
        }
    }

    #[test]
    fn another_fuel_brings_its_own_heat() {
        let mut models = Models::of_engine("offroad-3.5").unwrap();
        let before = models.setup(&Weather::REFERENCE, Faults::NONE).unwrap();
        models.fuel = FuelModel::from_blend(Blend {
            nitro_percent: before.fuel.blend.nitro_percent + 10.0,
            ..before.fuel.blend
        });
        let after = models.setup(&Weather::REFERENCE, Faults::NONE).unwrap();
        assert!(after.heat.at(1.1) > before.heat.at(1.1));
    }

    #[test]
    fn what_is_missing_is_named() {
        assert!(matches!(reference_setup("offroad-35"), Err(SetupError::Config(_))));
    }
}
