//! The listening room from the side of whoever means it no good, and of a page that asks and answers; what is kept of it, and what is in the
//! way of keeping it.

use std::io::{Read, Write};
use std::path::Path;
use std::time::Instant;

use serde_json::{Value, json};

use crate::served::Served;

/// Status and body of what is answered.
fn exchanged(served: &Served, head: &str, body: &[u8]) -> (u16, Vec<u8>) {
    let mut stream = served.connect();
    write!(
        stream,
        "{head}Connection: close\r\nContent-Length: {}\r\n\r\n",
        body.len()
    )
    .unwrap();
    // Whoever is refused for what the head says may find the line closed.
    let _ = stream.write_all(body);
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    let end = answer
        .windows(4)
        .position(|four| four == b"\r\n\r\n")
        .unwrap_or_else(|| panic!("no head: {:?}", String::from_utf8_lossy(&answer)));
    let status = String::from_utf8_lossy(&answer[9..12]).parse().unwrap();
    (status, answer.split_off(end + 4))
}

/// Posted by a page of ours.
fn posted(served: &Served, path: &str, body: &Value) -> (u16, Vec<u8>) {
    let host = format!("127.0.0.1:{}", served.port);
    let head = format!("POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n");
    exchanged(served, &head, body.to_string().as_bytes())
}

fn room(served: &Served) -> Value {
    let head = format!("GET /listening/room HTTP/1.1\r\nHost: localhost:{}\r\n", served.port);
    let (status, body) = exchanged(served, &head, b"");
    assert_eq!(status, 200);
    serde_json::from_slice(&body).unwrap()
}

fn ask(drill: &str) -> Value {
    json!({"engine": "offroad-3.5", "drill": drill, "rate_hz": 8000})
}

/// The words that come with sound, and its files.
fn parted(bytes: &[u8]) -> (Value, &[u8]) {
    let length = u32::from_le_bytes(bytes[..4].try_into().unwrap()) as usize;
    (
        serde_json::from_slice(&bytes[4..4 + length]).unwrap(),
        &bytes[4 + length..],
    )
}

fn asked(served: &Served, drill: &str) -> String {
    let (status, bytes) = posted(served, "/listening/question", &ask(drill));
    assert_eq!(status, 200, "{}", String::from_utf8_lossy(&bytes));
    parted(&bytes).0["question"].as_str().unwrap().to_string()
}

fn answered(served: &Served, question: &str, answer: &str) -> Value {
    let (status, body) = posted(
        served,
        "/listening/answer",
        &json!({"question": question, "answer": answer}),
    );
    assert_eq!(status, 200, "{}", String::from_utf8_lossy(&body));
    serde_json::from_slice(&body).unwrap()
}

fn of<'a>(told: &'a Value, drill: &str) -> &'a Value {
    let lines = told["standing"].as_array().unwrap();
    lines.iter().find(|line| line["drill"] == drill).unwrap()
}

#[test]
fn only_our_own_page_may_ask_and_only_little() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let host = format!("127.0.0.1:{}", served.port);
    let body = ask("high-half").to_string();
    for path in ["/listening/question", "/listening/step", "/listening/answer"] {
        for origin in [
            String::new(),
            "Origin: null\r\n".to_string(),
            "Origin: http://evil.example\r\n".to_string(),
            format!("Origin: https://{host}\r\n"),
            format!("Origin: http://{host}.evil.example\r\n"),
            format!("Origin: http://{host}\r\nOrigin: http://{host}\r\n"),
        ] {
            let head = format!("POST {path} HTTP/1.1\r\nHost: {host}\r\n{origin}");
            assert_eq!(exchanged(&served, &head, body.as_bytes()).0, 403, "{path} {origin}");
        }
        let head = format!("POST {path} HTTP/1.1\r\nHost: evil.example\r\nOrigin: http://evil.example\r\n");
        assert_eq!(exchanged(&served, &head, body.as_bytes()).0, 421, "{path}");
        let head = format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n");
        assert_eq!(exchanged(&served, &head, b"").0, 405, "{path}");
        let head = format!("POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n");
        for large in [513, 2_000_000] {
            assert_eq!(exchanged(&served, &head, &vec![b' '; large]).0, 413, "{path} {large}");
        }
        for body in [&b"{"[..], b"", b"[]", b"\xff\xfe", b"{\"engine\":1e999}"] {
            assert_eq!(exchanged(&served, &head, body).0, 400, "{path} {body:?}");
        }
    }
    assert_eq!(of(&room(&served), "high-half")["asked"], 0);
    let head = "GET /listening/room HTTP/1.1\r\nHost: evil.example\r\n";
    assert_eq!(exchanged(&served, head, b"").0, 421);
    let page = served.answer("/listening", &host);
    assert!(
        page.starts_with("HTTP/1.1 200") && page.contains("content-security-policy: default-src 'self';"),
        "{page}"
    );
}

