//! The command line as its users meet it: each command right and wrong, exit codes, messages, and what is left on the disk.

use std::fs;
use std::path::Path;
use std::process::Stdio;

use assert_cmd::Command;
use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty, is_match, starts_with};
use serde_json::Value;

fn needlebench(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("needlebench").unwrap();
    command.args(arguments);
    command
}

/// Standard output of a command that must succeed, as JSON.
fn json(arguments: &[&str]) -> Value {
    let output = needlebench(arguments)
        .assert()
        .success()
        .stderr(is_empty())
        .get_output()
        .stdout
        .clone();
    serde_json::from_slice(&output).unwrap()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number at {key}: {value}"))
}

fn close(value: f64, expected: f64, relative: f64) {
    assert!(
        (value - expected).abs() <= relative * expected.abs(),
        "{value} is not {expected} within {relative}"
    );
}

/// A built-in model's text with one piece replaced, as a file.
fn changed(folder: &Path, model: &str, from: &str, to: &str) -> String {
    let text = needlebench(&["models", "show", model, "--toml"])
        .assert()
        .success()
        .get_output()
        .stdout
        .clone();
    let text = String::from_utf8(text).unwrap();
    assert!(text.contains(from), "{model} has no {from:?}");
    file(folder, "changed.toml", text.replacen(from, to, 1).as_bytes())
}

fn file(folder: &Path, name: &str, bytes: &[u8]) -> String {
    let path = folder.join(name);
    fs::write(&path, bytes).unwrap();
    path.to_string_lossy().into_owned()
}

/// Refused: exit code 2, one message that matches, nothing on standard output.
fn refused(arguments: &[&str], message: &str) {
    needlebench(arguments)
        .assert()
        .code(2)
        .stdout(is_empty())
        .stderr(is_match(message).unwrap());
}

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
    for list in ["plugs", "scenarios", "strategies"] {
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

/// The path with its regular-expression letters taken literally.
fn regex_escape(text: &str) -> String {
    text.chars()
        .flat_map(|letter| {
            if letter.is_alphanumeric() {
                vec![letter]
            } else {
                vec!['\\', letter]
            }
        })
        .collect()
}

#[cfg(unix)]
#[test]
fn a_file_one_may_not_read_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "closed.toml", b"x = 1");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    let binary = folder.path().join("needlebench");
    // Copied by another process: a file that this one has open for writing, it could not run while other tests fork.
    let copied = std::process::Command::new("cp")
        .arg(assert_cmd::cargo::cargo_bin("needlebench"))
        .arg(&binary)
        .status();
    assert!(copied.unwrap().success());
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    let mut command = std::process::Command::new(&binary);
    command.args(["blend", "--fuel", &path]);
    if fs::read(&path).is_ok() {
        // The administrator may read everything: ask as nobody.
        command.uid(65534);
    }
    let output = command.output().unwrap();
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(
        message.contains("closed.toml: no permission to read it; change its permissions"),
        "{message}"
    );
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
fn unknown_names_are_answered_with_the_nearest() {
    refused(
        &["models", "show", "ofroad-3.5"],
        "no model `ofroad-3.5`; did you mean `offroad-3.5`",
    );
    refused(
        &["blend", "--fuel", "race25"],
        "no fuel `race25`; did you mean `race-25`",
    );
    refused(&["blend", "--fuel", "zzz"], "no fuel `zzz`; there are: .*race-25");
    refused(&["man", "blnd"], "no command `blnd`; did you mean `blend`");
}

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

#[test]
fn help_has_examples_and_goes_to_standard_output() {
    for command in ["models", "air", "blend", "completions", "man"] {
        needlebench(&[command, "--help"])
            .assert()
            .success()
            .stdout(contains("Examples:"))
            .stderr(is_empty());
    }
    needlebench(&["--help"])
        .assert()
        .success()
        .stdout(contains("Exit codes"));
    needlebench(&["--version"])
        .assert()
        .success()
        .stdout(starts_with("needlebench "));
    needlebench(&["frobnicate"])
        .assert()
        .code(2)
        .stderr(contains("frobnicate"));
}

#[test]
fn the_examples_of_the_help_work() {
    let mut tried = 0;
    for command in ["models", "air", "blend", "man"] {
        let help = needlebench(&[command, "--help"])
            .assert()
            .success()
            .get_output()
            .stdout
            .clone();
        let help = String::from_utf8(help).unwrap();
        let examples = help.lines().filter_map(|line| line.trim().strip_prefix("needlebench "));
        // Those that read or write files have tests of their own.
        for example in examples.filter(|example| {
            !example.contains(['>', '|']) && !example.contains("mine.toml") && !example.contains("--folder")
        }) {
            needlebench(&example.split_whitespace().collect::<Vec<_>>())
                .assert()
                .success()
                .stderr(is_empty());
            tried += 1;
        }
    }
    assert!(tried > 8, "{tried}");
}

#[test]
fn completions_name_every_command() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        needlebench(&["completions", shell])
            .assert()
            .success()
            .stdout(contains("blend").and(contains("altitude-m")));
    }
    refused(&["completions", "tcsh"], "possible values: bash");
}

#[test]
fn manual_pages_are_written_whole() {
    needlebench(&["man"])
        .assert()
        .success()
        .stdout(contains(".TH needlebench 1"));
    needlebench(&["man", "blend"])
        .assert()
        .success()
        .stdout(contains(".TH needlebench-blend 1"));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_string_lossy().into_owned();
    needlebench(&["man", "--folder", &path])
        .assert()
        .success()
        .stdout(is_empty());
    let names: Vec<String> = fs::read_dir(&path)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    assert!(names.contains(&"needlebench.1".to_string()) && names.contains(&"needlebench-air.1".to_string()));
    assert!(names.iter().all(|name| name.starts_with("needlebench")), "{names:?}");
    let nowhere = folder.path().join("none").to_string_lossy().into_owned();
    refused(&["man", "--folder", &nowhere], "it can't be written.*nothing was");
}

#[cfg(unix)]
#[test]
fn a_closed_pipe_is_no_error() {
    for arguments in [
        &["models", "show", "laws"][..],
        &["blend", "--json"],
        &["completions", "bash"],
        &["--help"],
    ] {
        let mut child = std::process::Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {:?}", output.status);
        assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn the_same_question_has_the_same_answer_to_the_byte() {
    let ask = || {
        needlebench(&["blend", "--nitro", "16", "--oil", "12", "--json"])
            .assert()
            .success()
            .get_output()
            .stdout
            .clone()
    };
    assert_eq!(ask(), ask());
}
