//! The practice as its users meet it: line by line through a pipe, recorded, replayed, and with everything that can be wrong.
//! Nothing here rests on how the engine runs, only on how the practice does.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty};
use serde_json::Value;

const SCRIPT: &str = "start\nfull 2\nwait 8\njudge high rich 80\nhigh in 1/8\nhigh in 1/24\nhigh out 1/12\nidle in 1/8\nnote loud\ngun\n\
                      low in 1/12\nhalf 2\ninspect\npinch\nplug\nfuel\nstart\nfix leak\nstart\n\
                      warm\nfull 3\nwait 10.5\nfull 1.5\nroll-on\nsign off\n";

/// What signing off asks for.
const HEARD: &str = "start\nwarm\nfull 3\nwait 10.5\nfull 1.5\nroll-on\nsign off\n";

fn needlebench(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("needlebench").unwrap();
    command.args(arguments);
    command
}

/// A practice of `script`, recorded; its standard output.
fn practise(scenario: &str, script: &str, recording: &Path) -> String {
    let recording = recording.to_str().unwrap();
    let output = needlebench(&["practise", scenario, "--seed", "3", "--record", recording])
        .write_stdin(script)
        .output()
        .unwrap();
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_recording_replays_to_identical_bytes_and_words() {
    let folder = tempfile::tempdir().unwrap();
    let (first, second) = (folder.path().join("first.jsonl"), folder.path().join("second.jsonl"));
    let shown = practise("lesson-3", SCRIPT, &first);
    let replayed = needlebench(&["replay", first.to_str().unwrap(), "--record", second.to_str().unwrap()])
        .assert()
        .success()
        .stderr(is_empty())
        .get_output()
        .stdout
        .clone();
    assert_eq!(fs::read(&first).unwrap(), fs::read(&second).unwrap());
    // The debrief, and every line an action showed, come out the same.
    let replayed = String::from_utf8(replayed).unwrap();
    let debrief = &shown[shown.find("NOT CLEAN").or_else(|| shown.find("CLEAN")).unwrap()..];
    assert!(replayed.ends_with(debrief));
    assert!(shown.contains("> high in 1/24") && debrief.contains("beside them 1 idle-stop trim"));
}

#[test]
fn the_same_seed_is_the_same_practice_and_another_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    assert_eq!(
        practise("lesson-1", SCRIPT, &at("a")),
        practise("lesson-1", SCRIPT, &at("b"))
    );
    let other = needlebench(&["practise", "lesson-1", "--seed", "4", "--no-record"])
        .write_stdin(SCRIPT)
        .output()
        .unwrap();
    let jug = |text: &str| {
        text.lines()
            .find(|line| line.contains("in the jug"))
            .map(str::to_string)
            .unwrap()
    };
    assert_ne!(
        jug(&practise("lesson-1", SCRIPT, &at("c"))),
        jug(&String::from_utf8(other.stdout).unwrap())
    );
}

#[test]
fn adjustments_are_counted_as_the_rules_say() {
    let folder = tempfile::tempdir().unwrap();
    // One continuous turn in two commands, however long the engine stands between them; a reversal, a pause of the running engine, a
    // throttle and a reading between, and a trim beside.
    let script = "high in 1/24\nwait 9\nhigh in 1/24\nhigh out 1/24\nstart\nhigh out 1/24\nwait 2\nhigh out 1/24\nblip\nhigh out 1/24\n\
                  gun\nhigh out 1/24\nidle in 1/8\nwarm\nfull 3\nwait 10.5\nfull 1.5\nroll-on\nsign off\n";
    let shown = practise("lesson-1", script, &folder.path().join("r"));
    assert!(
        shown.contains("6 needle adjustments; beside them 1 idle-stop trim"),
        "{shown}"
    );
    assert!(shown.contains("0.29 turns"), "{shown}");
}

