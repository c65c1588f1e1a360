//! `models`: listing, showing and validating, with every way in which a file can be wrong.

use std::fs;
use std::path::Path;

use predicates::prelude::PredicateBooleanExt;
use predicates::str::contains;

use super::{changed, file, json, needlebench, number, refused, regex_escape};

#[test]
fn models_lists_every_kind_under_stable_keys() {
    let listing = json(&["models", "--json"]);
    let engines = listing["engines"].as_array().unwrap();
    assert!(
        engines
            .iter()
            .any(|engine| engine["name"] == "offroad-3.5" && number(engine, "displacement_cm3") == 3.5)
    );
    for engine in engines {
        for screw in ["high_turns", "low_turns", "idle_turns"] {
            assert!(number(&engine["reference_setting"], screw) > 0.0);
        }
        let fuels = listing["fuels"].as_array().unwrap();
        assert!(
            fuels.iter().any(|fuel| fuel["name"] == engine["reference_fuel"]),
            "{engine}"
        );
    }
    let fuels = listing["fuels"].as_array().unwrap();
    assert!(fuels.len() >= 8);
    let span = |key: &str| {
        let values = fuels.iter().map(|fuel| number(fuel, key));
        (values.clone().fold(f64::INFINITY, f64::min), values.fold(0.0, f64::max))
    };
    assert_eq!((span("nitro_percent"), span("oil_percent")), ((0.0, 40.0), (8.0, 20.0)));
    assert_eq!(span("castor_share"), (0.0, 1.0));
    assert_eq!(listing["plugs"].as_array().unwrap().len(), 3);
    for list in ["plugs", "scenarios", "strategies", "studies"] {
        assert!(!listing[list].as_array().unwrap().is_empty(), "{list}");
        assert!(
            listing[list]
                .as_array()
                .unwrap()
                .iter()
                .all(|entry| entry["name"].is_string())
        );
    }
    assert_eq!(listing, json(&["models", "list", "--json"]));
    needlebench(&["models"])
        .assert()
        .success()
        .stdout(contains("race-25").and(contains("medium")));
}

#[test]
fn models_shows_a_model_in_words_json_and_as_its_file() {
    needlebench(&["models", "show", "offroad-3.5"])
        .assert()
        .success()
        .stdout(
            contains("displacement_cm3")
                .and(contains("cm³"))
                .and(contains("0.5 to 15"))
                .and(contains("Swept volume")),
        );
    let engine = json(&["models", "show", "offroad-3.5", "--json"]);
    assert_eq!(engine["kind"], "engine");
    assert_eq!(number(&engine["params"]["geometry"], "displacement_cm3"), 3.5);
    assert_eq!(
        json(&["models", "show", "race-25", "--json"])["blend"]["nitro_percent"],
        25.0
    );
    assert_eq!(json(&["models", "show", "hot", "--json"])["kind"], "plug");
    assert!(
        number(
            &json(&["models", "show", "laws", "--json"])["film"],
            "evaporation_per_s"
        ) > 0.0
    );
    let built_in = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("models/plugs/hot.toml")).unwrap();
    needlebench(&["models", "show", "hot", "--toml"])
        .assert()
        .success()
        .stdout(built_in);
}

#[test]
fn models_shows_every_study_and_validates_one_of_ones_own() {
    let folder = tempfile::tempdir().unwrap();
    let listing = json(&["models", "--json"]);
    for name in listing["studies"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| s["name"].as_str().unwrap())
    {
        let shown = json(&["models", "show", name, "--json"]);
        assert_eq!((&shown["kind"], &shown["name"]), (&"study".into(), &name.into()));
        assert!(
            shown["strategies"].as_array().unwrap().len() > 1 && shown["claims"].is_array(),
            "{shown}"
        );
    }
    let text = needlebench(&["models", "show", "quick", "--toml"]).assert().success();
    let text = String::from_utf8(text.get_output().stdout.clone()).unwrap();
    for (from, to, code) in [
        ("", "", 0),
        ("rough_clicks = 8", "rough_clicks = 99", 2),
        ("coach\"\nthan", "couch\"\nthan", 2),
    ] {
        assert!(text.contains(from), "{from}");
        let own = folder.path().join("own.toml");
        fs::write(&own, text.replacen(from, to, 1)).unwrap();
        needlebench(&["models", "validate", own.to_str().unwrap()])
            .assert()
            .code(code);
    }
}

