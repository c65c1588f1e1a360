//! `air` and `blend`: weather and fuel in numbers, and mixing from jugs.

use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty};

use super::{close, json, needlebench, number, refused};

#[test]
fn air_on_the_reference_day_and_on_a_mountain() {
    let day = json(&["air", "--json"]);
    // CIPM-2007 (Picard et al. 2008) at 20 °C, 101 325 Pa, 50 %: 1.1993 kg/m³.
    close(number(&day, "density_kg_per_m3"), 1.1993, 1e-4);
    assert!(number(&day, "dry_air_density_kg_per_m3") < number(&day, "density_kg_per_m3"));
    assert_eq!(number(&day, "temperature_c"), 20.0);
    assert_eq!(number(&day, "pressure_hpa"), 1013.25);
    assert_eq!(number(&day, "humidity_percent"), 50.0);
    // ISO 2533 at 1500 m: 845.56 hPa.
    let mountain = json(&["air", "--altitude-m", "1500", "--json"]);
    close(number(&mountain, "pressure_hpa"), 845.56, 1e-5);
    assert!(number(&mountain, "density_altitude_m") > 1500.0);
    // SAE J1349's own day (25 °C, 99 kPa dry): no correction.
    let standard = json(&[
        "air",
        "--temperature-c",
        "25",
        "--pressure-hpa",
        "990",
        "--humidity-percent",
        "0",
        "--json",
    ]);
    close(number(&standard, "power_correction"), 1.0, 1e-9);
    needlebench(&["air", "--temperature-c", "-10"])
        .assert()
        .success()
        .stdout(contains("-10.0 °C").and(contains("kg/m³")));
}

/// What is read off an instrument in other units is the same weather: 29.92 inches of mercury are 1013.2 hPa (NIST SP 811, inHg at 0 °C).
#[test]
fn weather_in_fahrenheit_and_inches_of_mercury_is_the_same_weather() {
    let read = json(&["air", "--temperature-f", "95", "--pressure-inhg", "29.92", "--json"]);
    close(number(&read, "temperature_c"), 35.0, 1e-12);
    close(number(&read, "pressure_hpa"), 1013.21, 1e-5);
    let written = json(&["air", "--temperature-c", "35", "--pressure-hpa", "1013.2076", "--json"]);
    close(
        number(&read, "density_kg_per_m3"),
        number(&written, "density_kg_per_m3"),
        1e-7,
    );
    let checked = |flag: &str, degrees: &str| {
        needlebench(&["check", flag, degrees, "--json"])
            .output()
            .unwrap()
            .stdout
    };
    let cold = checked("--temperature-f", "50");
    assert!(cold.len() > 1000 && cold == checked("--temperature-c", "10"));
}

#[test]
fn weather_out_of_range_names_flag_range_and_remedy() {
    let refused = |arguments: &[&str], message: &str| refused(&[&["air"], arguments].concat(), message);
    refused(
        &["--temperature-c", "80"],
        "--temperature-c.*out of range; allowed -30 to 55 °C; choose",
    );
    refused(
        &["--temperature-c", "nan"],
        "--temperature-c.*not a finite number; allowed -30 to 55 °C; write",
    );
    refused(
        &["--temperature-c", "20C"],
        "--temperature-c.*not a number; allowed -30 to 55 °C; write it without",
    );
    refused(
        &["--temperature-c", "20,5"],
        "--temperature-c.*not a number;.*point for decimals",
    );
    refused(&["--pressure-hpa", "1.013"], "--pressure-hpa.*allowed 500 to 1100 hPa");
    refused(&["--pressure-hpa", "inf"], "--pressure-hpa.*not a finite number");
    refused(
        &["--humidity-percent", "-1"],
        "--humidity-percent.*allowed 0 to 100 percent",
    );
    refused(&["--altitude-m", "9000"], "--altitude-m.*allowed -500 to 5500 m");
    refused(
        &["--altitude-m", "0", "--pressure-hpa", "1000"],
        "--altitude-m.*cannot be used with.*--pressure-hpa",
    );
    refused(
        &["--temperature-f", "200"],
        "--temperature-f.*allowed -22 to 131 °F; choose",
    );
    refused(
        &["--temperature-f", "70", "--temperature-c", "21"],
        "--temperature-f.*cannot be used with.*--temperature-c",
    );
    refused(
        &["--pressure-inhg", "1013"],
        "--pressure-inhg.*allowed 14.8 to 32.4 inHg",
    );
    refused(
        &["--pressure-inhg", "29.9", "--altitude-m", "0"],
        "--pressure-inhg.*cannot be used with.*--altitude-m|--altitude-m.*cannot be used with.*--pressure-inhg",
    );
    refused(&["--elevation", "3"], "unexpected argument '--elevation'");
}

