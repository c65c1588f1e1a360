//! Flame temperatures, pressures, heats and compositions against the equilibrium table, every row.
//!
//! The table was made by minimising the Gibbs energy with the same species data in another program; its own tolerance for
//! that is 0.05 K, 1e-5 in pressure and heat, 1e-6 in mole fractions, and that is what is asked here.

use crate::table::{Worst, read};
use needlebench::fluids::equilibrium::{
    Equilibrium, Options, at_constant_pressure, at_constant_pressure_liquid_fuel, at_constant_volume, at_temperature,
};
use needlebench::fluids::mixture::Mixture;
use needlebench::fluids::nasa7::Product;

const SPECIES: [(Product, &str); 8] = [
    (Product::Co2, "CO2"),
    (Product::Co, "CO"),
    (Product::H2o, "H2O"),
    (Product::H2, "H2"),
    (Product::O2, "O2"),
    (Product::N2, "N2"),
    (Product::No, "NO"),
    (Product::Oh, "OH"),
];

#[test]
fn every_row_of_the_table() {
    let [
        mut t,
        mut p,
        mut heat,
        mut x,
        mut gamma,
        mut mass,
        mut graphite,
        mut ratio,
    ] = [(); 8].map(|_| Worst::default());
    let options = Options::default();
    let mut liquid_rows = 0;
    for row in read("equilibrium.csv", 378) {
        let mixture = Mixture::new(row.get("nitromethane_mole_fraction_of_fuel"), row.get("phi"));
        let (t0, p0) = (row.get("initial_temperature_K"), row.get("initial_pressure_Pa"));
        let place = || {
            format!(
                "{} x {} phi {}",
                row.text("state"),
                mixture.nitro_mole_fraction,
                mixture.phi
            )
        };
        let mut composition = |gas: &Equilibrium, state: &str| {
            for (product, name) in SPECIES {
                let expected = row.get(&format!("x_{name}_{state}"));
                x.absolute(gas.mole_fraction(product), expected, || {
                    format!("{} {name} {state}", place())
                });
            }
        };
        ratio.relative(mixture.fuel_air_ratio(), row.get("fuel_air_mass_ratio"), place);

        let hp = at_constant_pressure(&mixture, t0, p0, &options).unwrap();
        t.absolute(hp.products.temperature, row.get("T_ad_hp_K"), place);
        assert_eq!(hp.products.pressure, p0);
        heat.relative(
            hp.heat_per_kg_mixture,
            row.get("heat_release_hp_J_per_kg_mixture"),
            place,
        );
        heat.relative(hp.heat_per_kg_air, row.get("heat_release_hp_J_per_kg_air"), place);
        graphite.relative(hp.products.graphite_activity, row.get("graphite_activity_hp"), place);
        composition(&hp.products, "hp");

        let uv = at_constant_volume(&mixture, t0, p0, &options).unwrap();
        t.absolute(uv.products.temperature, row.get("T_uv_K"), place);
        p.relative(uv.products.pressure, row.get("p_uv_Pa"), place);
        heat.relative(
            uv.heat_per_kg_mixture,
            row.get("heat_release_uv_J_per_kg_mixture"),
            place,
        );
        heat.relative(uv.heat_per_kg_air, row.get("heat_release_uv_J_per_kg_air"), place);
        mass.relative(
            uv.products.mean_molar_mass * 1e3,
            row.get("mean_molar_mass_uv_kg_per_kmol"),
            place,
        );
        gamma.relative(uv.products.gamma, row.get("gamma_frozen_uv"), place);
        composition(&uv.products, "uv");

        if let Some(expected) = row.find("T_ad_hp_liquid_fuel_K") {
            liquid_rows += 1;
            let burn = at_constant_pressure_liquid_fuel(&mixture, p0, &options).unwrap();
            t.absolute(burn.products.temperature, expected, || format!("liquid, {}", place()));
        }
    }
    assert_eq!(liquid_rows, 130);
    ratio.within(1e-8, 378);
    t.within(0.05, 2 * 378 + liquid_rows);
    p.within(1e-5, 378);
    heat.within(1e-5, 4 * 378);
    x.within(1e-6, 2 * 8 * 378);
    mass.within(1e-6, 378);
    gamma.within(1e-6, 378);
    graphite.within(1e-3, 378);
}

#[test]
fn an_adiabatic_flame_is_the_equilibrium_of_its_own_temperature() {
    for x in [0.0, 0.2, 0.5, 1.0] {
        for phi in [0.3, 0.8, 1.0, 1.5, 3.0, 4.0] {
            let mixture = Mixture::new(x, phi);
            let options = Options::default();
            let flame = at_constant_pressure(&mixture, 298.15, 101_325.0, &options)
                .unwrap()
                .products;
            let again = at_temperature(&mixture, flame.temperature, 101_325.0, &options).unwrap();
            for (a, b) in flame.mole_fractions.iter().zip(again.mole_fractions) {
                assert!((a - b).abs() < 1e-10, "{x} {phi}: {a} {b}");
            }
        }
    }
}
