//! A recording that is to be shown: checked as `replay` checks it, and refused where it is not what it says or tells what is still hidden.

use std::fs;
use std::path::Path;
use std::time::Duration;

use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty};

use super::recordings::rewritten;
use super::{file, needlebench, refused};

/// A short practice, recorded; its lines.
fn recorded(folder: &Path) -> Vec<String> {
    let path = folder.join("r.jsonl").to_string_lossy().into_owned();
    needlebench(&["practise", "lesson-1", "--seed", "3", "--record", &path])
        .write_stdin("start\nhigh in 1/8\nfull 1\nquit\n")
        .assert()
        .code(1);
    fs::read_to_string(path)
        .unwrap()
        .split_inclusive('\n')
        .map(str::to_string)
        .collect()
}

/// What `replay` and a demonstration say of a recording that neither takes for good, and their exit codes.
fn said(path: &str) -> [(Option<i32>, String); 2] {
    [&["replay", path][..], &["practise", "--no-open", "--demo", path][..]].map(|arguments| {
        let output = needlebench(arguments)
            .timeout(Duration::from_secs(20))
            .output()
            .unwrap();
        let shown = String::from_utf8(output.stdout).unwrap();
        assert!(!shown.contains("http://"), "{arguments:?} serves");
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    })
}

#[test]
fn it_is_checked_as_a_replay_checks_it() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let lines = recorded(at);
    let whole = lines.concat();
    let edited = whole.replacen("-0.125", "-0.25", 1);
    let header = whole.replacen("\"seed\":3", "\"seed\":4", 1);
    let cut = &whole[..whole.len() - 20];
    let differs = rewritten(&whole, |header| header.replacen("\"state\":\"", "\"state\":\"x", 1));
    let old = whole.replacen("\"version\":2", "\"version\":1", 1);
    for (name, text, code) in [
        ("edited", edited.as_str(), 1),
        ("cut", cut, 1),
        ("differs", &differs, 1),
        ("header", &header, 2),
        ("old", &old, 2),
        ("empty", "", 2),
        ("foreign", "time_s,throttle\n0,0\n", 2),
    ] {
        let path = file(at, &format!("{name}.jsonl"), text.as_bytes());
        let [(by_replay, replay), (by_demo, demo)] = said(&path);
        assert_eq!((by_replay, by_demo), (Some(code), Some(code)), "{name}: {demo}");
        assert_eq!(replay, demo, "{name}");
        assert!(!demo.is_empty() && demo.lines().count() == 1, "{name}: {demo}");
    }
    let [replay, demo] = said(&at.join("missing.jsonl").to_string_lossy());
    assert!(
        replay == demo && replay.0 == Some(2) && demo.1.contains("missing.jsonl"),
        "{demo:?}"
    );
    // One that still runs is a good recording, and tells nothing hidden.
    let running = file(at, "running.jsonl", lines[..lines.len() - 2].concat().as_bytes());
    let [(_, replay), (code, demo)] = said(&running);
    assert_eq!(code, Some(1));
    assert!(
        demo.starts_with(&replay) && demo.contains("what is hidden stays hidden"),
        "{demo}"
    );
}

#[test]
fn what_makes_no_sense_beside_it_is_refused() {
    for beside in [
        &["lesson-1"][..],
        &["--seed", "3"],
        &["--level", "by-ear"],
        &["--class", "cabin-spruce-amber-timber-daisy"],
        &["--terminal"],
        &["--plain"],
        &["--record", "other.jsonl"],
        &["--no-record"],
    ] {
        refused(
            &[&["practise", "--no-open", "--demo", "r.jsonl"], beside].concat(),
            "--demo",
        );
    }
    refused(&["practise", "--demo"], "--demo");
}

#[cfg(unix)]
#[test]
fn it_is_served_until_it_is_asked_to_end() {
    let folder = tempfile::tempdir().unwrap();
    recorded(folder.path());
    let program = assert_cmd::cargo::cargo_bin("needlebench");
    assert_cmd::Command::new("timeout")
        .args(["-s", "INT", "--preserve-status", "3"])
        .arg(program)
        .args(["practise", "--no-open", "--demo", "r.jsonl"])
        .current_dir(folder.path())
        .env("XDG_DATA_HOME", folder.path())
        .assert()
        .code(130)
        .stdout(contains("http://127.0.0.1:"))
        .stderr(contains("the demonstration is served there").and(contains("Ctrl-C")));
    needlebench(&["replay", "r.jsonl"])
        .current_dir(folder.path())
        .assert()
        .code(0)
        .stderr(is_empty());
}
