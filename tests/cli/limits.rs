//! `needlebench check` as its users meet it: verdict and exit code, limits of a scenario of one's own, and what is refused.

use std::fs;

use assert_cmd::Command;
use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty};
use serde_json::Value;

use super::needlebench;

fn check(arguments: &[&str]) -> Command {
    needlebench(&[&["check"], arguments].concat())
}

/// The report, whatever its verdict.
fn report(arguments: &[&str]) -> Value {
    let output = check(&[arguments, &["--json"]].concat()).output().unwrap();
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The check of that name.
fn one<'r>(report: &'r Value, name: &str) -> &'r Value {
    report["checks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|check| check["name"] == name)
        .unwrap()
}

/// A scenario that is the first lesson with these limits, as a file.
fn scenario(limits: &str) -> (tempfile::TempDir, String) {
    let lesson = needlebench(&["models", "show", "lesson-1", "--toml"]).output().unwrap();
    let text = String::from_utf8(lesson.stdout).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mine.toml");
    fs::write(&path, format!("{text}\n[limits]\n{limits}\n")).unwrap();
    let path = path.to_string_lossy().into_owned();
    (folder, path)
}

#[test]
fn the_verdict_is_the_exit_code() {
    check(&[])
        .assert()
        .code(0)
        .stdout(contains("\nclean\n").and(contains("NOT CLEAN").not()));
    check(&["--high", "4.5"])
        .assert()
        .code(1)
        .stdout(contains("NOT CLEAN").and(contains("\nnot clean\n")));
}

#[test]
fn a_scenario_lends_its_limits_and_nothing_else() {
    let (_folder, cool) = scenario("head_temperature_c = 80");
    let (standard, mine) = (report(&[]), report(&["--limits", &cool]));
    assert_eq!((&standard["clean"], &mine["clean"]), (&true.into(), &false.into()));
    let (before, after) = (
        one(&standard, "full_head_temperature"),
        one(&mine, "full_head_temperature"),
    );
    assert_eq!(
        (after["high"].as_f64(), &after["pass"]),
        (Some(80.0), &Value::Bool(false))
    );
    // The engine is the same, and so is every limit that the scenario doesn't name.
    assert_eq!(before["value"], after["value"]);
    assert_eq!(standard["symptoms"], mine["symptoms"]);
    assert_eq!(one(&standard, "full_power"), one(&mine, "full_power"));
    check(&["--limits", &cool]).assert().code(1);
    // A scenario without limits leaves those of common practice.
    assert_eq!(report(&["--limits", "mountain-track"]), standard);
}

#[test]
fn limits_that_cant_be_used_are_refused() {
    let refused = |limits: &str, message: &str| {
        check(&["--limits", limits])
            .assert()
            .code(2)
            .stdout(is_empty())
            .stderr(contains(message));
    };
    refused("lesson1", "there is no scenario `lesson1`; did you mean `lesson-1`?");
    let (_folder, high) = scenario("power_percent = 101");
    refused(&high, "`power_percent` = 101 is out of range; allowed 50 to 100");
    let (_folder, endless) = scenario("hang_s = 10");
    refused(&endless, "`hang_s` = 10 is out of range; allowed 0.3 to 9.9 s");
    let (_folder, misspelt) = scenario("power_percents = 97");
    refused(
        &misspelt,
        "[limits] has no key `power_percents`; did you mean `power_percent`?",
    );
}

#[test]
fn a_hang_has_a_limit_of_its_own() {
    let (_folder, strict) = scenario("hang_s = 0.3");
    let (standard, mine) = (report(&[]), report(&["--limits", &strict]));
    let (before, after) = (one(&standard, "burst_hang"), one(&mine, "burst_hang"));
    assert_eq!(
        (before["high"].as_f64(), after["high"].as_f64()),
        (Some(1.6), Some(0.3))
    );
    assert_eq!(before["value"], standard["symptoms"]["idle_hang_s"]);
    // No engine of the class comes down from full speed in three tenths of a second.
    assert_eq!(
        (before["value"].as_f64().unwrap() > 0.3, after["pass"].as_bool()),
        (true, Some(false))
    );
}