#[test]
fn blend_of_pure_methanol_has_the_handbooks_numbers() {
    let methanol = json(&["blend", "--nitro", "0", "--oil", "0", "--json"]);
    // Common handbook values: stoichiometric ratio 6.47, lower heating value 19.9 MJ/kg.
    close(number(&methanol, "air_fuel_ratio"), 6.47, 3e-3);
    close(number(&methanol, "lower_heating_value_mj_per_kg"), 19.9, 3e-3);
    let heat = methanol["heat_per_kg_air_mj"].as_array().unwrap();
    assert!(heat.len() > 10 && heat.iter().all(|pair| pair.as_array().unwrap().len() == 2));
    // Computed equilibrium: without nitro the heat per kilogram of air peaks near an equivalence ratio of 1.2.
    let best = heat
        .iter()
        .max_by(|a, b| a[1].as_f64().unwrap().total_cmp(&b[1].as_f64().unwrap()))
        .unwrap();
    close(best[0].as_f64().unwrap(), 1.2, 0.05);
    let race = json(&["blend", "--nitro", "25", "--oil", "11", "--json"]);
    assert!(number(&race, "air_fuel_ratio") < number(&methanol, "air_fuel_ratio"));
    for key in ["density_kg_per_m3", "latent_heat_kj_per_kg", "viscosity_mpa_s"] {
        assert!(number(&race, key) > 0.0);
    }
    needlebench(&["blend"])
        .assert()
        .success()
        .stdout(contains("oil not burning"));
}

#[test]
fn blend_viscosity_falls_with_temperature() {
    let at = |temperature: &str| {
        number(
            &json(&["blend", "--fuel-temperature-c", temperature, "--json"]),
            "viscosity_mpa_s",
        )
    };
    assert!(at("0") > 1.2 * at("20") && at("20") > at("40"));
}

#[test]
fn blend_refuses_what_cannot_be_poured() {
    refused(
        &["blend", "--nitro", "60", "--oil", "50"],
        "--nitro, --oil: .*110 %.*allowed: 100 percent together.*lower one",
    );
    refused(
        &["blend", "--nitro", "-5"],
        "--nitro.*out of range; allowed 0 to 100 percent",
    );
    refused(
        &["blend", "--oil", "nan"],
        "--oil.*not a finite number; allowed 0 to 60 percent",
    );
    refused(&["blend", "--castor-share", "70"], "--castor-share.*allowed 0 to 1");
    refused(
        &["blend", "--fuel", "race-25", "--nitro", "30"],
        "--fuel.*cannot be used with.*--nitro",
    );
}

#[test]
fn a_recipe_adds_up_to_what_is_wanted() {
    let arguments = [
        "blend",
        "--nitro",
        "20",
        "--oil",
        "11",
        "--castor-share",
        "0",
        "--make-ml",
        "2000",
        "--jug",
        "30/10",
        "--jug",
        "10/12",
    ];
    let recipe = &json(&[&arguments[..], &["--json"]].concat())["recipe"];
    // Halfway between the two jugs in both percentages: a litre of each.
    for jug in recipe["jugs"].as_array().unwrap() {
        close(number(jug, "volume_ml"), 1000.0, 1e-6);
    }
    close(number(&recipe["result"], "volume_ml"), 2000.0, 1e-9);
    needlebench(&arguments)
        .assert()
        .success()
        .stdout(contains("first jug").and(contains("2000.0 ml")));
}

#[test]
fn castor_is_insisted_on_only_when_asked_for() {
    let mix = |more: &[&str]| {
        let wanted = [
            "blend",
            "--nitro",
            "20",
            "--oil",
            "11",
            "--make-ml",
            "500",
            "--jug",
            "30/10",
            "--jug",
            "10/12",
            "--json",
        ];
        needlebench(&[&wanted[..], more].concat()).assert()
    };
    mix(&[]).success();
    mix(&["--castor-share", "0.5"]).code(1).stderr(contains("castor"));
    mix(&["--castor-share", "0.5", "--any-oil"]).success();
}

#[test]
fn jugs_poured_together_make_their_mean() {
    let poured = json(&["blend", "--jug", "30/10=500", "--jug", "10/12=1500", "--json"]);
    close(number(&poured, "nitro_percent"), 15.0, 1e-9);
    close(number(&poured, "oil_percent"), 11.5, 1e-9);
    close(number(&poured, "poured_ml"), 2000.0, 1e-9);
}

#[test]
fn a_blend_out_of_reach_is_answered_with_no() {
    needlebench(&[
        "blend",
        "--nitro",
        "40",
        "--oil",
        "11",
        "--make-ml",
        "1000",
        "--jug",
        "30/10",
        "--jug",
        "10/12",
    ])
    .assert()
    .code(1)
    .stdout(is_empty())
    .stderr(contains("it can't be mixed"));
}

#[test]
fn jugs_written_wrongly_are_refused() {
    let jug = |text: &str, message: &str| refused(&["blend", "--make-ml", "500", "--jug", text], message);
    jug("30/80", "--jug.*110 %|--jug.*outside 0..60");
    jug("30/10/1/1", "--jug.*allowed NITRO/OIL");
    jug("30/10=much", "--jug.*volume not a number; allowed 0 to 1000000 ml");
    jug("race-31", "no fuel `race-31`");
    refused(&["blend", "--make-ml", "500"], "--jug|--add");
    refused(
        &["blend", "--jug", "race-25"],
        "--jug: one jug alone; allowed: two jugs with their volumes",
    );
    refused(
        &["blend", "--jug", "race-25", "--jug", "race-30=5"],
        "--jug: a jug without a volume",
    );
    refused(
        &["blend", "--jug", "1/1=5", "--jug", "1/2=5", "--jug", "1/3=5"],
        "--jug: 3 jugs; allowed: one or two",
    );
}
