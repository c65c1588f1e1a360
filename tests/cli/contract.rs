//! Output that others rely on: keys, units and what is null, command by command. Numbers are held against each other and
//! against standards, never against a calibrated constant.

use serde_json::Value;

use super::{close, json, needlebench, number};

const SETTING: [&str; 3] = ["high_turns", "low_turns", "idle_turns"];

const SYMPTOMS: [&str; 20] = [
    "idle_rpm",
    "idle_variation_percent",
    "idle_return_s",
    "idle_early_excess_percent",
    "idle_settle_s",
    "idle_hang_s",
    "snap_delay_s",
    "snap_puff_excess",
    "half_throttle_misfire_percent",
    "snap_misfire_percent",
    "full_throttle_rpm",
    "full_throttle_power_w",
    "best_power_w",
    "head_temperature_c",
    "smoke_opacity_percent",
    "detonation_index",
    "equivalence_ratio_idle",
    "equivalence_ratio_half",
    "equivalence_ratio_full",
    "air_fuel_ratio_full",
];

const COLUMNS: [&str; 17] = [
    "time_s",
    "throttle",
    "engine_rpm",
    "equivalence_ratio",
    "air_fuel_ratio",
    "burnt_share",
    "fuel_film_mg",
    "head_temperature_c",
    "plug_temperature_c",
    "smoke_opacity_percent",
    "fuel_flow_mg_per_s",
    "power_w",
    "tank_ml",
    "crown_temperature_c",
    "charge_temperature_c",
    "fuel_temperature_c",
    "exhaust_temperature_c",
];

/// Standard output of `check --json`, whatever the answer, with its exit code.
fn check(arguments: &[&str]) -> (Value, i32) {
    let output = needlebench(&[&["check", "--json"], arguments].concat())
        .output()
        .unwrap();
    assert!(output.stderr.is_empty());
    (
        serde_json::from_slice(&output.stdout).unwrap(),
        output.status.code().unwrap(),
    )
}

/// The keys and types that hold for any answer of `check`.
fn assert_check(answer: &Value, code: i32) {
    assert!(answer["seed"].is_u64());
    for screw in SETTING {
        number(&answer["setting"], screw);
    }
    let checks = answer["checks"].as_array().unwrap();
    assert!(checks.len() >= 15);
    for check in checks {
        assert!(
            check["name"].is_string() && check["unit"].is_string() && check["pass"].is_boolean(),
            "{check}"
        );
        for key in ["value", "low", "high"] {
            let value = check.get(key).unwrap_or_else(|| panic!("{check} lacks {key}"));
            assert!(value.is_null() || value.is_f64(), "{check}");
        }
        assert!(check["low"].is_f64() || check["high"].is_f64(), "{check} has no limit");
        // The verdict is the value within its limits, and what isn't there doesn't pass.
        let within = check["value"].as_f64().is_some_and(|value| {
            check["low"].as_f64().is_none_or(|low| value >= low)
                && check["high"].as_f64().is_none_or(|high| value <= high)
        });
        assert_eq!(check["pass"], within, "{check}");
    }
    let all = checks.iter().all(|check| check["pass"] == true);
    assert_eq!((answer["clean"].as_bool(), code), (Some(all), i32::from(!all)));
    let symptoms = &answer["symptoms"];
    for key in SYMPTOMS.into_iter().chain(["fuel_flow_full_g_per_s"]) {
        let value = symptoms.get(key).unwrap_or_else(|| panic!("symptoms lack {key}"));
        assert!(value.is_null() || value.is_f64(), "{key}: {value}");
    }
    assert!(number(symptoms, "idle_gap_mm") > 0.0);
    assert!(symptoms["stalled"].is_boolean());
}

