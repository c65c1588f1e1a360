//! `practise --plain`: what the line of each answer tells at every level.

use needlebench::practise::show::CAUTION;

use super::needlebench;

/// What is shown of lesson-2 by ear.
fn shown(commands: &'static str) -> String {
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
    String::from_utf8(output.stdout).unwrap()
}

/// The lines that tell clock and screws; where one is too long it goes on with the engine.
fn standing_lines(commands: &'static str) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for line in shown(commands).lines() {
        match told.last_mut() {
            Some(last) if line == "  engine stands" => *last += line,
            _ if line.starts_with('[') => told.push(line.to_string()),
            _ => {}
        }
    }
    told
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

#[test]
fn what_needs_a_running_engine_is_refused_at_no_cost_while_it_stands() {
    const WANTS_IT: &str = "full 3\nfull\nblip\nhalf 2\nhold 30% 5\nroll-on\npinch\nwarm\nlaps 2\nstop\n";
    let told = shown(WANTS_IT);
    let refused = told.matches("the engine stands; start it first\n").count();
    assert_eq!(refused, WANTS_IT.lines().count(), "{told}");
    // Nothing but the end of the practice is shown, and no time has passed.
    let lines = standing_lines(WANTS_IT);
    assert!(lines.len() == 1 && lines[0].starts_with("[00:00.0]"), "{lines:?}");
    // Waiting, and a look, need none.
    assert_eq!(standing_lines("wait 5\ngun\nquit\n").len(), 3);
}

#[test]
fn signing_off_an_engine_that_stands_says_that_it_has_to_be_started() {
    let told = shown("sign off\nstart\nsign off\nquit\n");
    assert!(told.contains("not signed off"), "{told}");
    assert_eq!(told.matches("(start);").count(), 1, "{told}");
}

#[test]
fn no_line_is_wider_than_eighty_columns_where_the_output_is_no_terminal() {
    let told = shown("help\nstart\nwarm\nfull 3\nhigh in 1/24\nlow out 1/24\nsign off\nlaps 2\ninspect\nplug\nquit\n");
    assert!(
        told.contains("What this teaches") && told.contains("> sign off"),
        "{told}"
    );
    for line in told.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    // The caution, which `advise` shows as it is, needs no parting.
    assert!(told.starts_with(CAUTION), "{told}");
}

#[test]
fn what_was_heard_before_a_turn_is_not_said_again_by_the_turn() {
    let told = shown("start\nwarm\nfull 3\nhigh in 1/24\nfull 3\nquit\n");
    let answers: Vec<&str> = told.split("\n> ").collect();
    let full_throttle = |answer: &str| answer.contains("at full throttle");
    assert!(full_throttle(answers[3]) && answers[4].starts_with("high in"), "{told}");
    assert!(!full_throttle(answers[4]), "{told}");
    assert!(full_throttle(answers[5]), "{told}");
}