#[test]
fn what_there_is_none_of_is_refused_in_words() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let step = |change: &dyn Fn(&mut Value)| {
        let mut step = json!({"engine": "offroad-3.5", "screw": "high", "at": "half", "clicks": 3, "rate_hz": 8000});
        change(&mut step);
        step
    };
    for (path, body, words) in [
        ("question", ask("whistling"), "not understood"),
        (
            "question",
            json!({"engine": "/etc/passwd", "rate_hz": 8000}),
            "offroad-3.5",
        ),
        (
            "question",
            json!({"engine": "offroad-3.5", "rate_hz": 1}),
            "from 8000 to 48000",
        ),
        (
            "question",
            json!({"engine": "offroad-3.5", "rate_hz": 8000, "seed": 1}),
            "not understood",
        ),
        ("step", step(&|step| step["clicks"] = json!(5)), "clicks is one of"),
        ("step", step(&|step| step["screw"] = json!("idle")), "clicks is one of"),
        ("step", step(&|step| step["at"] = json!("reverse")), "not understood"),
        ("answer", json!({"question": "1", "answer": "maybe"}), "not understood"),
    ] {
        let (status, told) = posted(&served, &format!("/listening/{path}"), &body);
        let told = String::from_utf8_lossy(&told).into_owned();
        assert!(status == 400 && told.contains(words), "{path} {body}: {status} {told}");
    }
    let (status, bytes) = posted(&served, "/listening/step", &step(&|_| {}));
    let (words, files) = parted(&bytes);
    assert_eq!(status, 200);
    assert_eq!(words["words"], "High-speed needle 1/8 turn richer, half throttle");
    assert_eq!(words["bytes"], json!([files.len()]));
    assert_eq!(&files[..4], b"RIFF");
}

#[test]
fn a_question_is_answered_once_and_what_is_true_comes_after() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&[], home.path());
    let none = json!({"question": "00", "answer": "first"});
    assert_eq!(posted(&served, "/listening/answer", &none).0, 404);
    let begun = Instant::now();
    let (_, bytes) = posted(&served, "/listening/question", &ask("high-half"));
    println!("a pair is there after {:?}", begun.elapsed());
    let (words, files) = parted(&bytes);
    let keys: Vec<&String> = words.as_object().unwrap().keys().collect();
    assert_eq!(keys, ["answers", "bytes", "drill", "question", "words"]);
    assert_eq!(
        words["answers"],
        json!([{"answer": "first", "words": "A is leaner"}, {"answer": "second", "words": "B is leaner"}])
    );
    let lengths: Vec<usize> = serde_json::from_value(words["bytes"].clone()).unwrap();
    assert!(lengths.len() == 2 && lengths[0] == lengths[1] && lengths.iter().sum::<usize>() == files.len());
    let id = words["question"].as_str().unwrap();
    assert_eq!(id.len(), 32);
    let lean = json!({"question": id, "answer": "lean"});
    assert_eq!(posted(&served, "/listening/answer", &lean).0, 400);
    let verdict = answered(&served, id, "first");
    assert_eq!(verdict["right"], verdict["was"] == "first");
    assert_eq!(of(&verdict, "high-half")["asked"], 1);
    let again = json!({"question": id, "answer": verdict["was"]});
    assert_eq!(posted(&served, "/listening/answer", &again).0, 409);
    assert_eq!(of(&room(&served), "high-half")["asked"], 1);
    // It is kept, a line each, and counts the next time.
    let kept = std::fs::read_to_string(home.path().join("needlebench/listening.jsonl")).unwrap();
    let line: Value = serde_json::from_str(kept.trim_end()).unwrap();
    assert_eq!((kept.lines().count(), kept.ends_with('\n')), (1, true));
    assert_eq!(
        (&line["drill"], &line["right"]),
        (&json!("high-half"), &verdict["right"])
    );
    assert!(line["unix_ms"].as_u64().unwrap() > 1_700_000_000_000);
    drop(served);
    let served = Served::start(&[], home.path());
    assert_eq!(of(&room(&served), "high-half")["asked"], 1);
    assert_eq!(room(&served)["trouble"], Value::Null);
}

