//! `--spread`: how sure an answer is, over the sets that ship and over sets of one's own, and how that is told wrongly.

use serde_json::Value;

use super::{file, json, needlebench, number, refused, refused_in, regex_escape};

/// Two sets: as good as the reference, and one whose idle stop stands much further out.
const TWO: &str = "sets = 2\nseed = 1\n[laws.film]\noil_drain_per_s = [0.0019, 0.002]\n\
                   [engine.\"offroad-3.5\".carburettor]\nidle_opening_closed = [CLOSED]\n";

fn own(folder: &std::path::Path, second: f64) -> String {
    let reference = number(
        &json(&["models", "show", "offroad-3.5", "--json"])["params"]["carburettor"],
        "idle_opening_closed",
    );
    let text = TWO.replace("CLOSED", &format!("{reference}, {}", reference * second));
    file(folder, "mine.toml", text.as_bytes())
}

/// `check --spread --json`, whatever the verdict.
fn spread(arguments: &[&str]) -> Value {
    let output = needlebench(&[&["check", "--spread", "--json"], arguments].concat())
        .output()
        .unwrap();
    assert!(output.stderr.is_empty());
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn check_tells_how_sure_it_is_and_changes_nothing_else() {
    for engine in ["offroad-3.5", "onroad-2.1"] {
        let with = spread(&["--engine", engine]);
        let mut without = with.clone();
        without.as_object_mut().unwrap().remove("spread");
        let output = needlebench(&["check", "--json", "--engine", engine]).output().unwrap();
        assert_eq!(serde_json::from_slice::<Value>(&output.stdout).unwrap(), without);
        let sure = &with["spread"];
        let sets = sure["sets"].as_u64().unwrap();
        assert!(sets >= 2 && sure["clean"].as_u64().unwrap() <= sets);
        let checks = with["checks"].as_array().unwrap();
        let spreads = sure["checks"].as_array().unwrap();
        assert_eq!(checks.len(), spreads.len());
        for (check, spread) in checks.iter().zip(spreads) {
            assert_eq!(check["name"], spread["name"]);
            let passing = spread["passing"].as_u64().unwrap();
            let agree = if check["pass"] == true { sets } else { 0 };
            assert_eq!(spread["turns"], passing != agree, "{spread}");
            if let Some(of) = spread["value"].as_object().map(|_| &spread["value"]) {
                let [low, median, high] = ["low", "median", "high"].map(|key| number(of, key));
                assert!(low <= median && median <= high, "{spread}");
            }
        }
        let power = &sure["symptoms"]["full_throttle_power_w"];
        assert!(number(power, "low") < number(power, "high"), "{power}");
    }
}

#[test]
fn a_verdict_that_turns_within_the_sets_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let text = |mine: &str| {
        let output = needlebench(&["check", "--spread", "--ensemble", mine])
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let alike = text(&own(folder.path(), 1.0));
    assert!(
        alike.contains("2 sets of constants") && alike.contains("every check says the same"),
        "{alike}"
    );
    // A slide further open idles faster and leaves a wider gap.
    let apart = text(&own(folder.path(), 1.2));
    let line = apart
        .lines()
        .find(|line| line.contains("what turns within the sets"))
        .unwrap();
    assert!(line.contains("idle speed"), "{apart}");
    assert!(
        apart
            .lines()
            .any(|line| line.contains("idle speed") && line.ends_with("TURNS")),
        "{apart}"
    );
}

#[test]
fn run_tells_the_range_of_every_column() {
    let columns = |text: &str| -> Vec<String> { text.lines().next().unwrap().split(',').map(str::to_string).collect() };
    let shown = |arguments: &[&str]| {
        let output = needlebench(&[&["run", "--manoeuvre", "burst"], arguments].concat())
            .output()
            .unwrap();
        assert!(output.status.success() && output.stderr.is_empty());
        String::from_utf8(output.stdout).unwrap()
    };
    let (plain, with) = (shown(&[]), shown(&["--spread"]));
    for (plain, with) in plain.lines().zip(with.lines()) {
        assert!(with.starts_with(&format!("{plain},")), "{with}");
    }
    assert_eq!(plain.lines().count(), with.lines().count());
    let names = columns(&with);
    let at = |name: &str| names.iter().position(|column| column == name).unwrap();
    let [low, median, high] = ["engine_rpm_low", "engine_rpm_median", "engine_rpm_high"].map(at);
    assert!(!names.contains(&"throttle_low".to_string()));
    for line in with.lines().skip(1) {
        let cell = |column: usize| line.split(',').nth(column).unwrap().parse::<f64>().unwrap();
        assert!(cell(low) <= cell(median) && cell(median) <= cell(high), "{line}");
    }
    let json: Value = serde_json::from_str(&shown(&["--spread", "--json"])).unwrap();
    let band = &json["spread"];
    assert_eq!(
        band["low"].as_array().unwrap().len(),
        json["rows"].as_array().unwrap().len()
    );
    let svg = shown(&["--spread", "--plot", "-"]);
    let shaded = |svg: &str| svg.matches("<polygon").count();
    assert!(
        svg.len() < 300_000 && svg.contains("shaded: the range over"),
        "{}",
        svg.len()
    );
    assert!(shaded(&svg) >= shaded(&shown(&["--plot", "-"])) + 8);
}

#[test]
fn sets_that_cannot_be_asked_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let mine = own(folder.path(), 1.0);
    for command in ["check", "run"] {
        refused(&[command, "--ensemble", &mine], "--spread");
        refused(
            &[command, "--spread", "--engine", "onroad-2.1", "--ensemble", &mine],
            "no sets of constants were drawn for `onroad-2.1`; allowed",
        );
        refused_in(
            folder.path(),
            &[command, "--spread", "--ensemble", "none.toml"],
            "none.toml: there is no such file",
        );
        let engine = super::changed(folder.path(), "offroad-3.5", "volume_ml = 125", "volume_ml = 120");
        refused(
            &[command, "--spread", "--engine", &engine],
            "no sets of constants were drawn for a file",
        );
    }
    let wrong = file(
        folder.path(),
        "wrong.toml",
        std::fs::read_to_string(&mine).unwrap().replace("0.002", "7").as_bytes(),
    );
    refused(
        &["check", "--spread", "--ensemble", &wrong],
        &(regex_escape(&wrong) + ":4:28: `oil_drain_per_s` = 7 is out of range; allowed 0.001 to 1"),
    );
}

#[test]
fn sets_that_ship_are_shown_and_valid_and_sets_that_fail_the_sign_off_are_not() {
    let text = String::from_utf8(needlebench(&["models", "show", "ensemble"]).output().unwrap().stdout).unwrap();
    for part in [
        "sets of constants, drawn with seed",
        "film.shear_per_s",
        "onroad-2.1",
        "which constants are determined",
        "what to measure next",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    assert_eq!(json(&["models", "show", "ensemble", "--json"])["kind"], "ensemble");
    let folder = tempfile::tempdir().unwrap();
    let good = own(folder.path(), 1.0);
    needlebench(&["models", "validate", &good]).assert().success();
    let bad = own(folder.path(), 1.2);
    refused(
        &["models", "validate", &bad],
        &(regex_escape(&bad)
            + ":5:9: set 2 of `offroad-3.5` is not clean at the reference setting: .*idle speed .*; change its constants"),
    );
}