#[test]
fn judging_after_the_first_turn_is_told_apart() {
    let shown = needlebench(&["practise", "--level", "by-ear", "--seed", "3", "--no-record"])
        .write_stdin("judge low rich 60\nhigh in 1/8\njudge high rich 60\nquit\n")
        .output()
        .unwrap();
    let shown = String::from_utf8(shown.stdout).unwrap();
    for words in [
        "low end: you said rich (60 %)",
        "high end, after 1 turn: you said rich (60 %)",
        "before the first turn on average",
        "after it on average",
    ] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
}

#[test]
fn levels_show_what_they_allow() {
    let shown = |level: &str| {
        let output = needlebench(&["practise", "--level", level, "--seed", "3", "--no-record"])
            .write_stdin("wait 1\nquit\n")
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let (ear, assisted, guided) = (shown("by-ear"), shown("assisted"), shown("guided"));
    assert!(!ear.contains(" rpm") && !ear.contains("try `"));
    assert!(assisted.contains(" rpm") && !assisted.contains("try `"));
    assert!(guided.contains(" rpm") && guided.contains("try `inspect`"));
}

#[test]
fn a_cold_engine_is_not_judged_in_guided() {
    needlebench(&["practise", "cold-morning", "--seed", "3", "--no-record"])
        .write_stdin("judge high rich 80\nquit\n")
        .assert()
        .code(1)
        .stdout(contains("not judged: the engine is cold").and(contains("Brier").not()));
}

/// What a look shows is what one can come to; what is inside shows once it is out; and what is left at fault is told at the end.
#[test]
fn what_is_broken_shows_where_one_can_see_it_and_is_fixed() {
    let folder = tempfile::tempdir().unwrap();
    let text = needlebench(&["models", "show", "lesson-1", "--toml"])
        .output()
        .unwrap()
        .stdout;
    let text = String::from_utf8(text).unwrap();
    for (fault, seen, part, once_out) in [
        ("air_leak_mm2 = 0.3", "", "leak", "the old one was cut"),
        ("line_blocked_share = 0.3", "", "line", "the old filter was clogged"),
        ("brake_drag_n = 5", "the brake drags", "brake", "it was bent"),
        (
            "filter_blocked_share = 0.5",
            "caked with dust",
            "filter",
            "it was caked",
        ),
    ] {
        let path = folder.path().join("mine.toml");
        fs::write(&path, format!("{text}\n[fault]\nchance_percent = 100\n{fault}\n")).unwrap();
        let shown = |script: String| {
            let output = needlebench(&["practise", path.to_str().unwrap(), "--seed", "3", "--no-record"])
                .write_stdin(script)
                .output()
                .unwrap();
            String::from_utf8(output.stdout).unwrap()
        };
        let left = shown(format!("inspect\n{HEARD}"));
        assert!(
            left.contains(seen) && left.contains(&format!("`fix {part}` was left undone")),
            "{left}"
        );
        let bad = ["oily trace", "little comes", "split", "caked", "drags", "bubbles in"];
        let told = bad.iter().filter(|words| left.contains(**words)).count();
        assert_eq!(told, usize::from(!seen.is_empty()), "{left}");
        let cured = shown(format!("fix {part}\ninspect\nfix tank\n{HEARD}"));
        assert!(
            cured.contains(once_out) && !cured.contains("was left undone"),
            "{cured}"
        );
        assert!(
            cured.contains("it sat as it should") && cured.contains("2 parts, 1 in vain"),
            "{cured}"
        );
    }
}

#[test]
fn what_was_not_heard_is_not_signed_off_and_costs_nothing() {
    let script = format!("sign off\nstart\nsign off\nhigh in 1/8\n{HEARD}");
    let shown = needlebench(&["practise", "lesson-1", "--seed", "3", "--no-record"])
        .write_stdin(script)
        .output()
        .unwrap();
    let shown = String::from_utf8(shown.stdout).unwrap();
    assert_eq!(shown.matches("not signed off").count(), 2, "{shown}");
    assert!(
        shown.contains("hear 3 s of full throttle (full 3)") && shown.contains("The checks"),
        "{shown}"
    );
}

#[test]
fn lines_that_are_no_commands_are_answered_and_the_practice_goes_on() {
    let mut script = b"frobnicate\nhigh\nhigh in 1/0\n\xff\xfe\x1b[2J\n".to_vec();
    script.extend(vec![b'x'; 10_000]);
    script.extend(b"\nhelp\nwait 1\n");
    needlebench(&["practise", "--seed", "3", "--no-record"])
        .write_stdin(script)
        .assert()
        .code(1)
        .stdout(
            contains("is no command; write help")
                .and(contains("which way? write high in 1/8"))
                .and(contains("LEFT before signing off"))
                .and(contains("\u{1b}").not()),
        );
}

#[test]
fn no_command_practises_the_first_lesson() {
    let folder = tempfile::tempdir().unwrap();
    needlebench(&[])
        .env("XDG_DATA_HOME", folder.path())
        .write_stdin("quit\n")
        .assert()
        .code(1)
        .stdout(contains("lesson-1").and(contains("Methanol is poisonous")));
    needlebench(&["progress"])
        .env("XDG_DATA_HOME", folder.path())
        .assert()
        .success()
        .stdout(contains("lesson-1"));
    let out = needlebench(&["progress", "--json"])
        .env("XDG_DATA_HOME", folder.path())
        .output()
        .unwrap()
        .stdout;
    let curve: Value = serde_json::from_slice(&out).unwrap();
    assert_eq!(curve["practices"][0]["scenario"], "lesson-1");
}

#[test]
fn an_unknown_scenario_is_answered_with_the_nearest() {
    needlebench(&["practise", "lesson1"])
        .assert()
        .code(2)
        .stdout(is_empty())
        .stderr(contains("there is no scenario `lesson1`; did you mean `lesson-1`?"));
}

#[test]
fn a_scenario_of_ones_own_is_recorded_with_its_text() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let text = needlebench(&["models", "show", "lesson-1", "--toml"])
        .output()
        .unwrap()
        .stdout;
    let text = String::from_utf8(text)
        .unwrap()
        .replace("temperature_c = 20", "temperature_c = 25");
    fs::write(path("mine.toml"), &text).unwrap();
    practise(path("mine.toml").to_str().unwrap(), SCRIPT, &path("r.jsonl"));
    fs::remove_file(path("mine.toml")).unwrap();
    needlebench(&["replay", path("r.jsonl").to_str().unwrap()])
        .assert()
        .success()
        .stdout(contains("25 °C"));
    fs::write(path("bad.toml"), text.replace("least_turns", "least_turn")).unwrap();
    for command in [&["practise"][..], &["models", "validate"]] {
        let bad = path("bad.toml");
        let arguments = [command, &[bad.to_str().unwrap()]].concat();
        needlebench(&arguments)
            .assert()
            .code(2)
            .stderr(contains("did you mean `least_turns`"));
    }
}

