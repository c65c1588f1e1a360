//! What `run`, `check` and `explain` are told wrongly: models' files and names, screws, fuel, weather and seed. Each is refused with the
//! place or the flag, the allowed range and the remedy; nothing is printed and nothing written.

use std::path::Path;

use super::{changed, file, needlebench, refused_in, regex_escape};

/// These commands with everything that could be written.
const COMMANDS: [&[&str]; 3] = [
    &[
        "run",
        "--manoeuvre",
        "burst",
        "--csv",
        "out.csv",
        "--plot",
        "out.svg",
        "--sound",
        "out.wav",
    ],
    &["check"],
    &["explain", "--plot", "pictures"],
];

/// Refused by all.
fn both(folder: &Path, arguments: &[&str], message: &str) {
    for command in COMMANDS {
        refused_in(folder, &[command, arguments].concat(), message);
    }
    refused_in(folder, &[&["check", "--json"], arguments].concat(), message);
    refused_in(
        folder,
        &[&["run", "--json", "--fahrenheit"], arguments].concat(),
        message,
    );
}

#[test]
fn mistakes_in_a_models_file_are_told_at_their_place() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let cases = [
        // Wrong unit.
        (
            "--engine",
            "offroad-3.5",
            "displacement_cm3",
            "displacement_mm3",
            r":\d+:1: .*wrong unit.*`displacement_cm3`, allowed 0\.5 to 15 cm³; convert",
        ),
        (
            "--fuel",
            "race-25",
            "nitro_percent = 25",
            "nitro_share = 0.25",
            r":\d+:1: .*`nitro_percent`",
        ),
        (
            "--engine",
            "offroad-3.5",
            "idle_turns",
            "idle_deg",
            r":\d+:1: .*wrong unit.*`idle_turns`, allowed 0 to 6 turns",
        ),
        // Unknown key or table.
        (
            "--engine",
            "offroad-3.5",
            "compression_ratio",
            "compresion_ratio",
            r":\d+:1: .*no key `compresion_ratio`; did you mean `compression_ratio`",
        ),
        (
            "--fuel",
            "race-25",
            "[blend]",
            "[mix]",
            r":\d+:2: .*no table `mix`.*`?blend",
        ),
        (
            "--plug",
            "medium",
            "catalytic_factor",
            "catalitic_factor",
            r":\d+:1: .*no key `catalitic_factor`; did you mean `catalytic_factor`",
        ),
        // Missing key.
        (
            "--engine",
            "offroad-3.5",
            "slide_travel_mm",
            "# slide_travel_mm",
            r":\d+:2: \[carburettor\] lacks `slide_travel_mm`, \d+ to \d+ mm .*add it",
        ),
        (
            "--fuel",
            "race-25",
            "oil_percent",
            "# oil_percent",
            r":\d+:2: \[blend\] lacks `oil_percent`",
        ),
        (
            "--plug",
            "medium",
            "firing_factor",
            "# firing_factor",
            r":\d+:2: \[plug\] lacks `firing_factor`",
        ),
        // Out of range.
        (
            "--engine",
            "offroad-3.5",
            "displacement_cm3 = 3.5",
            "displacement_cm3 = -3.5",
            r":\d+:20: .*-3\.5 is out of range; allowed 0\.5 to 15 cm³",
        ),
        (
            "--fuel",
            "race-25",
            "oil_percent = 11",
            "oil_percent = 61",
            r":\d+:15: .*61 is out of range; allowed 0 to 60",
        ),
        (
            "--fuel",
            "race-25",
            "nitro_percent = 25",
            "nitro_percent = 95",
            r":\d+:\d+: .*more than 100 %; lower one of them",
        ),
        (
            "--plug",
            "medium",
            "catalytic_factor = 1 ",
            "catalytic_factor = 1e9 ",
            r":\d+:20: .*out of range; allowed",
        ),
        // Not a number.
        (
            "--engine",
            "offroad-3.5",
            "displacement_cm3 = 3.5",
            "displacement_cm3 = nan",
            r":\d+:20: .*not a finite number; allowed 0\.5 to 15",
        ),
        (
            "--fuel",
            "race-25",
            "oil_percent = 11",
            "oil_percent = -inf",
            r":\d+:15: .*not a finite number; allowed 0 to 60",
        ),
        (
            "--plug",
            "medium",
            "firing_factor = 1 ",
            "firing_factor = \"hot\" ",
            r":\d+:17: .*a number is wanted",
        ),
        // Not TOML.
        (
            "--engine",
            "offroad-3.5",
            "displacement_cm3 = 3.5",
            "displacement_cm3 = 3,5",
            r":\d+:\d+: not valid TOML",
        ),
        // A model that isn't there.
        (
            "--engine",
            "offroad-3.5",
            "\"race-25\"",
            "\"race-2\"",
            r":\d+:8: there is no fuel `race-2`",
        ),
    ];
    for (flag, model, from, to, message) in cases {
        let path = changed(at, model, from, to);
        both(at, &[flag, &path], &format!("^{}{message}", regex_escape(&path)));
    }
}

