//! `compare` as its users meet it: the same bytes however it was run, what is kept when it is broken off, and everything that can be
//! wrong with its files and with a program of somebody's own.

mod bytes;
#[cfg(unix)]
mod outside;
mod wrong;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// A study that is over in seconds.
const LITTLE: &str = r#"
name = "little"
summary = "two ways on two situations"
seed = 3
episodes = 3
scenarios = ["lesson-1", "lesson-2"]
skills = ["beginner", "club"]

[costs]
not_clean_turns = 20
lost_turns = 50

[ranking]
confidence_percent = 95
indifference_turns = 1
first_stage = 5

[[strategy]]
name = "coach"

[[strategy]]
name = "coach"
label = "seldom"
episodes = 1

[[hypothesis]]
claim = "the same is the same"
measure = "cost"
less = "coach"
than = "seldom"
"#;

/// A folder with the little study in it.
struct Place {
    folder: TempDir,
}

impl Place {
    fn new() -> Self {
        let place = Self {
            folder: tempfile::tempdir().unwrap(),
        };
        fs::write(place.at("little.toml"), LITTLE).unwrap();
        place
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.at(name)).unwrap()
    }

    /// `compare` on the little study, in its folder.
    fn compare(&self, arguments: &[&str]) -> Command {
        let mut command = Command::cargo_bin("needlebench").unwrap();
        command
            .current_dir(self.folder.path())
            .arg("compare")
            .arg("./little.toml");
        // A run that waits for itself fails, and does not keep everybody waiting.
        command.args(arguments).timeout(Duration::from_secs(300));
        command
    }

    /// Standard output as JSON, without the two keys that depend on the machine.
    fn json(&self, arguments: &[&str]) -> Value {
        let output = self
            .compare(arguments)
            .arg("--json")
            .assert()
            .success()
            .get_output()
            .stdout
            .clone();
        let mut value: Value = serde_json::from_slice(&output).unwrap();
        for key in ["seconds", "revolutions_per_second_per_core"] {
            assert!(
                value
                    .as_object_mut()
                    .unwrap()
                    .remove(key)
                    .is_some_and(|v| v.is_number()),
                "{key}"
            );
        }
        value
    }

    /// What it says against wrong use, with exit code 2.
    fn refused(&self, arguments: &[&str]) -> String {
        let assert = self.compare(arguments).assert().code(2);
        String::from_utf8(assert.get_output().stderr.clone()).unwrap()
    }
}

fn lines(text: &str) -> usize {
    text.lines().count()
}

fn exists(path: &Path) -> bool {
    path.exists()
}
