//! A reader that closes the pipe early has read enough: no command calls that an error. A full disk is one.

#![cfg(unix)]

use std::process::{Command, Stdio};

use super::{needlebench, refused_in};

#[test]
fn a_closed_pipe_is_no_error() {
    for arguments in [
        &["models", "show", "laws"][..],
        &["blend", "--json"],
        &["air"],
        &["completions", "bash"],
        &["man", "run"],
        &["--help"],
        &["run"],
        &["run", "--csv", "-"],
        &["run", "--manoeuvre", "laps", "--json"],
        &["run", "--manoeuvre", "laps", "--plot", "-"],
    ] {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
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
    for arguments in [&["check"][..], &["check", "--json"]] {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        // The answer is in the exit code whether its words are read or not.
        let whole = needlebench(arguments).output().unwrap();
        assert_eq!(output.status.code(), whole.status.code(), "{arguments:?}");
        assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn the_first_line_is_enough() {
    let program = assert_cmd::cargo::cargo_bin("needlebench");
    let line = format!("'{}' run --manoeuvre laps --csv - | head -1", program.display());
    let output = Command::new("sh").args(["-c", &line]).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.starts_with("time_s,throttle,engine_rpm,") && text.lines().count() == 1);
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let full = |arguments: &[&str], message: &str| {
        let out = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
            .args(arguments)
            .current_dir(folder.path())
            .stdout(out)
            .output()
            .unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(
            said.starts_with(message) && said.lines().count() == 1,
            "{arguments:?}: {said}"
        );
        assert_eq!(super::listing(folder.path()).len(), 0);
    };
    let message = "standard output: it can't be written";
    full(&["run", "--json"], message);
    full(&["run", "--json", "--plot", "run.svg"], message);
    full(&["run", "--csv", "-", "--plot", "run.svg"], message);
    full(&["check"], message);
    full(&["check", "--json"], message);
    for arguments in [
        &["--help"][..],
        &["--version"],
        &["help"],
        &["help", "run"],
        &["run", "--help"],
        &["models"],
        &["models", "show", "laws"],
        &["air"],
        &["blend"],
        &["completions", "bash"],
        &["man"],
        &["practise", "--no-record"],
        &["practise", "--help"],
    ] {
        full(arguments, message);
    }
    refused_in(
        folder.path(),
        &["run", "--csv", "/dev/full"],
        "^/dev/full: it can't be written",
    );
}