#[test]
fn check_has_its_keys_and_an_engine_that_runs_has_every_number() {
    for engine in ["onroad-2.1", "offroad-3.5", "truggy-4.6"] {
        let (answer, code) = check(&["--engine", engine, "--seed", "3"]);
        assert_check(&answer, code);
        assert_eq!(answer["seed"], 3);
        for key in SYMPTOMS {
            number(&answer["symptoms"], key);
        }
        assert_eq!(answer["symptoms"]["stalled"], false);
        // Idle to free speed: revolutions per minute, not per second.
        let rpm = |key| number(&answer["symptoms"], key);
        assert!(rpm("idle_rpm") > 3_000.0 && rpm("full_throttle_rpm") > 1.5 * rpm("idle_rpm"));
    }
}

#[test]
fn what_a_dead_engine_cannot_show_is_null() {
    let (answer, code) = check(&["--high", "0", "--low", "0"]);
    assert_check(&answer, code);
    assert_eq!(code, 1);
    for key in SYMPTOMS.into_iter().chain(["fuel_flow_full_g_per_s"]) {
        assert!(answer["symptoms"][key].is_null(), "{key}: {}", answer["symptoms"][key]);
    }
    assert_eq!(answer["symptoms"]["stalled"], true);
    // The gap is the idle stop's, engine or not.
    number(&answer["symptoms"], "idle_gap_mm");
    // Rich beyond firing is as dead.
    let (answer, code) = check(&["--high", "8", "--low", "8"]);
    assert_check(&answer, code);
    assert_eq!(code, 1);

    let rows = json(&["run", "--high", "0", "--low", "0", "--json"]);
    let rows = rows["rows"].as_array().unwrap();
    let last = rows.last().unwrap();
    assert_eq!(number(last, "engine_rpm"), 0.0);
    assert!(
        last["equivalence_ratio"].is_null() && last["air_fuel_ratio"].is_null(),
        "{last}"
    );
    let (_, table) = csv(&["run", "--high", "0", "--low", "0"]);
    let last = table.last().unwrap();
    assert_eq!((last[3], last[4], last[2]), (None, None, Some(0.0)));
    // Neither charge nor fuel, but a crown and a pipe that cool.
    assert_eq!(last[14..16], [None, None]);
    assert!(last[13].unwrap() < table[0][13].unwrap() && last[16].unwrap() < table[0][16].unwrap());
}

#[test]
fn check_and_run_and_blend_mean_the_same_by_the_same_units() {
    let (answer, _) = check(&[]);
    let symptoms = &answer["symptoms"];
    // kg dry air per kg of the whole blend, and its ratio to the stoichiometric one.
    let blend = json(&["blend", "--fuel", "race-25", "--json"]);
    let stoichiometric = number(&blend, "air_fuel_ratio");
    close(
        number(symptoms, "air_fuel_ratio_full") * number(symptoms, "equivalence_ratio_full"),
        stoichiometric,
        1e-6,
    );
    let (_, table) = csv(&["run", "--manoeuvre", "brake", "--rpm", "30000"]);
    let last = table.last().unwrap();
    let last: Vec<f64> = last.iter().map(|cell| cell.unwrap()).collect();
    close(last[2], 30_000.0, 1e-3);
    close(last[3] * last[4], stoichiometric, 1e-3);
    // After 60 s on the brake against the check's settled brake: near enough to tell units apart.
    close(last[3], number(symptoms, "equivalence_ratio_full"), 0.2);
    close(last[10] / 1000.0, number(symptoms, "fuel_flow_full_g_per_s"), 0.2);
    close(last[11], number(symptoms, "full_throttle_power_w"), 0.2);
    close(last[9], number(symptoms, "smoke_opacity_percent"), 0.3);
    close(last[7], number(symptoms, "head_temperature_c"), 0.3);
    // From cold to hot, in °C: fuel at the jet, the charge that it cools, head, crown, exhaust gas.
    let temperatures = [last[15], last[14], last[7], last[13], last[16]];
    assert!(
        (-20.0..60.0).contains(&last[15]) && last[15] < last[7] && last[7] < last[13],
        "{temperatures:?}"
    );
    assert!(
        last[14] < last[13] && (200.0..900.0).contains(&last[16]),
        "{temperatures:?}"
    );
}

