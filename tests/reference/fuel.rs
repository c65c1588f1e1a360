//! Blends and their pure parts: stoichiometry, heating value, and the liquids' properties over temperature.

use crate::table::{Worst, read};
use needlebench::fluids::fuel::{Blend, Fuel, Oil};
use needlebench::fluids::liquids::{METHANOL, NITROMETHANE};

fn castor_blend(nitro_percent: f64, oil_percent: f64) -> Blend {
    Blend {
        nitro_percent,
        oil_percent,
        castor_share: 1.0,
    }
}

#[test]
fn stoichiometry_of_blends() {
    let mut worst = Worst::default();
    let mut rows_used = 0;
    for row in read("stoichiometry.csv", 103) {
        let (nitro, oil) = (row.get("nitromethane_vol_percent"), row.get("oil_vol_percent"));
        // Pure oil burns nothing and isn't a fuel here.
        if castor_blend(nitro, oil).validated().is_err() {
            continue;
        }
        rows_used += 1;
        let place = || format!("nitro {nitro} % oil {oil} %");
        let fuel = Fuel::new(castor_blend(nitro, oil));
        worst.absolute(fuel.methanol_mass_fraction, row.get("methanol_mass_fraction"), place);
        worst.absolute(
            fuel.nitromethane_mass_fraction,
            row.get("nitromethane_mass_fraction"),
            place,
        );
        worst.absolute(fuel.oil_mass_fraction, row.get("oil_mass_fraction"), place);
        worst.relative(fuel.density_20c, row.get("blend_density_20C_kg_per_m3"), place);
        let ratio = fuel.stoichiometric_air_fuel_ratio;
        worst.relative(ratio, row.get("afr_stoich_inert_oil_kg_per_kg"), place);
        worst.relative(fuel.lower_heating_value, row.get("lhv_inert_oil_J_per_kg_blend"), place);
        worst.relative(fuel.latent_heat, row.get("latent_heat_298K_J_per_kg_blend"), place);
        worst.relative(
            fuel.lower_heating_value / ratio,
            row.get("stoich_energy_inert_oil_J_per_kg_air"),
            place,
        );
    }
    assert!(rows_used >= 102, "{rows_used}");
    worst.within(1e-5, 8 * rows_used);
}

#[test]
fn a_car_fuels_air_fuel_ratio_depends_on_whether_the_oil_is_taken_to_burn() {
    // The table's own two conventions for the same blend: this project takes the inert one.
    let rows = read("stoichiometry.csv", 103);
    let find = |nitro, oil| {
        rows.iter()
            .find(|r| r.get("nitromethane_vol_percent") == nitro && r.get("oil_vol_percent") == oil)
            .unwrap()
    };
    let row = find(16.0, 12.0);
    let ours = Fuel::new(castor_blend(16.0, 12.0)).stoichiometric_air_fuel_ratio;
    assert!((ours / row.get("afr_stoich_inert_oil_kg_per_kg") - 1.0).abs() < 1e-5);
    assert!(row.get("afr_stoich_burning_methyl_oleate_kg_per_kg") > 1.3 * ours);
}

#[test]
fn pure_liquids_over_temperature() {
    let [
        mut density,
        mut viscosity,
        mut methanol_p,
        mut nitromethane_p,
        mut latent,
        mut cp,
    ] = [(); 6].map(|_| Worst::default());
    for row in read("fuel_properties.csv", 76) {
        let t = row.get("temperature_K");
        let (liquid, pressure) = match row.text("substance") {
            "methanol" => (METHANOL, &mut methanol_p),
            _ => (NITROMETHANE, &mut nitromethane_p),
        };
        let place = || format!("{} {t} K", liquid.name);
        density.relative(liquid.density(t), row.get("density_kg_per_m3"), place);
        viscosity.relative(liquid.viscosity(t), row.get("dynamic_viscosity_Pa_s"), place);
        pressure.relative(liquid.saturation_pressure(t), row.get("saturation_pressure_Pa"), place);
        latent.relative(liquid.latent_heat(t), row.get("latent_heat_J_per_kg"), place);
        cp.relative(liquid.heat_capacity(t), row.get("liquid_cp_J_per_kg_K"), place);
    }
    let (methanol_rows, nitromethane_rows) = (40, 36);
    density.within(3e-3, 76);
    viscosity.within(3e-2, 76);
    methanol_p.within(2e-2, methanol_rows);
    nitromethane_p.within(5e-2, nitromethane_rows);
    latent.within(2e-2, 76);
    cp.within(2e-2, 76);
}

#[test]
fn an_unmixed_fuel_has_the_properties_of_its_liquid() {
    let mut worst = Worst::default();
    for row in read("fuel_properties.csv", 76) {
        let t = row.get("temperature_K");
        let nitro = if row.text("substance") == "methanol" {
            0.0
        } else {
            100.0
        };
        let fuel = Fuel::new(castor_blend(nitro, 0.0));
        worst.relative(fuel.density(t), row.get("density_kg_per_m3"), || {
            format!("{nitro} % {t} K")
        });
    }
    worst.within(3e-3, 76);
}

#[test]
fn castor_oil_thins_as_measured() {
    let mut worst = Worst::default();
    for row in read("castor_oil_viscosity.csv", 25) {
        let t = row.get("temperature_K");
        worst.relative(Oil::Castor.viscosity(t), row.get("dynamic_viscosity_Pa_s"), || {
            format!("{t} K")
        });
    }
    worst.within(0.08, 25);
    // CRC Handbook at 100 °C, from memory.
    assert!((Oil::Castor.viscosity(373.15) / 0.0169 - 1.0).abs() < 0.1);
}
