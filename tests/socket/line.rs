//! Lines that are cut, and practices that go on.

use std::net::Shutdown;
use std::time::{Duration, Instant};

use serde_json::json;
use tungstenite::Message;

use crate::served::Served;

#[test]
fn a_cut_line_finds_its_practice_again_standing_still_where_it_was() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&[], home.path());
    let (mut page, welcome) = served.begun("by-ear");
    page.find("state", |state| state["running"] == true && state["doing"].is_null());
    page.send(&json!({"ask": "do", "n": 2, "actions": [{"do": "turn", "screw": "low", "turns": -0.125}]}));
    page.find("bench", |bench| bench["screws"][1]["turns"] == -0.125);
    let before = page.until("state")["clock_s"].as_f64().unwrap();
    // Without a word, as a dying network does it.
    page.socket.get_ref().shutdown(Shutdown::Both).unwrap();
    std::thread::sleep(Duration::from_secs(2));
    let mut again = served.come_back(&welcome);
    let greeted = again.until("welcome");
    assert_eq!(
        (&greeted["token"], &greeted["begun"]),
        (&welcome["token"], &json!(true))
    );
    let state = again.find("state", |state| state["running"] == true);
    let after = state["clock_s"].as_f64().unwrap();
    assert!(after - before < 1.5, "{before} to {after}: it stood still meanwhile");
    let bench = again.until("bench");
    assert_eq!(bench["screws"][1]["turns"], -0.125);
    again.find("state", |state| state["clock_s"].as_f64().unwrap() > after + 0.2);
    // A token of nobody's leads to a bench of its own.
    let mut other = served.page();
    other.send(&json!({"ask": "hello", "rate_hz": 8000, "token": "0".repeat(32)}));
    let other = other.until("welcome");
    assert!(other["token"] != welcome["token"] && other["begun"] == false);
}

#[test]
fn a_later_line_takes_the_place_of_one_that_hangs() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (mut hangs, welcome) = served.begun("by-ear");
    hangs.find("state", |state| state["running"] == true);
    let mut again = served.come_back(&welcome);
    let state = again.find("state", |state| state["running"] == true);
    let (code, words) = hangs.closed();
    assert!(code == 1001 && words.contains("another line"), "{code} {words}");
    let at = state["clock_s"].as_f64().unwrap();
    again.find("state", |state| state["clock_s"].as_f64().unwrap() > at + 0.5);
}

#[test]
fn sound_comes_at_the_pace_of_the_clock_and_answers_the_hand() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (mut page, _) = served.begun("by-ear");
    page.find("state", |state| state["running"] == true);
    let (mut samples, mut numbers, mut loud) = (0, Vec::new(), 0.0_f64);
    let begun = Instant::now();
    page.send(&json!({"ask": "throttle", "position": 1.0, "n": 9}));
    let mut answered = None;
    while begun.elapsed() < Duration::from_secs(3) {
        let Ok(Message::Binary(block)) = page.next() else {
            continue;
        };
        let word = |at: usize| u32::from_le_bytes(block[at..at + 4].try_into().unwrap());
        numbers.push(word(0));
        if word(4) == 9 {
            answered.get_or_insert(begun.elapsed());
        }
        assert_eq!(word(8), 1, "more follows while it runs");
        for pair in block[12..].chunks(2) {
            let sample = f64::from(i16::from_le_bytes([pair[0], pair[1]])) / 32768.0;
            loud = loud.max(sample.abs());
            samples += 1;
        }
    }
    assert!(
        numbers.windows(2).all(|pair| pair[1] == pair[0] + 1),
        "no block is lost"
    );
    let seconds = f64::from(samples) / 8000.0;
    assert!((2.5..3.5).contains(&seconds), "{seconds} s of sound in 3");
    assert!(loud > 0.02, "{loud}");
    assert!(answered.unwrap() < Duration::from_millis(500), "{answered:?}");
}

#[cfg(target_os = "linux")]
#[test]
fn an_engine_at_full_speed_takes_less_than_a_tenth_of_a_core() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (mut page, _) = served.welcomed_at(48_000);
    page.send(&json!({"ask": "prepare", "scenario": "lesson-1", "level": "assisted"}));
    page.until("card");
    page.send(&json!({"ask": "begin", "n": 1}));
    page.find("state", |state| state["running"] == true && state["doing"].is_null());
    page.send(&json!({"ask": "throttle", "position": 1.0, "n": 2}));
    page.find("state", |state| state["tachometer_rpm"].as_f64() > Some(30_000.0));
    let (before_s, begun) = (served.spent_s().unwrap(), Instant::now());
    while begun.elapsed() < Duration::from_secs(3) {
        page.until("state");
    }
    let share = (served.spent_s().unwrap() - before_s) / begun.elapsed().as_secs_f64();
    println!("{:.1} % of a core", 100.0 * share);
    assert!(share < 0.1, "{share}");
}