/// Header and cells of a run's CSV.
fn csv(arguments: &[&str]) -> (Vec<String>, Vec<Vec<Option<f64>>>) {
    let output = needlebench(&[arguments, &["--csv", "-"]].concat())
        .assert()
        .success()
        .get_output()
        .stdout
        .clone();
    let text = String::from_utf8(output).unwrap();
    let mut lines = text.lines();
    let header = lines.next().unwrap().split(',').map(str::to_string).collect();
    let cell = |text: &str| {
        (!text.is_empty()).then(|| {
            let value: f64 = text.parse().unwrap();
            assert!(value.is_finite());
            value
        })
    };
    (header, lines.map(|line| line.split(',').map(cell).collect()).collect())
}

#[test]
fn run_has_its_columns_and_a_hundred_rows_a_second() {
    for (manoeuvre, seconds) in [
        ("idle", Some(60.0)),
        ("roll-on", None),
        ("half", None),
        ("burst", None),
        ("snap", None),
        ("brake", None),
        ("pinch", None),
        ("laps", None),
    ] {
        let (header, table) = csv(&["run", "--manoeuvre", manoeuvre]);
        assert_eq!(header, COLUMNS, "{manoeuvre}");
        assert!(table.len() > 1_000, "{manoeuvre}: {}", table.len());
        if let Some(seconds) = seconds {
            assert_eq!(table.len(), (seconds * 100.0) as usize, "{manoeuvre}");
        }
        for (i, row) in (1..).zip(&table) {
            assert_eq!(row.len(), COLUMNS.len());
            close(row[0].unwrap(), f64::from(i) / 100.0, 1e-6);
            assert!(
                (0.0..=1.0).contains(&row[1].unwrap()) && (0.0..=1.0).contains(&row[5].unwrap()),
                "{manoeuvre} {i}"
            );
            assert!(
                (0.0..=100.0).contains(&row[9].unwrap()) && row[2].unwrap() >= 0.0,
                "{manoeuvre} {i}"
            );
            // Nothing but mixture, charge and fuel is ever missing, and of a turning engine only what has to do with fuel.
            let missing: Vec<usize> = (0..row.len()).filter(|i| row[*i].is_none()).collect();
            let may = if row[2] == Some(0.0) {
                &[3, 4, 14, 15][..]
            } else {
                &[4, 15]
            };
            assert!(missing.iter().all(|i| may.contains(i)), "{manoeuvre} {i}: {row:?}");
            assert!(row[3].is_some() || row[2] == Some(0.0), "{manoeuvre} {i}: {row:?}");
        }
    }
}

#[test]
fn run_keeps_the_tanks_account() {
    let density = number(&json(&["blend", "--fuel", "race-25", "--json"]), "density_kg_per_m3");
    for manoeuvre in ["brake", "laps"] {
        let (_, table) = csv(&["run", "--manoeuvre", manoeuvre]);
        let tank = |row: &[Option<f64>]| row[12].unwrap();
        // Milligrams a second over hundredths of a second, against millilitres of so many milligrams (kg/m³ is mg/ml).
        let drawn: f64 = table.iter().skip(1).map(|row| row[10].unwrap() / 100.0).sum();
        let used = (tank(&table[0]) - tank(table.last().unwrap())) * density;
        close(drawn, used, 0.03);
    }
}