#[test]
fn a_recording_cut_anywhere_replays_what_is_whole() {
    let folder = tempfile::tempdir().unwrap();
    let whole = folder.path().join("whole.jsonl");
    practise("lesson-1", "start\nhigh in 1/8\nwait 2\nquit\n", &whole);
    let bytes = fs::read(&whole).unwrap();
    let cut = folder.path().join("cut.jsonl");
    let ends: Vec<usize> = (1..=bytes.len()).filter(|end| bytes[end - 1] == b'\n').collect();
    let told = |end: usize| {
        fs::write(&cut, &bytes[..end]).unwrap();
        needlebench(&["replay", cut.to_str().unwrap()]).assert()
    };
    for between in ends.windows(2) {
        // In the middle of a line, before its last letter, and before its end.
        for end in [between[0].midpoint(between[1]), between[1] - 2, between[1] - 1] {
            told(end).code(1).stderr(contains("cut off in its last line"));
        }
    }
    let [running @ .., left, whole] = ends.as_slice() else {
        panic!("{ends:?}")
    };
    for end in running {
        told(*end).success().stderr(contains("still runs"));
    }
    // The action that ended it stands there, the ending itself does not.
    told(*left).code(1).stderr(contains("cut off in its last line"));
    told(*whole).success().stderr(is_empty());
}

