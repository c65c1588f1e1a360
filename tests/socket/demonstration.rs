//! A demonstration from the side of its pages: each watches the recording from its beginning, is told the truth, and can do nothing to it.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde_json::json;
use tungstenite::Message;

use crate::served::{Page, Served};

/// A short practice, recorded.
fn recorded(home: &Path) -> PathBuf {
    let path = home.join("r.jsonl");
    let script = "start\nfull 3\nhigh in 1/8\nwait 3\nfull 1\nquit\n";
    assert_cmd::Command::cargo_bin("needlebench")
        .unwrap()
        .args(["practise", "lesson-1", "--seed", "3", "--record"])
        .arg(&path)
        .write_stdin(script)
        .assert()
        .code(1);
    path
}

fn begun(served: &Served) -> Page {
    let (mut page, welcome) = served.welcomed();
    assert!(
        welcome["dangers"].is_array() && welcome["scenarios"].is_null(),
        "{welcome}"
    );
    page.send(&json!({"ask": "begin", "n": 1}));
    page
}

#[test]
fn every_page_watches_it_from_the_beginning_with_its_sound_its_words_and_the_truth() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::demonstration(&recorded(home.path()), home.path());
    let ours = format!("127.0.0.1:{}", served.port);
    let shown = served.answer("/", &ours);
    assert!(
        shown.starts_with("HTTP/1.1 200") && shown.contains("What is true"),
        "{shown}"
    );
    for elsewhere in ["/listening", "/listening/room", "/progress", "/page.js"] {
        let answer = served.answer(elsewhere, &ours);
        assert!(answer.starts_with("HTTP/1.1 404"), "{elsewhere}: {answer}");
    }
    let mut page = begun(&served);
    page.send(&json!({"ask": "pace", "times": 4}));
    let truth = page.find("truth", |truth| truth["rpm"].as_f64() > Some(20_000.0));
    // Seven twelfths rich, as `replay` tells it of this seed.
    assert_eq!(
        (&truth["high"]["off"], &truth["high"]["stands"]),
        (&json!("7/12 turn rich"), &json!("rich"))
    );
    let phi = |end: &str, which: &str| truth[end][which].as_f64().unwrap();
    assert!(
        phi("high", "equivalence_ratio") > 1.05 * phi("high", "right"),
        "{truth}"
    );
    assert!(
        truth["metered"].as_f64() > Some(1.0) && truth["film_mg"].as_f64() > Some(0.1),
        "{truth}"
    );
    page.send(&json!({"ask": "pace", "times": 1}));
    page.find("bench", |bench| {
        bench["notebook"].to_string().contains("high in 1/8, now in 1/8")
    });
    page.find("truth", |truth| truth["high"]["off"] == "11/24 turn rich");
    let (mut samples, begun_at) = (0, Instant::now());
    while begun_at.elapsed() < Duration::from_secs(1) {
        if let Ok(Message::Binary(block)) = page.next() {
            samples += (block.len() - 12) / 2;
        }
    }
    assert!((5_000..12_000).contains(&samples), "{samples} in a second");
    // Another page has its own, and a cut line finds its place again.
    let mut late = begun(&served);
    let run = late.find("run", |run| run["begun"] == true);
    assert_eq!((&run["clock"], &run["over"]), (&json!("00:00"), &json!(false)));
    late.send(&json!({"ask": "pace", "times": 4}));
    let over = late.find("run", |run| run["over"] == true);
    assert!(over["verdict"].as_str().unwrap().starts_with("LEFT"), "{over}");
    late.send(&json!({"ask": "begin", "n": 2}));
    late.find("run", |run| run["over"] == false && run["begun"] == true);
}

#[test]
fn what_would_act_on_the_engine_is_not_understood_and_does_nothing() {
    let home = tempfile::tempdir().unwrap();
    let recording = recorded(home.path());
    let before = std::fs::read(&recording).unwrap();
    let served = Served::demonstration(&recording, home.path());
    let good = begun(&served).read_meanwhile();
    for (line, code, words) in [
        (r#"{"ask":"throttle","position":1.0,"n":2}"#, 1008, "not understood"),
        (
            r#"{"ask":"do","actions":[{"do":"turn","screw":"high","turns":-0.125}],"n":2}"#,
            1008,
            "not understood",
        ),
        (
            r#"{"ask":"do","actions":[{"do":"leave"}],"n":2}"#,
            1008,
            "not understood",
        ),
        (r#"{"ask":"skip","seconds":60}"#, 1008, "not understood"),
        (r#"{"ask":"note","text":"mine"}"#, 1008, "not understood"),
        (
            r#"{"ask":"prepare","scenario":"lesson-1","level":"by-ear"}"#,
            1008,
            "not understood",
        ),
        (r#"{"ask":"hear","setting":"clean"}"#, 1008, "not understood"),
        (r#"{"ask":"pace","times":1000}"#, 1008, "a pace is"),
        (r#"{"ask":"pace"}"#, 1008, "not understood"),
        (r#"{"ask":"pause","paused":"yes"}"#, 1008, "not understood"),
        ("{", 1008, "not understood"),
    ] {
        let (mut page, welcome) = served.welcomed();
        page.send(&json!({"ask": "begin", "n": 1}));
        page.find("state", |state| state["clock_s"].as_f64() > Some(0.0));
        page.send(&json!({"ask": "pause", "paused": true}));
        let at = page.find("state", |state| state["paused"] == true)["clock_s"].clone();
        page.socket.send(Message::text(line)).unwrap();
        let (closed, told) = page.closed();
        assert!(
            closed == code && told.contains(words) && told.len() <= 123,
            "{line}: {closed} {told}"
        );
        // Whoever sent it finds everything as it was: halted, the screws untouched.
        let mut again = served.come_back(&welcome);
        let state = again.until("state");
        assert_eq!(
            (&state["clock_s"], &state["paused"], &state["throttle"]),
            (&at, &json!(true), &json!(0.0)),
            "{line}"
        );
        again.finds_no_screw_turned();
        again.socket.close(None).unwrap();
    }
    assert!(served.open("evil.example", Some("http://evil.example")).is_err());
    // Nobody else has noticed, and the recording is as it was.
    good.back().find("state", |state| {
        state["running"] == true && state["clock_s"].as_f64() > Some(10.0)
    });
    assert_eq!(std::fs::read(&recording).unwrap(), before);
    // Nothing was recorded of it, either.
    assert!(!home.path().join("needlebench").exists());
}

#[test]
fn a_practice_has_no_other_pace_than_its_own() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (mut page, _) = served.begun("by-ear");
    page.send(&json!({"ask": "pace", "times": 4}));
    let (code, told) = page.closed();
    assert!(code == 1008 && told.contains("not understood"), "{code} {told}");
}
