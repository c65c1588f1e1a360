//! The edges of the machine: no threads to be had, absurdly many asked for, files that may grow no more, and a program that is
//! interrupted while it writes.

#![cfg(unix)]

use std::fs;
use std::io::Read;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

use super::permissions::copied;
use super::{listing, needlebench};

/// A practice in lines; it computes on threads what it begins with, and par for its debrief.
const LINES: &str = "start\nwarm\nfull 3\nhigh in 1/8\nquit\n";

#[test]
fn an_absurd_number_of_threads_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let practise = |threads: Option<&str>| {
        let mut command = needlebench(&["practise", "lesson-1", "--seed", "1", "--no-record"]);
        command.env_remove("RAYON_NUM_THREADS");
        if let Some(threads) = threads {
            command.env("RAYON_NUM_THREADS", threads);
        }
        let output = command.current_dir(folder.path()).write_stdin(LINES).output().unwrap();
        (
            output.status.code(),
            output.stdout,
            String::from_utf8(output.stderr).unwrap(),
        )
    };
    let usual = practise(None);
    assert_eq!(usual.2, "");
    for threads in [
        "1000000",
        "18446744073709551615",
        "99999999999999999999",
        "0",
        "-1",
        "x",
        "",
    ] {
        assert!(practise(Some(threads)) == usual, "{threads}");
    }
}

/// What comes of a shell's command as a user who may have no further threads, run in the folder.
fn without_threads(binary: &Path, folder: &Path, words: &str) -> Output {
    let script = format!(
        "ulimit -u 1 2>/dev/null || ulimit -p 1; exec '{}' {words}",
        binary.display()
    );
    let mut command = Command::new("sh");
    command.args(["-c", &script]).current_dir(folder);
    // The administrator may have any number.
    if fs::metadata(folder).is_ok_and(|known| std::os::unix::fs::MetadataExt::uid(&known) == 0) {
        command.uid(65534);
    }
    let mut program = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = program.stdin.take().unwrap();
    std::io::Write::write_all(&mut input, LINES.as_bytes()).unwrap();
    drop(input);
    program.wait_with_output().unwrap()
}

#[test]
fn without_threads_it_computes_alone() {
    let folder = tempfile::tempdir().unwrap();
    let binary = copied(folder.path());
    for (words, arguments) in [
        ("practise lesson-1 --seed 1 --no-record", None),
        ("check", Some(&["check"][..])),
        ("check --spread", Some(&["check", "--spread"])),
        ("run --csv -", Some(&["run"])),
    ] {
        let output = without_threads(&binary, folder.path(), words);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(said, "", "{words}");
        let usual = match arguments {
            Some(arguments) => needlebench(arguments).output().unwrap(),
            None => needlebench(&words.split(' ').collect::<Vec<_>>())
                .write_stdin(LINES)
                .output()
                .unwrap(),
        };
        assert!(
            output.status.code() == usual.status.code() && output.stdout == usual.stdout,
            "{words}"
        );
    }
}

/// What comes of the program where files may have so many blocks, its standard output in the file `out` of the folder.
fn limited(folder: &Path, blocks: u32, arguments: &str, lines: &str) -> (Option<i32>, String) {
    let binary = assert_cmd::cargo::cargo_bin("needlebench");
    let script = format!("ulimit -f {blocks}; exec '{}' {arguments}", binary.display());
    let mut program = Command::new("sh")
        .args(["-c", &script])
        .current_dir(folder)
        .env("XDG_DATA_HOME", folder.join("data"))
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = program.stdin.take().unwrap();
    let _ = std::io::Write::write_all(&mut input, lines.as_bytes());
    drop(input);
    let output = program.wait_with_output().unwrap();
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn files_that_may_grow_no_more_are_told_and_none_is_left_half() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::create_dir(at.join("pages")).unwrap();
    needlebench(&["practise", "lesson-1", "--seed", "1", "--record", "r.jsonl"])
        .current_dir(at)
        .write_stdin("start\nwarm\nfull 3\nfull 3\nfull 3\nfull 3\nfull 3\nquit\n")
        .assert()
        .code(1);
    assert!(fs::metadata(at.join("r.jsonl")).unwrap().len() > 512);
    let before = listing(at);
    for arguments in [
        "run --csv a.csv",
        "run --plot a.svg --csv a.csv",
        "run --json --csv a.csv",
        "replay r.jsonl --record again.jsonl",
        "progress r.jsonl --plot a.svg",
        "man --folder pages",
        "run > out",
        "models show laws > out",
        "completions bash > out",
        "man > out",
        "replay r.jsonl > out",
        "practise lesson-1 --no-record > out",
        "--help > out",
        "help run > out",
    ] {
        let (code, said) = limited(at, 1, arguments, LINES);
        assert_eq!(code, Some(2), "{arguments}: {said}");
        assert!(
            said.contains("it can't be written (File too large") && said.contains("ulimit -f"),
            "{arguments}: {said}"
        );
        let _ = fs::remove_file(at.join("out"));
        assert_eq!(listing(at), before, "{arguments}");
        assert!(listing(&at.join("pages")).is_empty());
    }
}

#[test]
fn a_recording_that_can_grow_no_more_keeps_its_whole_lines() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let lines = LINES.replace("quit", "full 1\nfull 1\nfull 1\nfull 1\nfull 1\nfull 1\nquit");
    for arguments in [
        "practise lesson-1 --seed 1 --record r.jsonl",
        "practise lesson-1 --seed 1",
    ] {
        let (code, said) = limited(at, 1, arguments, &lines);
        assert_eq!(code, Some(2), "{said}");
        assert!(
            said.contains("recording stopped (File too large") && said.contains("the exit code will be 2"),
            "{said}"
        );
    }
    for recording in ["r.jsonl", "data/needlebench/practices/lesson-1-seed-1-1.jsonl"] {
        // To its last line: half a one would make it answer no.
        let replayed = needlebench(&["replay", recording]).current_dir(at).assert().success();
        let text = String::from_utf8(replayed.get_output().stdout.clone()).unwrap();
        assert!(text.contains("> start") && !text.contains("> quit"), "{text}");
    }
    // Not even the first line: it isn't begun, and no empty file stays.
    for arguments in ["practise lesson-1 --record none.jsonl", "practise lesson-1 --seed 7"] {
        let (code, said) = limited(at, 0, arguments, &lines);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains("nothing was"), "{said}");
    }
    assert!(!at.join("none.jsonl").exists());
    assert_eq!(listing(&at.join("data/needlebench/practices")).len(), 1);
}

#[test]
fn an_interrupted_result_leaves_nothing_half() {
    for name in ["-INT", "-TERM"] {
        let folder = tempfile::tempdir().unwrap();
        let mut program = Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
            .args(["run", "--manoeuvre", "laps", "--json", "--csv", "a.csv"])
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // Its first bytes are there, so its files are ready; for the rest the pipe has no room.
        let mut first = [0; 1];
        program.stdout.as_mut().unwrap().read_exact(&mut first).unwrap();
        std::thread::sleep(Duration::from_millis(200));
        assert_eq!(listing(folder.path()).len(), 1, "the file that is made ready");
        let process = program.id().to_string();
        assert!(Command::new("kill").args([name, &process]).status().unwrap().success());
        assert_eq!(program.wait().unwrap().code(), Some(130), "{name}");
        assert!(
            listing(folder.path()).is_empty(),
            "{name}: {:?}",
            listing(folder.path())
        );
    }
}
