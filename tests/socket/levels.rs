//! A page gets nothing that its level hides, and no page gets what is hidden from all until the end.

use serde_json::{Value, json};
use tungstenite::Message;

use crate::served::Served;

/// Every key in a line, however deep.
fn keys(value: &Value, all: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                all.push(key.clone());
                keys(value, all);
            }
        }
        Value::Array(values) => values.iter().for_each(|value| keys(value, all)),
        _ => {}
    }
}

/// All keys and kinds of lines that a page gets while it plays a little of everything.
fn told(level: &str) -> Vec<String> {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (mut page, welcome) = served.begun(level);
    let mut all = Vec::new();
    keys(&welcome, &mut all);
    page.find("state", |state| state["running"] == true && state["doing"].is_null());
    for (n, actions) in (5..).zip([
        json!([{"do": "hold", "position": 1.0, "ms": 700}]),
        json!([{"do": "turn", "screw": "high", "turns": 0.125}]),
        json!([{"do": "gun"}]),
        json!([{"do": "plug"}]),
    ]) {
        page.send(&json!({"ask": "do", "actions": actions, "n": n}));
        let mut began = actions[0]["do"] == "turn";
        // Until it is done, and half a second more, in which what lies on the bench is told.
        let mut done_s = f64::INFINITY;
        loop {
            let Message::Text(line) = page.next().unwrap() else {
                continue;
            };
            let line: Value = serde_json::from_str(&line).unwrap();
            keys(&line, &mut all);
            if line["told"] != "state" || line["n"] != n {
                continue;
            }
            let clock_s = line["clock_s"].as_f64().unwrap();
            began |= !line["doing"].is_null();
            if began && line["doing"].is_null() {
                done_s = done_s.min(clock_s);
            }
            if clock_s > done_s + 0.5 {
                break;
            }
        }
    }
    all.sort_unstable();
    all.dedup();
    all
}

#[test]
fn by_ear_there_is_no_speed_and_no_hint_and_nobody_is_told_the_truth() {
    let [by_ear, assisted, guided] = std::thread::scope(|scope| {
        ["by-ear", "assisted", "guided"]
            .map(|level| scope.spawn(move || told(level)))
            .map(|playing| playing.join().unwrap())
    });
    let has = |keys: &[String], key: &str| keys.iter().any(|known| known == key);
    assert!(!has(&by_ear, "tachometer_rpm"), "{by_ear:?}");
    assert!(has(&assisted, "tachometer_rpm") && has(&guided, "tachometer_rpm"));
    assert!(has(&guided, "because") && !has(&assisted, "because") && !has(&by_ear, "because"));
    for keys in [&by_ear, &assisted, &guided] {
        for key in keys.iter() {
            for hidden in [
                "true",
                "truth",
                "start_turns",
                "hidden",
                "drawn",
                "fault",
                "equivalence",
                "phi",
                "film",
                "lean",
                "damage",
                "wear",
                "digest",
                "episode",
            ] {
                assert!(!key.contains(hidden), "{key}");
            }
        }
    }
    for speed in ["rpm", "speed", "frequency", "pitch"] {
        assert!(!by_ear.iter().any(|key| key.contains(speed)), "{speed}: {by_ear:?}");
    }
}