#[test]
fn foreign_and_damaged_recordings_are_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.jsonl");
    practise("lesson-1", "start\nhigh in 1/8\nwait 2\nquit\n", &path);
    let text = fs::read_to_string(&path).unwrap();
    let refused = |text: &str, message: &str| {
        let bad = folder.path().join("bad.jsonl");
        fs::write(&bad, text).unwrap();
        needlebench(&["replay", bad.to_str().unwrap()])
            .assert()
            .code(2)
            .stdout(is_empty())
            .stderr(contains(message));
    };
    refused("", "the file is empty");
    refused("time_s,rpm\n1,2\n", "no recording of a practice");
    refused("{\"kind\":\"x\"}\n", "no recording of a practice");
    refused(&text.replacen("\"version\":2", "\"version\":9", 1), "version 9");
    refused(
        &text.replacen("\"lesson-1\"", "\"lesson-2\"", 1),
        "bad.jsonl:1:1: this line was changed",
    );
    refused(&text.replacen("\"do\":\"turn\"", "\"do\":\"spin\"", 1), "bad.jsonl:3:");
    refused(
        &text.replacen("\"turns\":-0.125", "\"turns\":9", 1),
        "can't have happened",
    );
    // A changed number that is still possible breaks the chain.
    let changed = folder.path().join("changed.jsonl");
    fs::write(&changed, text.replacen("\"turns\":-0.125", "\"turns\":-0.25", 1)).unwrap();
    needlebench(&["replay", changed.to_str().unwrap()])
        .assert()
        .code(1)
        .stderr(contains(
            "changed.jsonl:3:1: this line does not follow what stands before it",
        ));
}

#[test]
fn nothing_recorded_is_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.jsonl");
    fs::write(&path, "precious").unwrap();
    needlebench(&["practise", "--record", path.to_str().unwrap()])
        .write_stdin("quit\n")
        .assert()
        .code(2);
    assert_eq!(fs::read_to_string(&path).unwrap(), "precious");
}

#[test]
fn a_folder_that_cannot_be_written_stops_the_recording_and_not_the_practice() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("needlebench")).unwrap();
    fs::write(folder.path().join("needlebench/practices"), "a file").unwrap();
    needlebench(&["practise"])
        .env("XDG_DATA_HOME", folder.path())
        .write_stdin("wait 1\nquit\n")
        .assert()
        .code(1)
        .stdout(contains("LEFT"))
        .stderr(contains("not recorded"));
}

#[test]
fn a_practice_that_cannot_be_won_is_refused_before_anything_is_recorded() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let text = needlebench(&["models", "show", "lesson-1", "--toml"])
        .output()
        .unwrap()
        .stdout;
    let text = String::from_utf8(text).unwrap() + "\n[limits]\nidle_low_rpm = 19000\nidle_high_rpm = 19500\n";
    fs::write(path("mine.toml"), text).unwrap();
    let (scenario, record) = (path("mine.toml"), path("r.jsonl"));
    needlebench(&[
        "practise",
        scenario.to_str().unwrap(),
        "--seed",
        "3",
        "--record",
        record.to_str().unwrap(),
    ])
    .write_stdin("quit\n")
    .assert()
    .code(2)
    .stdout(is_empty())
    .stderr(contains("no clean setting is in reach").and(contains("idle_speed").and(contains("choose another seed"))));
    assert!(!record.exists());
}
