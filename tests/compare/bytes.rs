//! The same study is the same bytes: run again, on one thread, broken off and gone on with, and in parts put together.

use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{LITTLE, Place, exists, lines};

/// Practices of the little study, and the line that names the columns: three hidden engines of two situations by two skills, one way on
/// all of them and one on the first.
const LINES: usize = 1 + 2 * 2 * (3 + 1);

#[test]
fn however_it_is_run_it_comes_to_the_same() {
    let place = Place::new();
    let whole = place.json(&["--csv", "whole.csv", "--threads", "2"]);
    assert_eq!(lines(&place.read("whole.csv")), LINES);
    let again = place.json(&["--csv", "again.csv", "--threads", "1"]);
    assert_eq!(again, whole);
    assert_eq!(place.read("again.csv"), place.read("whole.csv"));
    // Cut anywhere: in a row, between engines, within an engine, before the columns are named.
    let text = place.read("whole.csv");
    for cut in [10, text.len() / 3, text.len() / 2, text.len() - 1, text.len()] {
        fs::write(place.at("cut.csv"), &text[..cut]).unwrap();
        assert_eq!(place.json(&["--csv", "cut.csv", "--resume"]), whole, "cut at {cut}");
        assert_eq!(place.read("cut.csv"), text, "cut at {cut}");
    }
    for part in ["1/4", "2/4", "3/4", "4/4"] {
        place.json(&["--csv", &format!("{}.csv", &part[..1]), "--shard", part]);
    }
    let parts = ["--merge", "3.csv", "1.csv", "4.csv", "2.csv"];
    assert_eq!(place.json(&[&parts[..], &["--csv", "merged.csv"]].concat()), whole);
    assert_eq!(place.read("merged.csv"), text);
    // And the words and the picture are made of nothing else.
    let said = |arguments: &[&str]| place.compare(arguments).assert().success().get_output().stdout.clone();
    assert_eq!(
        said(&["--merge", "whole.csv", "--plot", "one.svg"]),
        said(&[&parts[..], &["--plot", "other.svg"]].concat())
    );
    assert_eq!(place.read("one.svg"), place.read("other.svg"));
}

/// Starts a run and waits until some rows are there.
#[cfg(unix)]
fn under_way(place: &Place, episodes: &str) -> std::process::Child {
    let child = Command::new(env!("CARGO_BIN_EXE_needlebench"))
        .current_dir(place.at(""))
        .args([
            "compare",
            "./little.toml",
            "--threads",
            "1",
            "--episodes",
            episodes,
            "--csv",
            "killed.csv",
        ])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let began = Instant::now();
    while !exists(&place.at("killed.csv")) || lines(&place.read("killed.csv")) < 4 {
        assert!(began.elapsed() < Duration::from_secs(120), "nothing is played");
        std::thread::sleep(Duration::from_millis(5));
    }
    child
}

#[cfg(unix)]
#[test]
fn killed_it_goes_on_as_if_nothing_had_been() {
    let place = Place::new();
    let mut child = under_way(&place, "16");
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(
        lines(&place.read("killed.csv")) < 1 + 2 * 2 * (16 + 1),
        "it was over already"
    );
    let went_on = place.json(&["--episodes", "16", "--csv", "killed.csv", "--resume"]);
    let whole = place.json(&["--episodes", "16", "--csv", "whole.csv"]);
    assert_eq!(went_on, whole);
    assert_eq!(place.read("killed.csv"), place.read("whole.csv"));
}

#[cfg(unix)]
#[test]
fn interrupted_it_tells_what_is_done_and_keeps_it() {
    let place = Place::new();
    let child = under_way(&place, "200");
    let killed = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .unwrap();
    assert!(killed.success());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
    let (said, told) = [output.stdout, output.stderr]
        .map(|bytes| String::from_utf8(bytes).unwrap())
        .into();
    assert!(
        said.contains("coach") && told.contains("--resume goes on"),
        "{said}{told}"
    );
    // Only whole rows, and it goes on from them.
    let kept = place.read("killed.csv");
    assert!(kept.ends_with('\n'));
    let refused = place.refused(&["--episodes", "200", "--csv", "killed.csv"]);
    assert!(refused.contains("--resume goes on"), "{refused}");
}

#[test]
fn it_stops_where_the_best_is_told_apart_and_nowhere_else() {
    let place = Place::new();
    let text = LITTLE
        .replace("label = \"seldom\"\nepisodes = 1", "label = \"careless\"")
        .replace(
            "name = \"coach\"\nlabel = \"careless\"",
            "name = \"careless-leaner\"\nlabel = \"careless\"",
        )
        .replace("than = \"seldom\"", "than = \"careless\"")
        .replace("[\"beginner\", \"club\"]", "[\"club\"]");
    std::fs::write(place.at("little.toml"), text).unwrap();
    let early = place.json(&["--episodes", "40", "--stop-early", "--csv", "early.csv"]);
    assert_eq!(early["races"][0]["best"], "coach");
    let after = early["races"][0]["observations"].as_u64().unwrap();
    assert!((5..40).contains(&after), "{after}");
    assert_eq!(early["engines"], 2 * after);
    // Gone on with, it stays there; one hidden engine of each situation less, and nothing was told.
    assert_eq!(
        place.json(&["--episodes", "40", "--stop-early", "--csv", "early.csv", "--resume"]),
        early
    );
    let text = place.read("early.csv");
    let kept: Vec<&str> = text.split_inclusive('\n').collect();
    std::fs::write(place.at("less.csv"), kept[..kept.len() - 4].concat()).unwrap();
    let less = place.json(&[
        "--episodes",
        "40",
        "--stop-early",
        "--csv",
        "less.csv",
        "--resume",
        "--threads",
        "1",
    ]);
    assert_eq!(less, early);
    assert_eq!(place.read("less.csv"), text);
}
