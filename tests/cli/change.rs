//! `change` and `range` on the command line: their keys, their exit codes, what is refused, and the pictures.

use serde_json::Value;

use super::{file, json, needlebench, number, refused, refused_in, regex_escape};

const SETTING: [&str; 3] = ["high_turns", "low_turns", "idle_turns"];
const DAY: &str = "time,temperature_c,pressure_hpa,humidity_percent\n";

/// Standard output of a command whatever its answer, with its exit code.
fn answer(arguments: &[&str]) -> (String, i32) {
    let output = needlebench(arguments).output().unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn change_has_its_keys_and_its_target_passes_check() {
    let plan = json(&["change", "--to-temperature-c", "30", "--to-nitro", "20", "--json"]);
    for screw in SETTING {
        let (target, stands) = (number(&plan["target_setting"], screw), number(&plan["stands"], screw));
        number(&plan["rich_start"], screw);
        let moves = plan["moves"].as_array().unwrap();
        let m = moves
            .iter()
            .find(|m| screw.starts_with(m["screw"].as_str().unwrap()))
            .unwrap();
        assert!((number(m, "turns") - (target - stands)).abs() < 1e-9, "{m}");
        assert!(number(m, "spread_turns") >= 0.0 && m["worth_turning"].is_boolean());
    }
    for screw in ["high_turns", "low_turns"] {
        assert!(number(&plan["rich_start"], screw) > number(&plan["target_setting"], screw) + 0.1);
    }
    assert!(plan["clean"] == true && plan["cautions"].as_array().unwrap().len() == 4);
    let covers: Vec<&str> = plan["spread_covers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| c.as_str().unwrap())
        .collect();
    assert!(
        covers.contains(&"label tolerance") && covers.contains(&"viscosity mixing rule"),
        "{covers:?}"
    );
    let turns = |screw: &str| format!("{}", number(&plan["target_setting"], screw));
    let [high, low, idle] = SETTING.map(turns);
    needlebench(&[
        "check",
        "--temperature-c",
        "30",
        "--nitro",
        "20",
        "--high",
        &high,
        "--low",
        &low,
        "--idle",
        &idle,
    ])
    .assert()
    .code(0);
}

#[test]
fn units_of_either_kind_mean_the_same_and_the_shared_options_mean_both_ends() {
    let day = |arguments: &[&str]| -> Value { json(&[&["change", "--json"], arguments].concat()) };
    let metric = day(&["--to-temperature-c", "25", "--to-pressure-hpa", "1000"]);
    let other = day(&["--to-temperature-f", "77", "--to-pressure-inhg", "29.52999"]);
    assert!(
        (number(&metric["target_setting"], "high_turns") - number(&other["target_setting"], "high_turns")).abs() < 0.02
    );
    assert!((number(&other["to"], "pressure_hpa") - 1000.0).abs() < 0.01);
    assert_eq!(number(&other["to"], "temperature_c"), 25.0);
    // The owner's screws a quarter out: the same target, so much less to go.
    let here = day(&["--temperature-c", "25", "--high", "3.5"]);
    assert_eq!(
        (&here["from"]["temperature_c"], &here["to"]["temperature_c"]),
        (&25.0.into(), &25.0.into())
    );
    assert_eq!(number(&here["stands"], "high_turns"), 3.5);
    assert!(number(&here["moves"][0], "turns") < -0.3);
}

#[test]
fn change_without_a_clean_setting_says_so_and_why() {
    let (text, code) = answer(&["change", "--to-temperature-c", "50"]);
    assert_eq!(code, 1);
    assert!(
        text.contains("No clean setting is in reach") && text.contains("fails"),
        "{text}"
    );
    let (text, code) = answer(&["change", "--to-temperature-c", "50", "--json"]);
    let plan: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(code, 1);
    assert!(
        plan["target_setting"].is_null() && plan["rich_start"].is_null() && plan["moves"] == Value::Array(Vec::new())
    );
    assert!(!plan["after"]["failed"].as_array().unwrap().is_empty());
}

#[test]
fn change_prints_one_page_and_draws_it() {
    let folder = tempfile::tempdir().unwrap();
    let plot = folder.path().join("plan.svg").to_string_lossy().into_owned();
    let (text, code) = answer(&["change", "--to-nitro", "30", "--plot", &plot, "--fahrenheit"]);
    assert_eq!(code, 0);
    for words in [
        "68 °F",
        "Start rich",
        "Purge",
        "High-speed needle",
        "Second pass",
        "How sure",
        "compression",
        "Never lean an engine",
    ] {
        assert!(text.contains(words), "no {words:?} in {text}");
    }
    assert!(text.lines().count() < 66, "{}", text.lines().count());
    let picture = std::fs::read_to_string(&plot).unwrap();
    assert!(picture.starts_with("<svg") && picture.len() < 300_000);
    for words in [
        "rich start",
        "where it stands",
        "turns from where the screw stands",
        "seed 1",
        "Methanol",
    ] {
        assert!(picture.contains(words), "no {words:?}");
    }
    // Nothing to do is said as such.
    let (text, _) = answer(&["change"]);
    assert!(
        text.contains("Nothing is worth turning") && !text.contains("Start rich"),
        "{text}"
    );
}

#[test]
fn change_refuses_what_cannot_be_meant() {
    for (arguments, message) in [
        (&["--to-nitro", "101"][..], "--to-nitro.*allowed 0 to 100 percent"),
        (
            &["--to-nitro", "80", "--to-oil", "30"],
            "--to-nitro, --to-oil: .*100 percent together",
        ),
        (&["--from-fuel", "race-35"], "race-35.*race-"),
        (&["--to-fuel", "race-30", "--to-nitro", "20"], "cannot be used with"),
        (&["--to-temperature-c", "80"], "allowed -30 to 55 °C"),
        (&["--to-temperature-f", "300"], "allowed -22 to 131 °F"),
        (&["--from-pressure-inhg", "2"], "allowed 14.8 to 32.4 inHg"),
        (
            &["--to-altitude-m", "900", "--to-pressure-hpa", "900"],
            "cannot be used with",
        ),
        (&["--to-engine", "offroad-35"], "offroad-3.5"),
        (&["--day", "none.csv"], "none.csv:1:1: there is no such file"),
        (
            &["--day", "none.csv", "--to-temperature-c", "20"],
            "cannot be used with",
        ),
    ] {
        refused(&[&["change"], arguments].concat(), message);
    }
}

#[test]
fn a_day_is_planned_hour_by_hour() {
    let folder = tempfile::tempdir().unwrap();
    let day = file(
        folder.path(),
        "day.csv",
        format!("{DAY}08:00,12,1013,80\n10:30,20,1013,60\n13:00,27,1012,40\n").as_bytes(),
    );
    let plot = folder.path().join("day.svg").to_string_lossy().into_owned();
    let plan = json(&[
        "change",
        "--from-temperature-c",
        "12",
        "--day",
        &day,
        "--json",
        "--plot",
        &plot,
    ]);
    let hours = plan["hours"].as_array().unwrap();
    assert_eq!((hours.len(), &plan["times"][1]), (3, &"10:30".into()));
    let high = |k: usize| number(&hours[k]["left"]["setting"], "high_turns");
    assert!(high(0) > high(1) && high(1) > high(2));
    assert!(number(&plan["one_setting"], "high_turns") >= high(0));
    assert!(std::fs::read_to_string(&plot).unwrap().contains("hour of the day"));
    let (text, _) = answer(&["change", "--from-temperature-c", "12", "--day", &day]);
    assert!(
        text.contains("08:00") && text.contains("One setting") && text.contains("Never lean"),
        "{text}"
    );
}

#[test]
fn mistakes_in_a_day_are_told_at_their_line_with_the_remedy() {
    let folder = tempfile::tempdir().unwrap();
    for (rows, message) in [
        ("", ":2:1: no rows"),
        ("08:00,12,1013\n", ":2:1: 3 values instead of four"),
        ("08:00,12,,80\n", ":2:10: a value is missing.*leave the row out"),
        (
            "08:00,12,1013,80\n09:00,99,1013,80\n",
            ":3:7: 99 is out of range; allowed: temperature_c: -30 to 55",
        ),
        (
            "08:00,12,30,80\n",
            ":2:10: 30 is out of range; allowed: pressure_hpa: 500 to 1100",
        ),
        ("08:00,12,1013,180\n", ":2:15: 180 is out of range"),
        ("08:00,warm,1013,80\n", ":2:7: `warm` is no number"),
        (
            "8 o'clock,12,1013,80\n",
            ":2:1: `8 o'clock` is no time; allowed: 00:00 to 23:59",
        ),
        ("24:00,12,1013,80\n", ":2:1: `24:00` is no time"),
        (
            "10:00,12,1013,80\n09:00,12,1013,80\n",
            ":3:1: the time 09:00 doesn't rise.*sort the rows",
        ),
        (
            "08:00,12,1013,80\n12:30,20,1013,50\n",
            ":3:1: a gap from 08:00 to 12:30; .*add a row between",
        ),
    ] {
        let day = file(folder.path(), "day.csv", format!("{DAY}{rows}").as_bytes());
        refused_in(
            folder.path(),
            &["change", "--day", &day, "--plot", "out.svg"],
            &format!("{}{message}", regex_escape(&day)),
        );
    }
    let day = file(folder.path(), "day.csv", b"time,temp\n08:00,12\n");
    refused_in(
        folder.path(),
        &["change", "--day", &day],
        ":1:1: the header is `time,temp`",
    );
    // The file that is read is never written over.
    refused_in(
        folder.path(),
        &["change", "--day", &day, "--plot", &day],
        "the file that --day reads",
    );
}

#[test]
fn range_has_its_keys_and_answers_the_planned_stop() {
    let folder = tempfile::tempdir().unwrap();
    let plot = folder.path().join("range.svg").to_string_lossy().into_owned();
    let range = json(&["range", "--json", "--plot", &plot]);
    let [low, minutes, high] = ["low", "minutes_per_tank", "high"].map(|key| number(&range, key));
    assert!(low < minutes && minutes < high);
    assert!(range["reaches"].is_null() && range["margin_minutes"].is_null());
    // A tank is its laps.
    let laps = 60.0 * minutes / number(&range, "lap_s");
    assert!((number(&range, "fuel_per_lap_ml") * laps / number(&range, "tank_ml") - 1.0).abs() < 1e-6);
    let needles = range["needles"].as_array().unwrap();
    let of = |k: usize, key: &str| number(&needles[k], key);
    let (leanest, here) = (0, needles.len() / 2);
    assert_eq!(of(here, "high_turns_from_here"), 0.0);
    assert!(of(leanest, "minutes") > of(here, "minutes"));
    assert!(of(leanest, "head_temperature_c") > of(here, "head_temperature_c"));
    let picture = std::fs::read_to_string(&plot).unwrap();
    assert!(picture.contains("A tank lasts, min") && picture.contains("seed 1"));

    let asked = |planned: f64| answer(&["range", "--json", "--minutes", &format!("{planned}")]);
    // Reached by the least that a tank may last; what it lasts as expected is not enough.
    for (planned, reaches) in [(low - 0.01, true), (0.5 * (low + minutes), false)] {
        let (text, code) = asked(planned);
        let answer: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(
            (answer["reaches"].as_bool(), code),
            (Some(reaches), i32::from(!reaches)),
            "{planned}"
        );
        assert!((number(&answer, "margin_low_minutes") - (low - planned)).abs() < 1e-9);
    }
    let (text, code) = answer(&["range", "--minutes", "30"]);
    assert!(code == 1 && text.contains("No.") && text.contains("short"), "{text}");
}

#[test]
fn range_of_an_engine_that_does_not_run_says_so() {
    let (text, code) = answer(&["range", "--high", "0.2"]);
    assert!(code == 1 && text.contains("does not run"), "{text}");
    let (text, code) = answer(&["range", "--high", "0.2", "--json", "--minutes", "5"]);
    let range: Value = serde_json::from_str(&text).unwrap();
    assert!(code == 1 && range["minutes_per_tank"].is_null() && range["reaches"].is_null());
}

#[test]
fn range_takes_a_round_of_ones_own_and_refuses_what_is_none() {
    let folder = tempfile::tempdir().unwrap();
    let flat = file(folder.path(), "flat.csv", b"time_s,throttle\n0,1\n30,1\n");
    let (flat_out, race) = (json(&["range", "--trace", &flat, "--json"]), json(&["range", "--json"]));
    assert!(number(&flat_out, "minutes_per_tank") < 0.7 * number(&race, "minutes_per_tank"));
    assert_eq!(number(&flat_out, "lap_s"), 30.0);
    let bad = file(folder.path(), "bad.csv", b"time_s,throttle\n0,2\n");
    refused_in(folder.path(), &["range", "--trace", &bad], ":2:3: 2 is out of range");
    refused(&["range", "--minutes", "0"], "--minutes.*allowed 0.1 to 240 minutes");
    refused(&["range", "--high", "9"], "allowed 0 to 8 turns");
}

#[test]
fn a_tank_on_a_setting_whose_idle_dies_tells_nothing_with_exit_code_1() {
    let dead = ["range", "--low", "0.2", "--minutes", "5"];
    let (told, code) = answer(&dead);
    assert!(
        code == 1 && told.contains("its idle dies") && !told.contains("lasts"),
        "{told}"
    );
    let (told, code) = answer(&[&dead[..], &["--json"]].concat());
    let told: Value = serde_json::from_str(&told).unwrap();
    assert!(
        code == 1 && told["idles"] == false && told["reaches"].is_null(),
        "{told}"
    );
}

#[test]
fn a_fuel_without_oil_kills_the_engine_as_it_stands_and_only_what_was_measured_is_named() {
    let (told, _) = answer(&["change", "--to-oil", "0"]);
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let left = told
        .split("Left as it stands it ")
        .nth(1)
        .unwrap()
        .split('.')
        .next()
        .unwrap();
    assert!(
        left.starts_with("dies in the checks, and where it was measured fails"),
        "{left}"
    );
    assert!(left.contains("idle speed") && !left.contains("full power"), "{left}");
    assert!(
        !told.contains("2 1/2 turn from") && told.contains("1/2 turns from where it stands"),
        "{told}"
    );
}