#[cfg(unix)]
#[test]
fn a_closed_page_and_the_end_of_the_program_leave_whole_recordings() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&[], home.path());
    let (mut closed, _) = served.begun("by-ear");
    closed.find("state", |state| state["running"] == true);
    closed.socket.close(None).unwrap();
    let (mut goes_on, _) = served.begun("guided");
    goes_on.find("state", |state| state["running"] == true);
    let code = {
        let waits = std::thread::spawn(move || goes_on.closed());
        let code = served.end();
        let (told, words) = waits.join().unwrap();
        assert!(told == 1001 && words.contains("ended"), "{told} {words}");
        code
    };
    assert_eq!(code, 130);
    let folder = home.path().join("needlebench/practices");
    let recordings: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert_eq!(recordings.len(), 2);
    for recording in recordings {
        let replayed = assert_cmd::Command::cargo_bin("needlebench")
            .unwrap()
            .arg("replay")
            .arg(&recording)
            .output()
            .unwrap();
        let shown = String::from_utf8_lossy(&replayed.stdout).into_owned();
        assert!(
            replayed.status.success() && shown.contains("> start") && shown.contains("LEFT"),
            "{shown}"
        );
    }
}

#[test]
fn a_port_in_use_is_told_with_the_remedy() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&[], home.path());
    let refused = assert_cmd::Command::cargo_bin("needlebench")
        .unwrap()
        .args(["practise", "--no-open", "--port", &served.port.to_string()])
        .timeout(Duration::from_secs(20))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        said.contains("--port") && said.contains(&served.port.to_string()) && said.contains("leave --port out"),
        "{said}"
    );
    assert!(refused.stdout.is_empty());
}

#[cfg(unix)]
#[test]
fn a_disk_that_is_full_is_told_and_the_practice_goes_on() {
    let home = tempfile::tempdir().unwrap();
    // Files may have a kilobyte: the header and little more.
    let served = Served::start_by("ulimit -f 1; exec", &[], home.path());
    let (mut page, _) = served.begun("by-ear");
    page.find("state", |state| state["running"] == true && state["doing"].is_null());
    let text = "a remark of some length, to fill the disk with".repeat(4);
    for _ in 0..10 {
        page.send(&json!({"ask": "note", "text": text}));
    }
    let trouble = page.until("trouble");
    let told = trouble["text"].as_str().unwrap();
    assert!(told.contains("recording stopped") && told.contains("goes on"), "{told}");
    page.send(&json!({"ask": "throttle", "position": 1.0, "n": 5}));
    page.find("state", |state| state["throttle"] == 1.0 && state["n"] == 5);
    drop(page);
    assert_eq!(served.end(), 2, "and the exit code says so");
}

#[test]
fn a_recording_that_is_there_already_is_refused_before_anything_is_served() {
    let home = tempfile::tempdir().unwrap();
    let there = home.path().join("r.jsonl");
    std::fs::write(&there, "kept").unwrap();
    let refused = assert_cmd::Command::cargo_bin("needlebench")
        .unwrap()
        .args(["practise", "--no-open", "--record"])
        .arg(&there)
        .timeout(Duration::from_secs(20))
        .output()
        .unwrap();
    assert_eq!((refused.status.code(), refused.stdout.len()), (Some(2), 0));
    assert_eq!(std::fs::read_to_string(&there).unwrap(), "kept");
}

#[test]
fn the_first_practice_takes_the_file_that_was_named_and_later_ones_the_folder() {
    let home = tempfile::tempdir().unwrap();
    let named = home.path().join("r.jsonl");
    let served = Served::start(&["--record", named.to_str().unwrap()], home.path());
    let recorded =
        |page: &mut crate::served::Page| page.find("card", |card| !card["recorded"].is_null())["recorded"].clone();
    let (mut first, _) = served.begun("by-ear");
    assert_eq!(recorded(&mut first), named.to_str().unwrap());
    let (mut second, _) = served.begun("by-ear");
    assert!(recorded(&mut second).as_str().unwrap().contains("practices"));
}
