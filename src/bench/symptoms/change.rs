//! What a row changes besides the screws: fuel, weather, what the jet is fed. A new one is a variant and its arm.

use crate::engine::links::{Link, Links};
use crate::engine::{Engine, Setup};
use crate::fluids::air::{Air, Weather};
use crate::fluids::fuel::{Blend, Fuel};
use crate::fluids::heat_release::HeatRelease;

/// A change of the reference engine's fuel or weather.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Change {
    /// None.
    Nothing,
    /// Ten percent more nitromethane.
    MoreNitro,
    /// Four percent more oil.
    MoreOil,
    /// Fuel 20 K colder at the jet, whatever warms it on its way.
    ColderFuel,
    /// Air 20 K colder, the fuel at the jet as warm as before.
    ColderAir,
    /// A whole 20 K colder day.
    ColderDay,
    /// A whole 20 K hotter day.
    HotterDay,
    /// 30 hPa more.
    HighPressure,
    /// 1500 m up.
    Mountain,
    /// 30 °C and dry.
    DryHeat,
    /// 30 °C and humid.
    HumidHeat,
}

impl Change {
    /// The setup changed.
    pub fn of(self, setup: &Setup) -> Setup {
        let reference = Weather::REFERENCE;
        let warmer = |kelvin| Weather {
            temperature_c: reference.temperature_c + kelvin,
            ..reference
        };
        let hot = |humidity_percent| Weather {
            temperature_c: 30.0,
            humidity_percent,
            ..reference
        };
        let blend = setup.fuel.blend;
        match self {
            Self::Nothing => *setup,
            Self::MoreNitro => with_fuel(
                setup,
                Blend {
                    nitro_percent: blend.nitro_percent + 10.0,
                    ..blend
                },
            ),
            Self::MoreOil => with_fuel(
                setup,
                Blend {
                    oil_percent: blend.oil_percent + 4.0,
                    ..blend
                },
            ),
            Self::ColderFuel => {
                let mut setup = *setup;
                setup.engine.carburettor.jet_warming_k -= 20.0;
                setup
            }
            Self::ColderAir | Self::ColderDay => with_weather(setup, warmer(-20.0)),
            Self::HotterDay => with_weather(setup, warmer(20.0)),
            Self::HighPressure => with_weather(
                setup,
                Weather {
                    pressure_hpa: reference.pressure_hpa + 30.0,
                    ..reference
                },
            ),
            // The standard atmosphere's lapse goes with the altitude: 9.75 K cooler at 1500 m (ISO 2533).
            Self::Mountain => with_weather(
                setup,
                Weather::at_altitude(reference.temperature_c - 9.75, 1500.0, reference.humidity_percent),
            ),
            Self::DryHeat => with_weather(setup, hot(20.0)),
            Self::HumidHeat => with_weather(setup, hot(90.0)),
        }
    }
}

impl Change {
    /// The engine changed.
    pub fn engine(self, setup: &Setup) -> Engine {
        let changed = self.of(setup);
        if self == Self::ColderAir {
            // The fuel is as warm as on the reference day, so that only the air differs.
            Engine::holding(&changed, setup, Links::NONE.and(Link::AirTemperatureToJet))
        } else {
            Engine::new(&changed)
        }
    }
}

fn with_fuel(setup: &Setup, blend: Blend) -> Setup {
    let fuel = Fuel::new(blend);
    Setup {
        fuel,
        heat: HeatRelease::fit(&fuel).unwrap_or(setup.heat),
        ..*setup
    }
}

fn with_weather(setup: &Setup, weather: Weather) -> Setup {
    Setup {
        air: Air::new(&weather),
        ..*setup
    }
}
