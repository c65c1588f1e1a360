//! The two ends of a change on the command line: every flag of fuel and weather once with `--from-` and once with `--to-`, on top of the
//! shared options, which mean both ends.

use clap::Args;
use needlebench::config::{FuelModel, Models, models};
use needlebench::fluids::air::Weather;
use needlebench::fluids::fuel::Blend;
use needlebench::insight::change::Place;
use needlebench::units::{celsius_from_fahrenheit, hpa_from_inhg};

use crate::cli::Failure;
use crate::cli::options::{EngineOptions, PRESSURE_INHG, TEMPERATURE_F, WeatherOptions, number};

macro_rules! side {
    ($name:ident, $heading:literal, $prefix:literal) => {
        #[doc = concat!("What is different ", $heading, ".")]
        #[derive(Args, Clone, Debug)]
        #[command(next_help_heading = $heading)]
        pub struct $name {
            /// Nitromethane there, percent by volume
            #[arg(long = concat!($prefix, "-nitro"), id = concat!($prefix, "-nitro"), value_name = "PERCENT", allow_negative_numbers = true,
                  value_parser = number(0.0, 100.0, "percent"))]
            nitro: Option<f64>,
            /// Oil there, percent by volume
            #[arg(long = concat!($prefix, "-oil"), id = concat!($prefix, "-oil"), value_name = "PERCENT", allow_negative_numbers = true,
                  value_parser = number(0.0, Blend::MAX_OIL_PERCENT, "percent"))]
            oil: Option<f64>,
            /// Fuel there: a built-in name or a file
            #[arg(long = concat!($prefix, "-fuel"), id = concat!($prefix, "-fuel"), value_name = "NAME|FILE",
                  conflicts_with_all = [concat!($prefix, "-nitro"), concat!($prefix, "-oil")])]
            fuel: Option<String>,
            /// Glow plug there: a built-in name or a file
            #[arg(long = concat!($prefix, "-plug"), id = concat!($prefix, "-plug"), value_name = "NAME|FILE")]
            plug: Option<String>,
            /// Engine there: a built-in name or a file
            #[arg(long = concat!($prefix, "-engine"), id = concat!($prefix, "-engine"), value_name = "NAME|FILE")]
            engine: Option<String>,
            /// Air temperature there, °C
            #[arg(long = concat!($prefix, "-temperature-c"), id = concat!($prefix, "-temperature-c"), value_name = "C", allow_negative_numbers = true,
                  value_parser = number(*Weather::TEMPERATURE_C.start(), *Weather::TEMPERATURE_C.end(), "°C"))]
            temperature_c: Option<f64>,
            /// Air temperature there, °F
            #[arg(long = concat!($prefix, "-temperature-f"), id = concat!($prefix, "-temperature-f"), value_name = "F", allow_negative_numbers = true,
                  conflicts_with = concat!($prefix, "-temperature-c"), value_parser = number(TEMPERATURE_F[0], TEMPERATURE_F[1], "°F"))]
            temperature_f: Option<f64>,
            /// Air pressure there (station pressure), hPa
            #[arg(long = concat!($prefix, "-pressure-hpa"), id = concat!($prefix, "-pressure-hpa"), value_name = "HPA", allow_negative_numbers = true,
                  value_parser = number(*Weather::PRESSURE_HPA.start(), *Weather::PRESSURE_HPA.end(), "hPa"))]
            pressure_hpa: Option<f64>,
            /// Air pressure there (station pressure), inches of mercury
            #[arg(long = concat!($prefix, "-pressure-inhg"), id = concat!($prefix, "-pressure-inhg"), value_name = "INHG", allow_negative_numbers = true,
                  conflicts_with = concat!($prefix, "-pressure-hpa"), value_parser = number(PRESSURE_INHG[0], PRESSURE_INHG[1], "inHg"))]
            pressure_inhg: Option<f64>,
            /// Altitude there, m: stands in for a barometer by the standard atmosphere
            #[arg(long = concat!($prefix, "-altitude-m"), id = concat!($prefix, "-altitude-m"), value_name = "M", allow_negative_numbers = true,
                  conflicts_with_all = [concat!($prefix, "-pressure-hpa"), concat!($prefix, "-pressure-inhg")],
                  value_parser = number(-500.0, 5500.0, "m"))]
            altitude_m: Option<f64>,
            /// Relative humidity there, percent
            #[arg(long = concat!($prefix, "-humidity-percent"), id = concat!($prefix, "-humidity-percent"), value_name = "PERCENT", allow_negative_numbers = true,
                  value_parser = number(0.0, 100.0, "percent"))]
            humidity_percent: Option<f64>,
        }

        impl $name {
            /// The end of the change that is meant.
            ///
            /// # Errors
            /// A model that can't be used, or nitromethane and oil beyond 100 percent.
            pub fn place(&self, engine: &EngineOptions, weather: &WeatherOptions) -> Result<Place, Failure> {
                let Self { nitro, oil, fuel, plug, engine: engine_name, .. } = self.clone();
                let engine = EngineOptions {
                    engine: engine_name.unwrap_or_else(|| engine.engine.clone()),
                    plug: plug.or_else(|| engine.plug.clone()),
                    fuel: engine.fuel.clone(),
                };
                let mut models = engine.load()?;
                if let Some(name) = fuel {
                    models.fuel = models::fuel(&name)?;
                } else if nitro.is_some() || oil.is_some() {
                    models.fuel = poured(&models.fuel, nitro, oil, concat!("--", $prefix, "-nitro, --", $prefix, "-oil"))?;
                }
                let usual = Models::of_engine(&engine.engine)?;
                let base = weather.weather();
                let temperature_c = self.temperature_c.or(self.temperature_f.map(celsius_from_fahrenheit)).unwrap_or(base.temperature_c);
                let humidity_percent = self.humidity_percent.unwrap_or(base.humidity_percent);
                let weather = match self.altitude_m {
                    Some(altitude_m) => Weather::at_altitude(temperature_c, altitude_m, humidity_percent),
                    None => Weather {
                        temperature_c,
                        pressure_hpa: self.pressure_hpa.or(self.pressure_inhg.map(hpa_from_inhg)).unwrap_or(base.pressure_hpa),
                        humidity_percent,
                    },
                };
                Ok(Place { usual, models, weather })
            }

            /// The files among what is named here, with the flags that lead to them.
            pub fn files(&self) -> Vec<crate::cli::places::Named<'_>> {
                let named = [
                    (concat!("--", $prefix, "-fuel"), &self.fuel),
                    (concat!("--", $prefix, "-plug"), &self.plug),
                    (concat!("--", $prefix, "-engine"), &self.engine),
                ];
                named
                    .into_iter()
                    .filter_map(|(flag, text)| Some((flag, text.as_ref().filter(|text| models::is_path(text))?)))
                    .map(|(flag, text)| (flag, std::path::Path::new(text)))
                    .collect()
            }
        }
    };
}

side!(From, "Before the change", "from");
side!(To, "After the change", "to");

/// A fuel with other percentages on its label.
fn poured(base: &FuelModel, nitro: Option<f64>, oil: Option<f64>, flag: &'static str) -> Result<FuelModel, Failure> {
    let blend = Blend {
        nitro_percent: nitro.unwrap_or(base.blend.nitro_percent),
        oil_percent: oil.unwrap_or(base.blend.oil_percent),
        ..base.blend
    };
    match blend.validated() {
        Ok(blend) if blend == base.blend => Ok(base.clone()),
        Ok(blend) => Ok(FuelModel {
            viscosity_factor: base.viscosity_factor,
            ..FuelModel::from_blend(blend)
        }),
        Err(error) => Err(Failure::Usage {
            flag,
            what: error.to_string(),
            allowed: "100 percent together, the rest being methanol",
            remedy: "lower one of them",
        }),
    }
}