#[test]
fn models_shows_every_strategy_with_its_parameters_and_validates_one_of_ones_own() {
    let folder = tempfile::tempdir().unwrap();
    let listing = json(&["models", "--json"]);
    let names = listing["strategies"].as_array().unwrap();
    assert!(names.len() >= 10 && names[0]["name"] == "coach");
    for name in names.iter().map(|entry| entry["name"].as_str().unwrap()) {
        let shown = json(&["models", "show", name, "--json"]);
        assert_eq!(shown["kind"], "strategy");
        let parameters = shown["parameters"].as_array().unwrap();
        assert!(!parameters.is_empty(), "{name}");
        for parameter in parameters {
            let value = number(parameter, "value");
            assert!(number(parameter, "low") <= value && value <= number(parameter, "high"));
            assert!(number(parameter, "step") > 0.0 && parameter["what"].is_string());
        }
    }
    needlebench(&["models", "show", "two-pass-half"])
        .assert()
        .success()
        .stdout(contains("parameters by which it may be varied").and(contains("8 to 18 by 1")));
    let own = |value: &str| {
        let shown = needlebench(&["models", "show", "random", "--toml"])
            .output()
            .unwrap()
            .stdout;
        let text = String::from_utf8(shown).unwrap();
        assert!(text.contains("turns = { value = 4,"));
        let path = folder.path().join("mine.toml");
        fs::write(
            &path,
            text.replace("turns = { value = 4,", &format!("turns = {{ value = {value},")),
        )
        .unwrap();
        path.display().to_string()
    };
    needlebench(&["models", "validate", &own("6")])
        .assert()
        .success()
        .stdout(contains("a valid strategy file"));
    let bad = own("60");
    needlebench(&["models", "validate", &bad])
        .assert()
        .code(2)
        .stderr(contains(
            "`turns` = 60 is outside its own range, 1 to 12; change one of them",
        ));
}

#[test]
fn every_model_shown_as_a_file_is_a_valid_file() {
    let folder = tempfile::tempdir().unwrap();
    let listing = json(&["models", "--json"]);
    let names = ["engines", "fuels", "plugs"]
        .into_iter()
        .flat_map(|kind| listing[kind].as_array().unwrap());
    for name in names.map(|model| model["name"].as_str().unwrap()).chain(["laws"]) {
        let path = changed(folder.path(), name, "\n", "\n");
        needlebench(&["models", "validate", &path])
            .assert()
            .success()
            .stdout(contains("a valid"));
    }
}

#[test]
fn a_file_of_ones_own_works_wherever_a_name_does() {
    let folder = tempfile::tempdir().unwrap();
    let fuel = changed(folder.path(), "race-25", "nitro_percent = 25", "nitro_percent = 35");
    assert_eq!(
        number(&json(&["blend", "--fuel", &fuel, "--json"]), "nitro_percent"),
        35.0
    );
}

#[test]
fn mistakes_in_a_model_are_told_at_their_place() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let cases = [
        // Wrong unit.
        (
            "displacement_cm3",
            "displacement_mm3",
            r"changed\.toml:\d+:1: .*wrong unit.*`displacement_cm3`.*0\.5 to 15 cm³",
        ),
        // Unknown key.
        (
            "displacement_cm3",
            "displacment_cm3",
            r"changed\.toml:\d+:1: .*no key `displacment_cm3`.*`displacement_cm3`",
        ),
        (
            "[geometry]",
            "[geometric]",
            r"changed\.toml:\d+:2: .*no table `geometric`.*`geometry`",
        ),
        // Missing key.
        (
            "displacement_cm3",
            "# displacement_cm3",
            r"changed\.toml:\d+:2: \[geometry\] lacks `displacement_cm3`, 0\.5 to 15 cm³.*add it",
        ),
        ("name =", "# name =", r"changed\.toml:1:1: .*lacks the text `name`"),
        // Out of range, with the column of the value.
        (
            "displacement_cm3 = 3.5",
            "displacement_cm3 = 350",
            r"changed\.toml:\d+:20: .*350 is out of range; allowed 0\.5 to 15 cm³",
        ),
        (
            "high_turns = ",
            "high_turns = -",
            r"changed\.toml:\d+:14: `high_turns` = -\S+ is out of range; allowed 0 to 8 turns",
        ),
        // Not a number.
        (
            "displacement_cm3 = 3.5",
            "displacement_cm3 = nan",
            r"changed\.toml:\d+:20: .*not a finite number; allowed 0\.5 to 15",
        ),
        (
            "displacement_cm3 = 3.5",
            "displacement_cm3 = inf",
            r"changed\.toml:\d+:20: .*not a finite number; allowed 0\.5 to 15",
        ),
        (
            "displacement_cm3 = 3.5",
            "displacement_cm3 = \"3.5 cm3\"",
            r"changed\.toml:\d+:20: .*a number is wanted.*without quotes",
        ),
        // Not TOML.
        (
            "displacement_cm3 = 3.5",
            "displacement_cm3 = 3,5",
            r"changed\.toml:\d+:\d+: not valid TOML",
        ),
        // A text of no use.
        (
            "name = \"offroad-3.5\"",
            "name = \"\"",
            r"changed\.toml:\d+:8: `name` has 0 characters; allowed 1 to 400",
        ),
        // A reference that isn't there.
        (
            "\"race-25\"",
            "\"race-24\"",
            r"changed\.toml:\d+:8: there is no fuel `race-24`.*`race-2\d`",
        ),
    ];
    for (from, to, message) in cases {
        let path = changed(at, "offroad-3.5", from, to);
        refused(&["models", "validate", &path], message);
        refused(&["models", "show", &path], message);
    }
    let path = changed(at, "race-25", "oil_percent = 11", "oil_percent = 11\noil_ml = 3");
    refused(
        &["blend", "--fuel", &path],
        r"changed\.toml:\d+:1: .*wrong unit.*`oil_percent`",
    );
    let path = changed(at, "race-25", "nitro_percent = 25", "nitro_percent = 95");
    refused(
        &["blend", "--fuel", &path],
        r"changed\.toml:\d+:\d+: .*more than 100 %; lower one of them",
    );
}

