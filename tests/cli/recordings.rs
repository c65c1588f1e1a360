//! Recordings as files: they carry what they rest on, may be as long as they like, tell nothing hidden before the end, and show where
//! somebody changed them. The learner's curve counts each practice once, and tells apart what is not alike.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use needlebench::digest::Digest;
use serde_json::Value;

use super::{file, listing, needlebench};

/// Records a practice of `script`; the recording's path and text.
fn recorded(folder: &Path, name: &str, arguments: &[&str], script: &str) -> (String, String) {
    let path = folder.join(name).to_string_lossy().into_owned();
    let output = needlebench(&[&["practise"], arguments, &["--record", &path]].concat())
        .current_dir(folder)
        .write_stdin(script)
        .output()
        .unwrap();
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
    let text = fs::read_to_string(&path).unwrap();
    (path, text)
}

/// Exit code, standard output and standard error.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = needlebench(arguments).current_dir(folder).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

#[test]
fn own_scenario_engine_fuel_and_plug_travel_inside() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let model = |name: &str| run(at, &["models", "show", name, "--toml"]).1;
    let engine = model("offroad-3.5")
        .replacen("\"race-25\"", "\"./first.toml\"", 1)
        .replacen("displacement_cm3 = 3.5", "displacement_cm3 = 3.52", 1);
    file(at, "engine.toml", engine.as_bytes());
    file(at, "first.toml", model("race-25").as_bytes());
    file(at, "second.toml", model("race-20").as_bytes());
    file(at, "plug.toml", model("medium").as_bytes());
    let scenario = model("lesson-1")
        .replacen("\"offroad-3.5\"", "\"./engine.toml\"", 1)
        .replacen("\"race-25\"", "\"./second.toml\"", 1)
        .replacen("\"medium\"", "\"./plug.toml\"", 1);
    file(at, "mine.toml", scenario.as_bytes());
    let script = "start\nfull 2\nhigh in 1/8\nwarm\nfull 3\nwait 10.5\nfull 1.5\nroll-on\nsign off\n";
    let (path, _) = recorded(at, "r.jsonl", &["mine.toml", "--seed", "3"], script);
    // Elsewhere, with all of them gone.
    let there = tempfile::tempdir().unwrap();
    for name in ["mine.toml", "engine.toml", "first.toml", "second.toml", "plug.toml"] {
        fs::remove_file(at.join(name)).unwrap();
    }
    let (code, out, said) = run(there.path(), &["replay", &path, "--record", "again.jsonl"]);
    assert_eq!((code, said.as_str()), (0, ""));
    assert!(out.contains("engine ./engine.toml") && out.contains("The screws"));
    assert_eq!(
        fs::read(there.path().join("again.jsonl")).unwrap(),
        fs::read(&path).unwrap()
    );
    // And what a scenario names has to be there when it is read.
    file(at, "mine.toml", scenario.as_bytes());
    let (code, _, said) = run(at, &["models", "validate", "mine.toml"]);
    assert!(
        code == 2 && said.contains("./engine.toml: there is no such file"),
        "{said}"
    );
}

#[test]
fn a_recording_longer_than_any_model_is_replayed() {
    let folder = tempfile::tempdir().unwrap();
    let script = format!("note {}\n", "\"loud\" ".repeat(400)).repeat(400) + "quit\n";
    let (path, text) = recorded(folder.path(), "r.jsonl", &["--seed", "3"], &script);
    assert!(text.len() > 1 << 20, "{}", text.len());
    let (code, _, said) = run(folder.path(), &["replay", &path]);
    assert_eq!((code, said.as_str()), (0, ""));
}

#[test]
fn a_practice_that_still_runs_tells_nothing_hidden() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let script = "start\nwarm\ngun\nhigh in 1/8\njudge low rich 60\nquit\n";
    let (_, text) = recorded(at, "whole.jsonl", &["--level", "by-ear", "--seed", "3"], script);
    let all = lines(&text);
    assert!(all.last().unwrap().starts_with("{\"end\":"));
    let running = file(at, "running.jsonl", all[..all.len() - 2].concat().as_bytes());
    let (code, out, said) = run(at, &["replay", &running]);
    assert_eq!(code, 0);
    assert!(said.starts_with("the practice still runs"), "{said}");
    assert!(
        out.contains("> high in") && out.contains("what is hidden stays hidden"),
        "{out}"
    );
    for hidden in [
        "true setting",
        "in the jug",
        "Par",
        "first turn",
        "Brier",
        "too lean",
        "rpm",
    ] {
        assert!(!out.contains(hidden), "{hidden}: {out}");
    }
    let (code, out, said) = run(at, &["progress", &running, "--json"]);
    assert!(code == 1 && out.contains("\"practices\": []"), "{out}");
    assert!(said.contains("running.jsonl: left out: it still runs"), "{said}");
    // With its end there is all of it.
    let (code, out, _) = run(at, &["replay", "whole.jsonl"]);
    assert!(code == 0 && out.contains("true setting") && out.contains("in the jug"));
}

#[test]
fn a_line_left_out_doubled_or_edited_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let script = "start\nhigh in 1/24\nhigh in 1/24\ngun\nnote loud\nlow out 1/8\nquit\n";
    let (_, text) = recorded(at, "r.jsonl", &["--seed", "3"], script);
    let all = lines(&text);
    let edited = all[2].replacen("-0.041666666666666664", "-0.08333333333333333", 1);
    for (changed, line) in [
        ([&all[..3], &all[4..]].concat(), 4),
        ([&all[..4], &all[3..]].concat(), 5),
        ([&all[..2], &[edited.as_str()], &all[3..]].concat(), 3),
        // The remark changes nothing of the engine.
        ([&all[..5], &all[6..]].concat(), 6),
        ([&all[..6], &all[5..]].concat(), 7),
    ] {
        let path = file(at, "changed.jsonl", changed.concat().as_bytes());
        let (code, out, said) = run(at, &["replay", &path]);
        assert_eq!(code, 1);
        assert!(
            said.starts_with(&format!("{path}:{line}:1: this line does not follow")),
            "{line}: {said}"
        );
        assert!(!out.contains("true setting"), "replayed as far as it is true");
        let (code, _, said) = run(at, &["progress", &path]);
        assert!(code == 1 && said.contains(&format!("left out: line {line} ")), "{said}");
    }
}

