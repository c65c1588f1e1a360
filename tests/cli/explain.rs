//! `explain`: keys and units of its JSON, what is null where the engine dies, pictures with units and seed, and every way to ask wrong.

use predicates::Predicate;
use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty};

use super::{json, needlebench, number};

#[test]
fn explain_has_its_keys() {
    let folder = tempfile::tempdir().unwrap();
    let plot = folder.path().join("new/pictures");
    let plot = plot.to_str().unwrap();
    let answer = json(&["explain", "--seed", "3", "--json", "--plot", plot]);
    assert_eq!(answer["seed"], 3);
    for screw in ["high_turns", "low_turns", "idle_turns"] {
        number(&answer["setting"], screw);
    }
    let effects = answer["effects"].as_array().unwrap();
    assert!(effects.len() >= 6 * 25);
    for effect in effects {
        assert!(effect["symptom"].is_string() && number(effect, "turns").abs() == 0.125);
        assert!(["high", "low", "idle"].contains(&effect["screw"].as_str().unwrap()));
        let (low, change, high) = (number(effect, "low"), number(effect, "change"), number(effect, "high"));
        assert!(low <= change && change <= high, "{effect}");
        // Both or neither: a spread is there once there is an ensemble of constants.
        assert_eq!(effect["spread_low"].is_null(), effect["spread_high"].is_null());
        let sentence = effect["sentence"].as_str().unwrap();
        assert!(sentence.ends_with('.') && sentence.contains("1/8"), "{sentence}");
    }
    let relative = answer["relative_gain"].as_array().unwrap();
    assert_eq!(relative.len(), 3);
    for row in relative {
        let row: Vec<f64> = row.as_array().unwrap().iter().map(|e| e.as_f64().unwrap()).collect();
        assert!(row.len() == 3 && (row.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    }
    let causes = answer["causes"].as_array().unwrap();
    assert!(causes.iter().all(|cause| cause["link"].is_string()));
    let shares: f64 = causes.iter().map(|cause| number(cause, "share")).sum();
    assert!((shares - 1.0).abs() < 1e-9, "{causes:?}");
    // What is explained first: an eighth leaner on the high-speed needle, at idle.
    let first = &answer["actions"][0];
    assert_eq!(
        (first["screw"].as_str(), first["outcome"].as_str()),
        (Some("high"), Some("idle_rpm"))
    );
    let sum: f64 = causes.iter().map(|cause| number(cause, "change_rpm")).sum();
    assert!((sum - number(first, "change_rpm")).abs() < 1e-6);
    let picture = std::fs::read_to_string(format!("{plot}/causes.svg")).unwrap();
    assert!(picture.contains("seeds from 3") && picture.contains("rpm") && picture.contains("turns"));
}

#[test]
fn an_engine_that_does_not_run_is_told_with_exit_code_1() {
    let dead = ["explain", "--high", "0", "--low", "0"];
    needlebench(&dead)
        .assert()
        .code(1)
        .stdout(contains("does not run here"))
        .stderr(is_empty());
    let output = needlebench(&[&dead[..], &["--json"]].concat()).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(answer["runs"] == false && answer["relative_gain"].is_null());
    assert!(
        answer["effects"]
            .as_array()
            .unwrap()
            .iter()
            .all(|e| e["symptom"] == "idle_gap_mm" || e["change"].is_null())
    );
    needlebench(&[&dead[..], &["--symptom", "sag"]].concat())
        .assert()
        .code(1)
        .stdout(contains("does not run at the setting"));
}

#[test]
fn a_symptoms_story_stands_beside_the_clean_one() {
    let folder = tempfile::tempdir().unwrap();
    let plot = folder.path().to_str().unwrap();
    let answer = json(&["explain", "--symptom", "hang", "--json", "--plot", plot]);
    assert!(number(&answer["setting"], "low_turns") < number(&answer["clean_setting"], "low_turns"));
    assert!(number(&answer, "measured") > number(&answer, "measured_clean"));
    let samples = answer["samples"].as_array().unwrap();
    for key in [
        "time_s",
        "engine_rpm",
        "film_mg",
        "crown_temperature_c",
        "pipe_oil_mg",
        "tank_pressure_kpa",
    ] {
        number(&samples[0], key);
    }
    assert_eq!(answer["apart"].as_array().unwrap().len(), 4);
    let picture = std::fs::read_to_string(folder.path().join("story-hang.svg")).unwrap();
    for words in ["rpm", "mg", "°C", "kPa", "Time, s", "seed 1", "turns"] {
        assert!(picture.contains(words), "{words}");
    }
    // A setting that is asked for is the one that is told.
    let own = json(&[
        "explain",
        "--symptom",
        "puff",
        "--low",
        "1.25",
        "--nitro",
        "16",
        "--json",
    ]);
    assert_eq!(number(&own["setting"], "low_turns"), 1.25);
    assert_ne!(
        own["clean_setting"], answer["clean_setting"],
        "less nitro wants another setting"
    );
}

#[test]
fn a_map_is_a_table_a_picture_and_words() {
    let folder = tempfile::tempdir().unwrap();
    let (csv, plot) = (folder.path().join("map.csv"), folder.path().to_str().unwrap());
    let asked = [
        "explain",
        "--map",
        "--fields",
        "32",
        "--csv",
        csv.to_str().unwrap(),
        "--plot",
        plot,
        "--path",
        "3.5,1.25",
        "3,1",
    ];
    needlebench(&asked)
        .assert()
        .success()
        .stdout(contains("race-clean").and(contains("its middle at high")))
        .stderr(is_empty());
    let table = std::fs::read_to_string(csv).unwrap();
    let rows: Vec<Vec<&str>> = table.lines().map(|line| line.split(',').collect()).collect();
    assert_eq!(rows.len(), 32 * 32 + 1);
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
    assert_eq!(rows[0][..4], ["high_turns", "low_turns", "race_clean", "safe_clean"]);
    // A setting that is safe is clean.
    assert!(rows[1..].iter().all(|row| row[2] >= row[3]));
    assert!(rows[1..].iter().any(|row| row[2] == "1") && rows[1..].iter().any(|row| row[2] == "0"));
    let picture = std::fs::read_to_string(folder.path().join("map.svg")).unwrap();
    for words in [
        "high-speed needle, turns open",
        "low-speed needle, turns open",
        "seed 1",
        "race-clean",
        "32 x 32",
    ] {
        assert!(picture.contains(words), "{words}");
    }
}

#[test]
fn what_is_asked_wrong_is_told_with_its_remedy() {
    for (arguments, told) in [
        (&["--fuel", "no-such-fuel"][..], "no-such-fuel"),
        (&["--engine", "no-such-engine"], "no-such-engine"),
        (&["--cold"], "--cold"),
        (&["--symptom", "cough"], "hang"),
        (&["--map", "--symptom", "hang"], "cannot be used"),
        (&["--map", "--fields", "33"], "64"),
        (&["--fields", "32"], "--map"),
        (&["--csv", "map.csv"], "--map"),
        (&["--map", "--path", "3.5"], "3.25,1.125"),
        (&["--map", "--path", "99,1"], "allowed"),
        (&["--map", "--and-nitro", "101"], "allowed"),
        (
            &["--map", "--and-nitro", "60", "--and-oil", "60"],
            "100 percent together",
        ),
        (&["--map", "--json", "--csv", "-"], "--csv"),
        (&["--high", "-1"], "allowed"),
    ] {
        let output = needlebench(&[&["explain"], arguments].concat()).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(contains(told).eval(&said), "{arguments:?}: {said}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
    }
}
