//! A program of somebody's own that tunes: the README's, and those that die, babble, flood or say nothing. Whatever it does, its
//! practices end by name and the others' are what they are without it.

use std::fs;
use std::os::unix::fs::PermissionsExt;

use serde_json::Value;

use super::Place;

const SCRIPTS: [(&str, &str, &str); 7] = [
    ("dies", "exit 3", "tuner-died"),
    (
        "babbles",
        "echo '{\"version\":1}'; echo hello; sleep 9",
        "tuner-unreadable",
    ),
    ("otherwise", "echo '{\"version\":2}'; sleep 9", "tuner-unreadable"),
    (
        "floods",
        "echo '{\"version\":1}'; head -c 1000000 /dev/zero | tr '\\0' x; sleep 9",
        "tuner-flooded",
    ),
    ("sleeps", "exec sleep 60", "tuner-silent"),
    // Never reads, and proposes the same for ever.
    (
        "repeats",
        "echo '{\"version\":1}'; while :; do echo '{\"do\":\"gun\"}'; done",
        "out-of-actions",
    ),
    (
        "leaves",
        "echo '{\"version\":1}'; echo '{\"do\":\"leave\"}'; sleep 9",
        "nothing-proposed",
    ),
];

fn script(place: &Place, name: &str, text: &str) -> String {
    let path = place.at(name);
    fs::write(&path, format!("#!/bin/sh\n{text}\n")).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).unwrap();
    path.display().to_string()
}

fn ends(place: &Place, file: &str, name: &str) -> Vec<String> {
    let text = place.read(file);
    let rows = text.lines().map(|line| line.split(',').collect::<Vec<_>>());
    rows.filter(|row| row[5] == name)
        .map(|row| row[6].to_string())
        .collect()
}

#[test]
fn whatever_goes_wrong_with_it_ends_its_practice_by_name() {
    let place = Place::new();
    let alone = place.json(&["--episodes", "1", "--csv", "alone.csv"]);
    let scripts = SCRIPTS.map(|(name, text, _)| script(&place, name, text));
    let mut arguments = vec!["--episodes", "1", "--csv", "rows.csv", "--strategy-patience-s", "2"];
    for path in &scripts {
        arguments.extend(["--strategy-command", path]);
    }
    let told = place.json(&arguments);
    for (name, _, end) in SCRIPTS {
        assert_eq!(ends(&place, "rows.csv", name), vec![end; 4], "{name}");
    }
    assert_eq!(ends(&place, "rows.csv", "coach"), ends(&place, "alone.csv", "coach"));
    let standing = |value: &Value, name: &str| {
        let all = value["strategies"].as_array().unwrap();
        all.iter().find(|s| s["name"] == name).unwrap()["turns_mean"].clone()
    };
    assert_eq!(standing(&told, "coach"), standing(&alone, "coach"));
}

#[test]
fn what_cannot_be_started_is_refused_at_once() {
    let place = Place::new();
    let message = place.refused(&["--strategy-command", "./nobody-here --fast", "--csv", "rows.csv"]);
    assert!(
        message.contains("--strategy-command: `./nobody-here --fast` can't be started"),
        "{message}"
    );
    assert!(!place.at("rows.csv").exists());
}

/// The README's example, as it stands there.
fn example() -> String {
    let readme = include_str!("../../README.md");
    let block = readme.split("```python\n").nth(1).unwrap().split("```").next().unwrap();
    assert!(block.lines().count() < 40, "the example is to be short");
    block.to_string()
}

#[test]
fn the_example_of_the_readme_tunes() {
    let python = std::process::Command::new("python3").arg("--version").output();
    if !python.is_ok_and(|output| output.status.success()) {
        assert!(std::env::var_os("CI").is_none(), "python3 is not there");
        eprintln!("skipped: python3 is not there");
        return;
    }
    let place = Place::new();
    fs::write(place.at("tuner.py"), example()).unwrap();
    let command = [
        "--strategy-command",
        "python3 tuner.py",
        "--episodes",
        "2",
        "--csv",
        "rows.csv",
    ];
    let told = place.json(&command);
    let ends = ends(&place, "rows.csv", "tuner");
    assert!(
        ends.iter().all(|end| ["clean", "not-clean"].contains(&end.as_str())),
        "{ends:?}"
    );
    assert!(ends.iter().any(|end| end == "clean"), "{ends:?}");
    assert_eq!(told["races"][0]["order"].as_array().unwrap().len(), 3);
}
