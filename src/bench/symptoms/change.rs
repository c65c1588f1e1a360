//! What a row changes besides the screws: fuel, weather, what the jet is fed. A new one is a variant and its arm.

use crate::engine::Setup;
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
    /// Fuel 20 K colder at the jet.
    ColderFuel,
    /// Air 20 K colder, the fuel at the jet as warm as before.
    ColderAir,
    /// A whole 20 K colder day.
    ColderDay,
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
        let colder = Weather {
            temperature_c: reference.temperature_c - 20.0,
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
            Self::ColderAir => {
                let mut setup = with_weather(setup, colder);
                // Compared with the fuel at the same temperature, so that only the air differs; a crankcase 60 K above the air warms
                // the jet half as much again as one 40 K above.
                let warming = &mut setup.engine.carburettor.jet_warming_k;
                *warming = (*warming + 20.0) / 1.5;
                setup
            }
            Self::ColderDay => with_weather(setup, colder),
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
