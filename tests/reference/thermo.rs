//! NASA 7-coefficient polynomials: the table in the code is the table in the data, and evaluates as it should.

use crate::table::{Worst, read};
use needlebench::fluids::nasa7::{GRAPHITE, METHANOL, NITROMETHANE, PRODUCTS};
use needlebench::fluids::thermo::Species;

fn species(formula: &str) -> Species {
    let all = PRODUCTS.iter().chain([&METHANOL, &NITROMETHANE, &GRAPHITE]);
    *all.into_iter()
        .find(|s| s.formula == formula)
        .unwrap_or_else(|| panic!("no species {formula}"))
}

#[test]
fn the_coefficients_are_those_of_the_source() {
    for row in read("nasa7.csv", 34) {
        let species = species(row.text("species"));
        let (coefficients, join) = match row.text("range") {
            "low" => (species.low, row.get("T_max_K")),
            _ => (species.high, row.get("T_min_K")),
        };
        assert_eq!(species.join, join);
        for (i, coefficient) in coefficients.iter().enumerate() {
            assert_eq!(
                *coefficient,
                row.get(&format!("a{}", i + 1)),
                "{} a{}",
                species.formula,
                i + 1
            );
        }
        assert!((species.molar_mass - row.get("molar_mass_kg_per_kmol") * 1e-3).abs() < 1e-15);
        let atoms = ["n_C", "n_H", "n_O", "n_N"].map(|column| row.get(column));
        assert_eq!(species.atoms, atoms);
    }
}

#[test]
fn heat_capacity_enthalpy_entropy_and_gibbs_energy() {
    let [mut cp, mut s, mut h, mut g] = [(); 4].map(|_| Worst::default());
    let rows = read("nasa7_eval.csv", 190);
    let with_entropy = rows.iter().filter(|row| row.find("s_J_per_mol_K").is_some()).count();
    for row in &rows {
        let (species, t) = (species(row.text("species")), row.get("temperature_K"));
        let place = || format!("{} {t} K", species.formula);
        cp.relative(species.heat_capacity(t), row.get("cp_J_per_mol_K"), place);
        h.absolute(species.enthalpy(t), row.get("h_J_per_mol"), place);
        if let Some(expected) = row.find("s_J_per_mol_K") {
            s.relative(species.entropy(t), expected, place);
            g.absolute(species.gibbs_energy(t), row.get("g_J_per_mol"), place);
        }
    }
    cp.within(1e-7, 190);
    h.within(0.01, 190);
    s.within(1e-7, with_entropy);
    g.within(0.01, with_entropy);
    assert!(with_entropy >= 180);
}
