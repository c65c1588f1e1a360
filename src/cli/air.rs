//! `needlebench air`: what today's air is worth to an engine.

use clap::Args;
use needlebench::fluids::air::Air;
use needlebench::fluids::atmosphere;
use serde::Serialize;

use crate::cli::options::{AnswerOptions, WeatherOptions};
use crate::cli::{Answer, Failure, output};

#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench air --temperature-c 32 --humidity-percent 70\n  \
    needlebench air --altitude-m 1500 --json\n  \
    needlebench air --pressure-hpa 985")]
pub struct Arguments {
    #[command(flatten)]
    weather: WeatherOptions,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// The answer; keys are stable.
#[derive(Debug, Serialize)]
struct Report {
    /// Moist air.
    density_kg_per_m3: f64,
    /// The dry air in it.
    dry_air_density_kg_per_m3: f64,
    /// The oxygen in it.
    oxygen_density_kg_per_m3: f64,
    density_altitude_m: f64,
    pressure_altitude_m: f64,
    pressure_hpa: f64,
    temperature_c: f64,
    humidity_percent: f64,
    /// Factor from power measured today to power on the standard's day: SAE J1349, brake power.
    power_correction: f64,
    /// The same by other standards.
    power_corrections: Corrections,
}

#[derive(Debug, Serialize)]
struct Corrections {
    sae_j1349_brake: f64,
    sae_j1349_indicated: f64,
    iso_1585: f64,
    din_70020: f64,
}

pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let weather = arguments.weather.weather();
    let air = Air::new(&weather);
    let dry_pressure = air.pressure - air.vapour_pressure;
    let corrections = Corrections {
        sae_j1349_brake: atmosphere::sae_j1349_brake(air.temperature, dry_pressure),
        sae_j1349_indicated: atmosphere::sae_j1349_indicated(air.temperature, dry_pressure),
        iso_1585: atmosphere::iso_1585(air.temperature, dry_pressure),
        din_70020: atmosphere::din_70020(air.temperature, air.pressure),
    };
    let report = Report {
        density_kg_per_m3: air.density,
        dry_air_density_kg_per_m3: air.dry_density,
        oxygen_density_kg_per_m3: air.oxygen_density,
        density_altitude_m: air.density_altitude,
        pressure_altitude_m: air.pressure_altitude,
        pressure_hpa: weather.pressure_hpa,
        temperature_c: weather.temperature_c,
        humidity_percent: weather.humidity_percent,
        power_correction: corrections.sae_j1349_brake,
        power_corrections: corrections,
    };
    if arguments.answer.json {
        output::print_json(&report)?;
    } else {
        output::print(&words(&report))?;
    }
    Ok(Answer::Yes)
}

fn words(report: &Report) -> String {
    format!(
        "weather            {:.1} °C, {:.2} hPa, {:.0} % humidity\n\
         density            {:.4} kg/m³\n\
         dry air in it      {:.4} kg/m³\n\
         oxygen in it       {:.4} kg/m³\n\
         density altitude   {:.0} m\n\
         pressure altitude  {:.0} m\n\
         power correction   {:.4}  (SAE J1349, brake: power today times this is power on its standard day)\n\
         \x20                  {:.4}  (SAE J1349, indicated)   {:.4}  (ISO 1585)   {:.4}  (DIN 70020)\n",
        report.temperature_c,
        report.pressure_hpa,
        report.humidity_percent,
        report.density_kg_per_m3,
        report.dry_air_density_kg_per_m3,
        report.oxygen_density_kg_per_m3,
        report.density_altitude_m,
        report.pressure_altitude_m,
        report.power_correction,
        report.power_corrections.sae_j1349_indicated,
        report.power_corrections.iso_1585,
        report.power_corrections.din_70020,
    )
}
