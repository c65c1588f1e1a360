//! Signals to a practice that goes line by line: they end it as Ctrl-C ends the full screen, with a debrief and the code of an
//! interruption, whether it waits for a line or is in the middle of something.

use std::fs::File;
use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::pseudo::PATIENCE;
use super::replays;

/// A practice fed from a pipe that stays open, its words in a file.
fn practise(folder: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_needlebench"))
        .args(["practise", "lesson-1", "--seed", "1", "--record", "r.jsonl"])
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(File::create(folder.join("said")).unwrap())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

fn said(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("said")).unwrap()
}

fn wait_for(folder: &Path, text: &str) {
    let start = Instant::now();
    while !said(folder).contains(text) {
        assert!(
            start.elapsed() < PATIENCE,
            "waited in vain for {text}: {}",
            said(folder)
        );
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn signal(program: &Child, name: &str) {
    let process = program.id().to_string();
    assert!(Command::new("kill").args([name, &process]).status().unwrap().success());
}

/// The exit code, once it has ended.
fn end(mut program: Child) -> Option<i32> {
    let start = Instant::now();
    loop {
        if let Some(status) = program.try_wait().unwrap() {
            return status.code();
        }
        if start.elapsed() > PATIENCE {
            program.kill().unwrap();
            panic!("it doesn't end");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn signals_end_the_lines_with_a_debrief_and_everything_recorded() {
    for name in ["-INT", "-TERM", "-HUP", "-QUIT"] {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path();
        let mut program = practise(at);
        let input = program.stdin.as_mut().unwrap();
        // The last line is begun, but nobody has ended it.
        input.write_all(b"start\nfull 2\nhigh in 1/8").unwrap();
        wait_for(at, "> full 2\n");
        std::thread::sleep(Duration::from_millis(100));
        signal(&program, name);
        assert_eq!(end(program), Some(130), "{name}");
        let said = said(at);
        assert!(
            said.contains("LEFT before signing off") && said.contains("What this teaches"),
            "{name}: {said}"
        );
        let replayed = replays(&at.join("r.jsonl"));
        assert!(
            replayed.contains("> full") || replayed.contains("> hold"),
            "{name}: {replayed}"
        );
        assert!(
            replayed.contains("> quit") && !replayed.contains("> high"),
            "{name}: {replayed}"
        );
    }
}

#[test]
fn the_end_of_the_input_is_no_interruption() {
    let folder = tempfile::tempdir().unwrap();
    let mut program = practise(folder.path());
    program.stdin.take().unwrap().write_all(b"start\nfull 2").unwrap();
    assert_eq!(end(program), Some(1));
    let said = said(folder.path());
    // A last line without its end is a line, too.
    assert!(
        said.contains("> full 2\n") && said.contains("LEFT before signing off"),
        "{said}"
    );
}
