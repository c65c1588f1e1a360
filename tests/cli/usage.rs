//! What holds for all commands: help with examples that work, completions and manual pages, the same answer to the same question.

use std::fs;

use assert_cmd::Command;
use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty, starts_with};

use super::{changed, file, needlebench, refused};

#[test]
fn help_has_examples_and_goes_to_standard_output() {
    for command in commands() {
        needlebench(&[&command, "--help"])
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

/// Every command that there is.
fn commands() -> Vec<String> {
    let help = needlebench(&["--help"]).output().unwrap().stdout;
    let help = String::from_utf8(help).unwrap();
    let listed = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty());
    let names = listed.filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    let names: Vec<String> = names
        .filter(|name| !["", "help"].contains(name))
        .map(str::to_string)
        .collect();
    assert!(names.len() >= 10, "{names:?}");
    names
}

#[cfg(unix)]
#[test]
fn the_examples_of_the_help_work() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    // What the examples take as given: models, traces and recordings of one's own, and the shells' folders.
    changed(at, "offroad-3.5", "\n", "\n");
    fs::rename(at.join("changed.toml"), at.join("mine.toml")).unwrap();
    file(at, "mine.csv", b"time_s,throttle\n0,0\n1,0.5\n");
    for name in [
        "practice.jsonl",
        "practice-1.jsonl",
        "practice-2.jsonl",
        "data/needlebench/practices/p.jsonl",
    ] {
        fs::create_dir_all(at.join("data/needlebench/practices")).unwrap();
        let practice = ["practise", "lesson-1", "--seed", "1", "--record", name];
        needlebench(&practice)
            .current_dir(at)
            .write_stdin("quit\n")
            .assert()
            .code(1);
    }
    for folder in [
        ".local/share/bash-completion/completions",
        ".config/fish/completions",
        "target/man",
    ] {
        fs::create_dir_all(at.join(folder)).unwrap();
    }
    let program = assert_cmd::cargo::cargo_bin("needlebench");
    let path = format!(
        "{}:{}",
        program.parent().unwrap().display(),
        std::env::var("PATH").unwrap()
    );
    let mut tried = 0;
    for command in commands() {
        let help = needlebench(&[&command, "--help"])
            .assert()
            .success()
            .get_output()
            .stdout
            .clone();
        let help = String::from_utf8(help).unwrap();
        // A line that ends in a pipe goes on in the next.
        let help = help.replace("|\n", "| ");
        let examples = help
            .lines()
            .skip_while(|line| *line != "Examples:")
            .skip(1)
            .take_while(|line| !line.is_empty());
        let mut of_this = 0;
        for example in examples {
            // The reader of manual pages need not be installed.
            let line = example.trim().replace("| man -l -", "| cat");
            // What serves a page does so until it is asked to end.
            let serves = line.ends_with("--no-open");
            let line = if serves {
                format!("timeout -s INT --preserve-status 2 {line}")
            } else {
                line
            };
            let output = Command::new("sh")
                .args(["-c", &line])
                .current_dir(at)
                .env("PATH", &path)
                .env("HOME", at)
                .env("XDG_DATA_HOME", at.join("data"))
                .timeout(std::time::Duration::from_secs(120))
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&output.stderr);
            // These may answer no: the setting shown isn't clean, or the practice ends before signing off.
            let may_say_no = ["check", "practise"].contains(&command.as_str());
            let code = output.status.code();
            if serves {
                assert_eq!(code, Some(130), "{line}: {output:?}");
                assert!(
                    output.stdout.starts_with(b"http://127.0.0.1:") && said.contains("Ctrl-C"),
                    "{line}: {output:?}"
                );
            } else {
                assert!(code == Some(0) || (may_say_no && code == Some(1)), "{line}: {output:?}");
                assert!(said.is_empty() || said.starts_with("recorded to "), "{line}: {said}");
            }
            of_this += 1;
        }
        assert!(of_this >= 2, "{command} has {of_this} examples");
        tried += of_this;
    }
    assert!(tried > 25, "{tried}");
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