#[test]
fn a_number_that_no_practice_writes_is_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let (_, text) = recorded(at, "r.jsonl", &["--seed", "3"], "start\nwait 5\nquit\n");
    let all = lines(&text);
    let pass = "{\"pass\":{\"ms\":4294967295,\"state\":\"0123456789abcdef\"},\"link\":\"0123456789abcdef\"}\n";
    let path = file(at, "long.jsonl", [&all[..2], &[pass]].concat().concat().as_bytes());
    let begun = Instant::now();
    let (code, out, said) = run(at, &["replay", &path]);
    assert!(begun.elapsed() < Duration::from_secs(5), "{:?}", begun.elapsed());
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(
        said.contains("long.jsonl:3:1: ") && said.contains("allowed 1 to 1000"),
        "{said}"
    );
}

/// The same recording with its first line changed and all its links made right.
pub fn rewritten(text: &str, change: impl Fn(&str) -> String) -> String {
    let mut link = 0;
    let mut out = String::new();
    for (index, line) in text.lines().enumerate() {
        let open = line.rsplit_once(",\"link\":").unwrap().0;
        let open = if index == 0 { change(open) } else { open.to_string() };
        let mut digest = Digest::from(link);
        digest.text(&open);
        link = digest.value();
        out += &format!("{open},\"link\":\"{link:016x}\"}}\n");
    }
    out
}

#[test]
fn the_curve_counts_each_practice_once_in_its_own_order_and_place() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let practised = |name: &str, level: &str, seed: &str, begun: u64| {
        let script = "high in 1/8\nquit\n";
        let (_, text) = recorded(at, "one.jsonl", &["--level", level, "--seed", seed], script);
        assert_eq!(rewritten(&text, str::to_string), text, "the links are made as they are");
        fs::remove_file(at.join("one.jsonl")).unwrap();
        let text = rewritten(&text, |header| {
            let (before, after) = header.split_once("\"begun_unix_ms\":").unwrap();
            let rest = after.split_once(',').unwrap().1;
            format!("{before}\"begun_unix_ms\":{begun},{rest}")
        });
        file(at, name, text.as_bytes());
        text
    };
    // By name and by the files' own times the other way round.
    practised("d.jsonl", "by-ear", "1", 1000);
    practised("c.jsonl", "by-ear", "2", 2000);
    let again = practised("b.jsonl", "by-ear", "1", 3000);
    let guided = practised("a.jsonl", "guided", "3", 4000);
    file(at, "copy.jsonl", again.as_bytes());
    file(
        at,
        "old.jsonl",
        rewritten(&guided, |h| h.replacen("\"model\":\"", "\"model\":\"x", 1)).as_bytes(),
    );
    file(at, "edited.jsonl", guided.replacen("-0.125", "-0.25", 1).as_bytes());
    let names = ["a", "b", "c", "d", "copy", "old", "edited"].map(|name| format!("{name}.jsonl"));
    let files: Vec<&str> = names.iter().map(String::as_str).collect();
    let (code, out, said) = run(at, &[&["progress", "--json"], files.as_slice()].concat());
    assert_eq!(code, 0, "{said}");
    let progress: Value = serde_json::from_str(&out).unwrap();
    let curve = progress["practices"].as_array().unwrap();
    let told: Vec<(u64, &str, bool)> = curve
        .iter()
        .map(|p| {
            (
                p["seed"].as_u64().unwrap(),
                p["level"].as_str().unwrap(),
                p["again"].as_bool().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            (1, "by-ear", false),
            (2, "by-ear", false),
            (1, "by-ear", true),
            (3, "guided", false)
        ]
    );
    for (name, reason) in [
        ("copy.jsonl", "left out: the same practice as b.jsonl"),
        (
            "old.jsonl",
            "left out: practised with other models than today's; `--other-models`",
        ),
        ("edited.jsonl", "left out: line 2 does not follow"),
    ] {
        assert!(said.contains(&format!("{name}: {reason}")), "{said}");
    }
    assert_eq!(said.lines().count(), 3, "{said}");
    let (_, out, said) = run(at, &[&["progress", "--other-models"], files.as_slice()].concat());
    assert!(!said.contains("old.jsonl"));
    for line in [
        "guided: clean 0 of 1; first turns",
        "by-ear: clean 0 of 2; first turns",
        "the same seed again: clean 0 of 2; first turns",
    ] {
        assert!(out.contains(line), "{out}");
    }
}

#[test]
fn the_curve_reads_and_replays_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let (_, text) = recorded(
        at,
        "r0.jsonl",
        &["--seed", "3"],
        "start\nwarm\nlaps 3\nhigh in 1/8\nquit\n",
    );
    for copy in 1..100 {
        file(at, &format!("r{copy}.jsonl"), text.as_bytes());
    }
    let names: Vec<String> = listing(at).into_iter().collect();
    let files: Vec<&str> = names.iter().map(String::as_str).collect();
    let begun = Instant::now();
    let (code, _, said) = run(at, &[&["progress"], files.as_slice()].concat());
    let each = begun.elapsed() / 100;
    assert_eq!((code, said.lines().count()), (0, 99));
    assert!(each < Duration::from_millis(20), "{each:?} for each recording");
}
