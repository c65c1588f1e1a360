//! `practise --plain`: what the line of each answer tells at every level.

use super::needlebench;

/// The lines that tell clock and screws, of lesson-2 by ear.
fn standing_lines(commands: &'static str) -> Vec<String> {
    let output = needlebench(&[
        "practise",
        "lesson-2",
        "--plain",
        "--no-record",
        "--level",
        "by-ear",
        "--seed",
        "11",
    ])
    .write_stdin(commands)
    .output()
    .unwrap();
    let shown = String::from_utf8(output.stdout).unwrap();
    let lines = shown.lines().filter(|line| line.starts_with('['));
    lines.map(str::to_string).collect()
}

#[test]
fn an_engine_that_did_not_start_is_said_to_stand_without_a_tachometer() {
    let told = |commands| -> Vec<bool> {
        let lines = standing_lines(commands);
        lines.iter().map(|line| line.ends_with("  engine stands")).collect()
    };
    // Three turns in it does not stay alight.
    assert_eq!(told("high in 2\nhigh in 1\nstart\nstart\nquit\n"), [true; 5]);
    assert_eq!(told("start\nquit\n"), [false; 2]);
}