#[test]
fn two_pages_are_never_asked_the_same() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (one, other) = (asked(&served, "high-half"), asked(&served, "high-half"));
    assert_ne!(one, other);
    answered(&served, &other, "first");
    answered(&served, &one, "first");
    assert_eq!(of(&room(&served), "high-half")["asked"], 2);
    assert!(
        !home.path().join("needlebench/listening.jsonl").exists(),
        "nothing is kept with --no-record"
    );
}

fn damaged(home: &Path, text: &str) {
    std::fs::create_dir_all(home.join("needlebench")).unwrap();
    std::fs::write(home.join("needlebench/listening.jsonl"), text).unwrap();
}

#[test]
fn damaged_answers_are_passed_over_and_told() {
    let home = tempfile::tempdir().unwrap();
    let good = r#"{"unix_ms":5,"engine":"offroad-3.5","drill":"low-idle","step_clicks":12,"right":true}"#;
    damaged(
        home.path(),
        &format!("{good}\n{}\n{good}\n{}", &good[..40], &good[..20]),
    );
    let served = Served::start(&[], home.path());
    let told = room(&served);
    assert_eq!(
        (&of(&told, "low-idle")["asked"], &of(&told, "low-idle")["step_clicks"]),
        (&json!(2), &json!(9))
    );
    let trouble = told["trouble"].as_str().unwrap();
    assert!(
        trouble.contains("listening.jsonl:2:1: ") && trouble.contains("2 such line(s)"),
        "{trouble}"
    );
    answered(&served, &asked(&served, "low-idle"), "first");
    let text = std::fs::read_to_string(home.path().join("needlebench/listening.jsonl")).unwrap();
    assert!(
        text.starts_with(&format!("{good}\n{}\n{good}\n{}\n{{", &good[..40], &good[..20])),
        "{text}"
    );
}

#[cfg(unix)]
#[test]
fn a_disk_that_is_full_is_told_and_listening_goes_on() {
    let home = tempfile::tempdir().unwrap();
    // A file of blocks of 512 bytes is as long as it may be.
    let good = r#"{"unix_ms":5,"engine":"offroad-3.5","drill":"low-idle","step_clicks":12,"right":true}"#;
    let mut text = format!("{good}\n").repeat(5);
    text += &" ".repeat(511 - text.len());
    text += "\n";
    damaged(home.path(), &text);
    let served = Served::start_by("ulimit -f 1; exec", &[], home.path());
    assert_eq!(of(&room(&served), "low-idle")["asked"], 5);
    for number in 1..3 {
        let verdict = answered(&served, &asked(&served, "high-half"), "first");
        assert_eq!(of(&verdict, "high-half")["asked"], number);
        let trouble = verdict["trouble"].as_str().unwrap();
        assert!(
            trouble.contains("listening.jsonl: the answer could not be kept"),
            "{trouble}"
        );
    }
    let after = std::fs::read_to_string(home.path().join("needlebench/listening.jsonl")).unwrap();
    assert!(after == text, "half a line stays: {after}");
}
