//! Files that can't be used, and places that can't be written.

use std::fs;

use super::{Place, exists};

#[test]
fn a_study_that_cannot_be_used_is_refused_before_anything_is_written() {
    let place = Place::new();
    for (arguments, expected) in [
        (
            &["--shard", "5/4", "--csv", "a.csv"][..],
            "write which part of how many",
        ),
        (&["--shard", "0/4", "--csv", "a.csv"], "write which part of how many"),
        (&["--shard", "1/4"], "--csv"),
        (&["--resume"], "--csv"),
        (&["--episodes", "0"], "allowed 1 to 1000000; choose one"),
        (&["--episodes", "many"], "not a whole number; allowed 1 to 1000000"),
        (&["--threads", "0"], "allowed 1 to 1024"),
        (
            &["--seed", "x"],
            "not a whole number; allowed 0 to 9007199254740992; write digits only",
        ),
        (&["--seed", "-1"], "choose one, such as 7"),
        (&["--seed", "1.5"], "choose one, such as 7"),
        (&["--csv", "-"], "rows are kept in a file"),
        (&["--csv", "little.toml"], "little.toml"),
        (&["--csv", "a.csv", "--plot", "a.csv"], "a.csv"),
        (&["--csv", "no/folder/a.csv"], "it can't be written"),
        (&["--merge", "a.csv", "--resume"], "cannot be used with"),
    ] {
        let message = place.refused(arguments);
        assert!(message.contains(expected), "{arguments:?}: {message}");
        assert!(!exists(&place.at("a.csv")), "{arguments:?}");
    }
    fs::write(place.at("little.toml"), "name = 1").unwrap();
    let message = place.refused(&[]);
    assert!(message.starts_with("./little.toml:1:"), "{message}");
    fs::remove_file(place.at("little.toml")).unwrap();
    let message = place.refused(&[]);
    assert!(message.contains("there is no such file"), "{message}");
}

#[test]
fn rows_of_something_else_are_never_gone_on_with() {
    let place = Place::new();
    place.json(&["--episodes", "1", "--csv", "rows.csv"]);
    let rows = place.read("rows.csv");
    for (arguments, expected) in [
        (
            &["--episodes", "1", "--csv", "rows.csv"][..],
            "there is something in it already",
        ),
        (
            &["--episodes", "2", "--csv", "rows.csv", "--resume"],
            "rows.csv:2:1: it is of study",
        ),
        (
            &["--episodes", "1", "--seed", "4", "--csv", "rows.csv", "--resume"],
            "rows.csv:2:1: it is of study",
        ),
        (
            &["--episodes", "1", "--shard", "2/2", "--csv", "rows.csv", "--resume"],
            "rows.csv:2:1: hidden engine 0 is not the next of this run; give the --shard it was made with",
        ),
    ] {
        let message = place.refused(arguments);
        assert!(message.contains(expected), "{arguments:?}: {message}");
        assert_eq!(place.read("rows.csv"), rows, "{arguments:?}");
    }
    fs::write(place.at("rows.csv"), "a,b\n1,2\n").unwrap();
    let message = place.refused(&["--csv", "rows.csv", "--resume"]);
    assert!(
        message.contains("rows.csv:1:1: the first line does not name the columns"),
        "{message}"
    );
    fs::write(place.at("rows.csv"), rows.replacen(",coach,", ",couch,", 1)).unwrap();
    let message = place.refused(&["--episodes", "1", "--csv", "rows.csv", "--resume"]);
    assert!(message.contains("rows.csv:2:1: `couch` is no strategy"), "{message}");
    fs::write(place.at("rows.csv"), b"\xff\xfe\n").unwrap();
    let message = place.refused(&["--csv", "rows.csv", "--resume"]);
    assert!(message.contains("rows.csv:1:1: no text"), "{message}");
}

#[test]
fn parts_that_make_no_whole_are_named() {
    let place = Place::new();
    for part in ["1/3", "2/3", "3/3"] {
        place.json(&["--csv", &format!("{}.csv", &part[..1]), "--shard", part]);
    }
    let message = place.refused(&["--merge", "1.csv", "3.csv"]);
    assert!(
        message.contains("2 of 6 hidden engines (1, 4) are in none of the files: part 2/3"),
        "{message}"
    );
    let message = place.refused(&["--merge", "1.csv", "2.csv", "3.csv", "./2.csv"]);
    assert!(
        message.contains("hidden engine 1 stands in both 2.csv and ./2.csv"),
        "{message}"
    );
    let whole = place.read("3.csv");
    fs::write(place.at("3.csv"), &whole[..whole.len() - 3]).unwrap();
    let message = place.refused(&["--merge", "1.csv", "2.csv", "3.csv"]);
    assert!(
        message.contains("3.csv: hidden engine 5 was not played by all"),
        "{message}"
    );
    let message = place.refused(&["--seed", "9", "--merge", "1.csv", "2.csv", "3.csv"]);
    assert!(message.contains("1.csv:2:1: it is of study"), "{message}");
    let message = place.refused(&["--merge", "1.csv", "none.csv"]);
    assert!(message.contains("none.csv: there is no such file"), "{message}");
    let message = place.refused(&["--merge", "1.csv", "--csv", "1.csv"]);
    assert!(message.contains("1.csv"), "{message}");
    assert_eq!(place.read("2.csv").lines().count(), 1 + 2 * 2 + 2);
}

#[test]
fn two_runs_never_write_to_one_file() {
    let place = Place::new();
    let held = fs::File::create(place.at("rows.csv")).unwrap();
    held.lock().unwrap();
    let message = place.refused(&["--csv", "rows.csv"]);
    assert!(message.contains("another run is writing to it"), "{message}");
    drop(held);
    place.json(&["--episodes", "1", "--csv", "rows.csv"]);
}

#[cfg(unix)]
#[test]
fn what_is_no_file_is_refused_and_a_full_one_ends_it_with_code_2() {
    let place = Place::new();
    let message = place.refused(&["--csv", "/dev/null"]);
    assert!(message.contains("/dev/null is no file"), "{message}");
    // Files may grow to a few blocks, and no further.
    let command = format!(
        "ulimit -f 2; exec '{}' compare ./little.toml --csv rows.csv",
        env!("CARGO_BIN_EXE_needlebench")
    );
    let mut shell = assert_cmd::Command::new("sh");
    let assert = shell.current_dir(place.at("")).args(["-c", &command]).assert().code(2);
    let message = String::from_utf8(assert.get_output().stderr.clone()).unwrap();
    assert!(
        message.contains("no more rows can be written") && message.contains("--resume goes on"),
        "{message}"
    );
    // What was written before is whole rows and perhaps the beginning of one, and goes on.
    assert!(place.read("rows.csv").lines().count() > 2);
    let went_on = place.json(&["--csv", "rows.csv", "--resume"]);
    assert_eq!(went_on, place.json(&["--csv", "whole.csv"]));
    assert_eq!(place.read("rows.csv"), place.read("whole.csv"));
}