#[test]
fn files_that_are_no_models_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let place = |path: &str| regex_escape(path);
    let empty = file(at, "empty.toml", b"");
    refused(
        &["blend", "--fuel", &empty],
        &format!("{}:1:1: the file says nothing; start from", place(&empty)),
    );
    let huge = file(at, "huge.toml", &vec![b'#'; (1 << 20) + 1]);
    refused(
        &["blend", "--fuel", &huge],
        &format!("{}: larger than 1048576 bytes", place(&huge)),
    );
    let bytes = file(at, "bytes.toml", b"name = \"\xff\"");
    refused(
        &["blend", "--fuel", &bytes],
        &format!("{}:1:9: not UTF-8", place(&bytes)),
    );
    let other = file(at, "other.toml", b"[package]\nname = \"x\"\n");
    refused(
        &["models", "validate", &other],
        &format!("{}:1:1: neither an engine", place(&other)),
    );
    let none = at.join("none.toml").to_string_lossy().into_owned();
    refused(
        &["blend", "--fuel", &none],
        &format!("{}: there is no such file", place(&none)),
    );
    let directory = at.to_string_lossy().into_owned();
    refused(
        &["blend", "--fuel", &directory],
        &format!("{}: this is a directory", place(&directory)),
    );
    refused(
        &["models", "validate", &directory],
        &format!("{}: this is a directory", place(&directory)),
    );
    #[cfg(unix)]
    if Path::new("/dev/zero").exists() {
        refused(
            &["models", "validate", "/dev/zero"],
            "/dev/zero: larger than 1048576 bytes",
        );
    }
}

#[test]
fn validate_tells_every_bad_file_and_names_the_good_ones() {
    let folder = tempfile::tempdir().unwrap();
    let empty = file(folder.path(), "empty.toml", b"");
    let good = changed(folder.path(), "medium", "\n", "\n");
    needlebench(&["models", "validate", &empty, &good])
        .assert()
        .code(2)
        .stdout(contains("changed.toml: a valid plug file"))
        .stderr(contains("empty.toml:1:1").and(contains("1 of 2 files")));
}

#[test]
fn a_name_means_one_file_whatever_it_is() {
    let listed = json(&["models", "--json"]);
    let lists = listed.as_object().unwrap().values();
    let mut names: Vec<&str> = lists
        .flat_map(|list| list.as_array().unwrap())
        .map(|line| line["name"].as_str().unwrap())
        .chain(["laws"])
        .collect();
    let all = names.len();
    assert!(all > 30, "{names:?}");
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), all);
}

#[test]
fn unknown_names_are_answered_with_the_nearest() {
    refused(
        &["models", "show", "ofroad-3.5"],
        "no model `ofroad-3.5`; did you mean `offroad-3.5`",
    );
    refused(
        &["models", "show", "other-hand"],
        "no model `other-hand`; did you mean `other-hands`",
    );
    refused(
        &["models", "show", "zzz"],
        "there are: .*race-25.*laws.*lesson-1.*coach",
    );
    refused(
        &["blend", "--fuel", "race25"],
        "no fuel `race25`; did you mean `race-25`",
    );
    refused(&["blend", "--fuel", "zzz"], "no fuel `zzz`; there are: .*race-25");
    refused(&["man", "blnd"], "no command `blnd`; did you mean `blend`");
}