#[test]
fn files_that_are_no_models_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let empty = file(at, "empty.toml", b"");
    let huge = file(at, "huge.toml", &vec![b'#'; (1 << 20) + 1]);
    let bytes = file(at, "bytes.toml", b"name = \"\xff\"");
    let none = at.join("none.toml").to_string_lossy().into_owned();
    let directory = at.to_string_lossy().into_owned();
    for flag in ["--engine", "--fuel", "--plug"] {
        for (path, message) in [
            (&empty, ":1:1: the file says nothing; start from"),
            (&huge, ": larger than 1048576 bytes"),
            (&bytes, ":1:9: not UTF-8"),
            (&none, ": there is no such file; check the path"),
            (&directory, ": this is a directory; name"),
        ] {
            both(at, &[flag, path], &format!("^{}{message}", regex_escape(path)));
        }
    }
    // A good model of another kind.
    let plug = changed(at, "medium", "\n", "\n");
    both(
        at,
        &["--engine", &plug],
        &format!("^{}:\\d+:\\d+: ", regex_escape(&plug)),
    );
    both(at, &["--fuel", &plug], &format!("^{}:\\d+:\\d+: ", regex_escape(&plug)));
}

#[test]
fn names_and_numbers_are_told_with_what_is_allowed() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for (arguments, message) in [
        (
            &["--engine", "offroad"][..],
            "no engine `offroad`; (did you mean|there are).*`?offroad-3.5",
        ),
        (&["--fuel", "race-24"], "no fuel `race-24`; did you mean `race-2"),
        (&["--plug", "luke"], "no plug `luke`; there are: .*medium"),
        (
            &["--high", "-0.5"],
            "'--high <TURNS>': out of range; allowed 0 to 8 turns open from closed; choose",
        ),
        (
            &["--low", "-0.001"],
            "'--low <TURNS>': out of range; allowed 0 to 8 turns open from closed; choose",
        ),
        (
            &["--idle", "-2"],
            "'--idle <TURNS>': out of range; allowed 0 to 6 turns in from closed; choose",
        ),
        (&["--high", "8.01"], "'--high <TURNS>': out of range; allowed 0 to 8"),
        (
            &["--low", "NaN"],
            "'--low <TURNS>': not a finite number; allowed 0 to 8",
        ),
        (
            &["--idle", "2 turns"],
            "'--idle <TURNS>': not a number; allowed 0 to 6.*without its unit",
        ),
        (&["--high", ""], "'--high <TURNS>': not a number; allowed 0 to 8"),
        (&["--high"], "a value is required for '--high <TURNS>'"),
        (
            &["--nitro", "60", "--oil", "41"],
            "^--nitro, --oil: .*101 %.*allowed: 100 percent together.*lower one",
        ),
        (
            &["--nitro", "90"],
            "^--nitro, --oil: .*101 %.*allowed: 100 percent together.*lower one",
        ),
        (
            &["--oil", "61"],
            "'--oil <PERCENT>': out of range; allowed 0 to 60 percent",
        ),
        (
            &["--fuel", "race-25", "--nitro", "20"],
            "--fuel.*cannot be used with.*--nitro",
        ),
        (
            &["--temperature-c", "100"],
            "'--temperature-c <C>': out of range; allowed -30 to 55 °C",
        ),
        (
            &["--pressure-hpa", "1", "--altitude-m", "1"],
            "'--pressure-hpa <HPA>': out of range; allowed 500 to 1100 hPa",
        ),
        (
            &["--humidity-percent", "101"],
            "'--humidity-percent <PERCENT>': out of range; allowed 0 to 100 percent",
        ),
        (
            &["--altitude-m", "inf"],
            "'--altitude-m <M>': not a finite number; allowed -500 to 5500 m",
        ),
        (
            &["--high", "--low", "2"],
            "a value is required for '--high <TURNS>' but none was supplied",
        ),
        (&["--needle", "3"], "unexpected argument '--needle'"),
    ] {
        both(at, arguments, message);
    }
}

