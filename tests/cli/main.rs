//! The command line as its users meet it: each command right and wrong, exit codes, messages, and what is left on the disk.
//! Nothing here rests on how large a calibrated constant is.

mod advise;
mod air_blend;
mod change;
mod check;
mod class_code;
mod contract;
mod demonstration;
mod explain;
mod files;
mod limits;
mod line_by_line;
mod machine;
mod models;
mod options;
mod permissions;
mod pipes;
mod progress;
mod recordings;
mod run;
mod spread;
mod trace;
mod usage;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::Predicate;
use predicates::str::{is_empty, is_match};
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

/// What is in a folder.
fn listing(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect()
}

/// Refused with one message of one line, nothing on standard output and nothing new in the folder it runs in.
fn refused_in(folder: &Path, arguments: &[&str], message: &str) {
    let before = listing(folder);
    let output = needlebench(arguments).current_dir(folder).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    // The reader of arguments adds where to find help; everything else is one line.
    let told = said.split("\n\n").next().unwrap().trim_end();
    assert!(
        is_match(message).unwrap().eval(told),
        "{arguments:?}: {said:?} has no {message:?}"
    );
    assert!(
        said.starts_with("error: ") || said.lines().count() == 1,
        "{arguments:?}: {said}"
    );
    assert_eq!(listing(folder), before, "{arguments:?}");
}