#[test]
fn run_in_json_is_the_same_series() {
    let answer = json(&["run", "--manoeuvre", "pinch", "--seed", "4", "--high", "3.25", "--json"]);
    assert_eq!(answer["seed"], 4);
    assert_eq!(number(&answer["setting"], "high_turns"), 3.25);
    assert!(answer["engine"] == "offroad-3.5" && answer["fuel"] == "race-25");
    let (_, table) = csv(&["run", "--manoeuvre", "pinch", "--seed", "4", "--high", "3.25"]);
    let rows = answer["rows"].as_array().unwrap();
    assert_eq!(rows.len(), table.len());
    for (row, cells) in rows.iter().zip(&table) {
        for (key, cell) in COLUMNS.iter().zip(cells) {
            let value = row.get(*key).unwrap_or_else(|| panic!("{row} lacks {key}"));
            match (value.as_f64(), cell) {
                (Some(a), Some(b)) => assert!((a - b).abs() <= 0.51e-5, "{key}: {a} {b}"),
                (None, None) => assert!(value.is_null()),
                other => panic!("{key}: {other:?}"),
            }
        }
    }
}

#[test]
fn air_has_its_keys() {
    let answer = json(&[
        "air",
        "--temperature-c",
        "20",
        "--pressure-hpa",
        "1013.25",
        "--humidity-percent",
        "0",
        "--json",
    ]);
    for key in [
        "density_kg_per_m3",
        "dry_air_density_kg_per_m3",
        "density_altitude_m",
        "power_correction",
    ] {
        number(&answer, key);
    }
    // Dry air at 20 °C and 1013.25 hPa: 1.2041 kg/m³ (ideal gas with R = 287.05 J/(kg K), ISO 2533).
    close(number(&answer, "density_kg_per_m3"), 1.2041, 1e-3);
    close(
        number(&answer, "dry_air_density_kg_per_m3"),
        number(&answer, "density_kg_per_m3"),
        1e-9,
    );
    for (key, value) in [
        ("pressure_hpa", 1013.25),
        ("temperature_c", 20.0),
        ("humidity_percent", 0.0),
    ] {
        assert_eq!(number(&answer, key), value);
    }
}

#[test]
fn blend_has_its_keys() {
    let answer = json(&["blend", "--nitro", "0", "--oil", "0", "--json"]);
    for (key, low, high) in [
        // Methanol at 20 °C, CRC Handbook: 791 kg/m³; viscosity 0.59 mPa s; heat of vaporisation 1.1-1.2 MJ/kg.
        ("density_kg_per_m3", 785.0, 797.0),
        ("air_fuel_ratio", 6.4, 6.55),
        ("lower_heating_value_mj_per_kg", 19.8, 20.1),
        ("latent_heat_kj_per_kg", 1_050.0, 1_230.0),
        ("viscosity_mpa_s", 0.5, 0.7),
    ] {
        let value = number(&answer, key);
        assert!((low..=high).contains(&value), "{key}: {value}");
    }
    let curve = answer["heat_per_kg_air_mj"].as_array().unwrap();
    let pairs: Vec<(f64, f64)> = curve
        .iter()
        .map(|pair| (pair[0].as_f64().unwrap(), pair[1].as_f64().unwrap()))
        .collect();
    assert!(pairs.is_sorted_by_key(|pair| pair.0) && pairs.first().unwrap().0 < 1.0 && pairs.last().unwrap().0 > 1.5);
    assert!(pairs.iter().all(|pair| (0.5..6.0).contains(&pair.1)), "{pairs:?}");
}

#[test]
fn models_has_its_keys() {
    let answer = json(&["models", "--json"]);
    for engine in answer["engines"].as_array().unwrap() {
        assert!(engine["name"].is_string() && engine["reference_fuel"].is_string());
        assert!((0.5..=15.0).contains(&number(engine, "displacement_cm3")));
        for screw in SETTING {
            number(&engine["reference_setting"], screw);
        }
    }
    for fuel in answer["fuels"].as_array().unwrap() {
        assert!(fuel["name"].is_string());
        assert!((0.0..=100.0).contains(&(number(fuel, "nitro_percent") + number(fuel, "oil_percent"))));
    }
    for list in ["plugs", "scenarios", "strategies"] {
        for entry in answer[list].as_array().unwrap_or_else(|| panic!("no {list}")) {
            assert!(entry["name"].is_string(), "{list}: {entry}");
        }
    }
}