#[test]
fn seeds_are_whole_numbers_wherever_there_is_one() {
    let folder = tempfile::tempdir().unwrap();
    let range = "allowed 0 to 18446744073709551615;";
    for command in [
        &["run", "--csv", "out.csv"][..],
        &["check"],
        &["explain"],
        &["practise"],
        &["practise", "lesson-1", "--terminal"],
    ] {
        for (seed, what) in [
            ("x", "not a whole number"),
            ("", "not a whole number"),
            ("0x7", "not a whole number"),
            ("nan", "not a whole number"),
            ("-1", "not a whole number in range"),
            ("1.5", "not a whole number in range"),
            ("18446744073709551616", "not a whole number in range"),
        ] {
            let message = format!("'--seed <N>': {what}; {range} (write digits only|choose one), such as 7");
            refused_in(folder.path(), &[command, &["--seed", seed]].concat(), &message);
        }
    }
    // The largest is one like any other, and comes back whole.
    let last = u64::MAX.to_string();
    needlebench(&["run", "--seed", &last, "--json"])
        .assert()
        .success()
        .stdout(predicates::str::contains(format!("\"seed\": {last},")));
}

/// What a flag, a file and a message allow is one range.
#[test]
fn flags_and_files_have_the_same_limits() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for (flag, key, model, unit) in [
        ("--high", "high_turns", "offroad-3.5", "turns"),
        ("--low", "low_turns", "offroad-3.5", "turns"),
        ("--idle", "idle_turns", "offroad-3.5", "turns"),
        ("--nitro", "nitro_percent", "race-25", "percent"),
        ("--oil", "oil_percent", "race-25", "percent"),
        ("--temperature-c", "temperature_c", "lesson-1", "°C"),
        ("--pressure-hpa", "pressure_hpa", "lesson-1", "hPa"),
        ("--humidity-percent", "humidity_percent", "lesson-1", "percent"),
    ] {
        let text = needlebench(&["models", "show", model, "--toml"])
            .output()
            .unwrap()
            .stdout;
        let text = String::from_utf8(text).unwrap();
        let written = text
            .lines()
            .find(|line| line.starts_with(&format!("{key} = ")))
            .unwrap();
        let path = changed(at, model, written, &format!("{key} = 1e9"));
        let said = |arguments: &[&str]| String::from_utf8(needlebench(arguments).output().unwrap().stderr).unwrap();
        let range = |message: &str| -> Vec<f64> {
            let allowed = message.split("allowed ").nth(1).unwrap_or_else(|| panic!("{message}"));
            let words = allowed.split([' ', ';', '(']);
            words.filter_map(|word| word.parse().ok()).take(2).collect()
        };
        let (by_flag, by_file) = (
            range(&said(&["check", flag, "1e9"])),
            range(&said(&["models", "validate", &path])),
        );
        assert_eq!(by_flag, by_file, "{flag} and {key}, {unit}");
        assert_eq!(by_flag.len(), 2);
    }
}

/// Nitromethane and oil that make a whole are a fuel, though their printed digits add up to a little more.
#[test]
fn a_whole_of_nitromethane_and_oil_is_accepted_as_it_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    let (nitro, oil) = ("83.33333333333334", "16.666666666666668");
    let json = needlebench(&["blend", "--nitro", nitro, "--oil", oil, "--json"]);
    let output = { json }.output().unwrap();
    assert!(output.status.success(), "{output:?}");
    let text = needlebench(&["models", "show", "race-25", "--toml"])
        .output()
        .unwrap()
        .stdout;
    let text = String::from_utf8(text)
        .unwrap()
        .replacen("nitro_percent = 25", &format!("nitro_percent = {nitro}"), 1)
        .replacen("oil_percent = 11", &format!("oil_percent = {oil}"), 1);
    let path = file(folder.path(), "whole.toml", text.as_bytes());
    needlebench(&["models", "validate", &path]).assert().success();
    needlebench(&["blend", "--jug", &format!("{nitro}/{oil}=100"), "--jug", "10/10=100"])
        .assert()
        .success();
    needlebench(&["blend", "--nitro", "83.334", "--oil", "16.667"])
        .assert()
        .code(2);
}
