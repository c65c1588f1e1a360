//! What one may not read, and where one may not write. The administrator may do both, so these tests ask as nobody then.

#![cfg(unix)]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;
use std::path::Path;

use super::{file, listing};

/// The program where anybody may run it.
///
/// It is copied by another process: a file that this one has open for writing, it could not run while other tests fork.
pub fn copied(folder: &Path) -> std::path::PathBuf {
    let binary = folder.join("needlebench");
    let copied = std::process::Command::new("cp")
        .arg(assert_cmd::cargo::cargo_bin("needlebench"))
        .arg(&binary)
        .status();
    assert!(copied.unwrap().success());
    fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    binary
}

/// What a command answers somebody without privileges, in the folder.
fn as_nobody(binary: &Path, folder: &Path, arguments: &[&str], privileged: bool) -> String {
    let mut command = std::process::Command::new(binary);
    command.args(arguments).current_dir(folder);
    if privileged {
        command.uid(65534);
    }
    let output = command.output().unwrap();
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
    assert!(
        output.stdout.is_empty() && message.lines().count() == 1,
        "{arguments:?}: {message}"
    );
    message
}

#[test]
fn a_file_one_may_not_read_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let binary = copied(folder.path());
    let path = file(folder.path(), "closed.toml", b"x = 1");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    let privileged = fs::read(&path).is_ok();
    for arguments in [
        ["blend", "--fuel"],
        ["check", "--engine"],
        ["check", "--plug"],
        ["check", "--fuel"],
        ["run", "--engine"],
        ["run", "--plug"],
        ["run", "--fuel"],
        ["run", "--trace"],
    ] {
        let before = listing(folder.path());
        let arguments = [&arguments[..], &[path.as_str()]].concat();
        let message = as_nobody(&binary, folder.path(), &arguments, privileged);
        assert!(
            message.contains("no permission to read it") && message.contains("change its permissions"),
            "{message}"
        );
        assert!(message.starts_with(&path), "{message}");
        assert_eq!(listing(folder.path()), before);
    }
}

#[test]
fn where_one_may_not_write_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let binary = copied(folder.path());
    let (closed, open) = (folder.path().join("closed"), folder.path().join("open"));
    for (folder, mode) in [(&closed, 0o555), (&open, 0o777)] {
        fs::create_dir(folder).unwrap();
        fs::set_permissions(folder, fs::Permissions::from_mode(mode)).unwrap();
    }
    let privileged = fs::write(closed.join("probe"), "x").is_ok();
    if privileged {
        fs::remove_file(closed.join("probe")).unwrap();
    }
    for arguments in [
        &["run", "--csv", "../closed/a.csv"][..],
        &["run", "--plot", "../closed/a.svg"],
        // The one that could be written isn't, either.
        &["run", "--csv", "a.csv", "--plot", "../closed/a.svg"],
        &["run", "--csv", "../closed/a.csv", "--plot", "a.svg"],
        &["run", "--json", "--plot", "../closed/a.svg"],
    ] {
        let message = as_nobody(&binary, &open, arguments, privileged);
        assert!(
            message.starts_with("../closed/a.") && message.contains("it can't be written"),
            "{message}"
        );
        assert!(
            message.contains("nothing was; name a file in a folder you may write to"),
            "{message}"
        );
        assert!(
            listing(&open).is_empty() && listing(&closed).is_empty(),
            "{arguments:?}"
        );
    }
}
