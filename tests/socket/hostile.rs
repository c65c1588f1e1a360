//! Foreign names, and what no page of ours would send.

use std::io::{Read, Write};
use std::time::{Duration, Instant};

use serde_json::json;
use tungstenite::Message;
use tungstenite::protocol::frame::coding::{Data, OpCode};
use tungstenite::protocol::frame::{Frame, FrameHeader};

use crate::served::Served;

#[test]
fn only_our_own_name_is_answered_and_only_our_own_page_gets_a_socket() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&[], home.path());
    let port = served.port;
    let ours = format!("127.0.0.1:{port}");
    let page = served.answer("/", &ours);
    assert!(
        page.starts_with("HTTP/1.1 200") && page.contains("needlebench"),
        "{page}"
    );
    assert!(page.contains("content-security-policy: default-src 'self';"), "{page}");
    assert!(
        served
            .answer("/", &format!("localhost:{port}"))
            .starts_with("HTTP/1.1 200")
    );
    assert!(served.answer("/../Cargo.toml", &ours).starts_with("HTTP/1.1 404"));
    for host in [
        "evil.example",
        "127.0.0.1",
        &format!("127.0.0.1:{port}.evil.example"),
        &format!("localhost.evil.example:{port}"),
    ] {
        let answer = served.answer("/", host);
        assert!(
            answer.starts_with("HTTP/1.1 421") && !answer.contains("<html"),
            "{host}: {answer}"
        );
        // An attacker's page sends a host and an origin that fit each other.
        assert_eq!(
            served.open(host, Some(&format!("http://{host}"))).err(),
            Some(421),
            "{host}"
        );
    }
    for origin in [
        None,
        Some("null".to_string()),
        Some("http://evil.example".to_string()),
        Some(format!("https://{ours}")),
        Some(format!("http://{ours}.evil.example")),
        Some(format!("http://127.0.0.1:{}", port ^ 1)),
    ] {
        assert_eq!(served.open(&ours, origin.as_deref()).err(), Some(403), "{origin:?}");
    }
    assert!(served.open(&ours, Some(&format!("http://localhost:{port}"))).is_ok());
}

#[test]
fn what_is_no_line_of_a_page_closes_the_line_with_words_and_does_nothing() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let good = served.begun("guided").0.read_meanwhile();
    let text = |line: &str| Message::text(line.to_string());
    let part = Frame::from_payload(
        FrameHeader {
            is_final: true,
            opcode: OpCode::Data(Data::Text),
            mask: None,
            ..FrameHeader::default()
        },
        vec![0xff, 0xfe, 0xfd].into(),
    );
    let cases = [
        (Message::binary(vec![0, 159, 146, 150]), 1003, "no bytes"),
        (text("{"), 1008, "not understood"),
        (text(r#"{"ask":"format-disk"}"#), 1008, "not understood"),
        (
            text(r#"{"ask":"do","n":2,"actions":[{"do":"explode"}]}"#),
            1008,
            "not understood",
        ),
        (
            text(r#"{"ask":"do","n":2,"actions":[{"do":"turn","screw":"high","turns":NaN}]}"#),
            1008,
            "not understood",
        ),
        (
            text(r#"{"ask":"throttle","n":2,"position":1e999}"#),
            1008,
            "not understood",
        ),
        (
            text(r#"{"ask":"throttle","n":2,"position":-0.5}"#),
            1008,
            "0 (shut) to 1 (full)",
        ),
        (text(r#"{"ask":"hello","rate_hz":8000}"#), 1008, "once"),
        (text(&"[".repeat(5000)), 1009, "bytes"),
        (text(&"x".repeat(20_000)), 1009, "bytes"),
        (Message::Frame(part), 1007, "no text"),
    ];
    let tried = |message: &Message, code: u16, words: &str| {
        let (mut page, welcome) = served.begun("guided");
        page.find("state", |state| state["running"] == true);
        page.socket.send(message.clone()).unwrap();
        let (closed, told) = page.closed();
        assert_eq!(closed, code, "{message:?}: {told}");
        assert!(told.contains(words) && told.len() <= 123, "{message:?}: {told}");
        // Whoever sent it finds everything as it was.
        let mut again = served.come_back(&welcome);
        assert_eq!(again.until("welcome")["begun"], true);
        again.finds_no_screw_turned();
        again.socket.close(None).unwrap();
    };
    std::thread::scope(|scope| {
        for (message, code, words) in &cases {
            scope.spawn(|| tried(message, *code, words));
        }
    });
    let mut page = served.page();
    page.send(&json!({"ask": "begin", "n": 1}));
    assert_eq!(page.closed(), (1008, "a hello comes first".to_string()));
    // Nobody else has noticed.
    let state = good
        .back()
        .find("state", |state| state["clock_s"].as_f64() > Some(11.0));
    assert_eq!((&state["running"], &state["throttle"]), (&json!(true), &json!(0.0)));
}

#[test]
fn a_thousand_lines_a_second_are_cut_off_and_others_play_on() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let (mut good, _) = served.begun("guided");
    let (mut flood, _) = served.begun("guided");
    for n in 0..3000 {
        let ask = json!({"ask": "throttle", "position": f64::from(n % 2), "n": n + 2}).to_string();
        if flood.socket.send(Message::text(ask)).is_err() {
            break;
        }
        std::thread::sleep(Duration::from_millis(1));
    }
    let (code, words) = flood.closed();
    // Cut off with words, or the words were lost where it went on sending.
    assert!(
        (code, words.contains("lines a second")) == (1008, true) || code == 1006,
        "{code} {words}"
    );
    let before = good.until("state")["clock_s"].as_f64().unwrap();
    let asked = Instant::now();
    good.send(&json!({"ask": "throttle", "position": 1.0, "n": 77}));
    good.find("state", |state| {
        state["n"] == 77 && state["clock_s"].as_f64().unwrap() > before
    });
    assert!(asked.elapsed() < Duration::from_secs(2));
}

#[test]
fn whoever_opens_a_connection_and_says_nothing_is_let_go() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    // A socket that never says hello, one whose other end is gone without a word, so that it gives no sign of life and takes nothing,
    // and half a request.
    let mut silent = served.page();
    let (mut gone, _) = served.welcomed();
    let mut half = served.connect();
    half.write_all(b"GET / HTTP/1.1\r\nHost: ").unwrap();
    let begun = Instant::now();
    let mut rest = Vec::new();
    let _ = half.read_to_end(&mut rest);
    assert!(begun.elapsed() < Duration::from_secs(20), "{:?}", begun.elapsed());
    assert_eq!(silent.closed(), (1008, "no hello came".to_string()));
    std::thread::sleep(Duration::from_secs(18).saturating_sub(begun.elapsed()));
    gone.closed();
    assert!(
        served
            .answer("/", &format!("127.0.0.1:{}", served.port))
            .starts_with("HTTP/1.1 200")
    );
}

#[test]
fn more_pages_than_there_are_benches_are_told_so_and_a_closed_one_makes_room() {
    let home = tempfile::tempdir().unwrap();
    let served = Served::start(&["--no-record"], home.path());
    let mut pages: Vec<_> = (0..16).map(|_| served.welcomed().0).collect();
    let mut late = served.page();
    late.send(&json!({"ask": "hello", "rate_hz": 8000}));
    let (code, words) = late.closed();
    assert!(code == 1013 && words.contains("close one"), "{code} {words}");
    pages.pop().unwrap().socket.close(None).unwrap();
    let begun = Instant::now();
    loop {
        let mut again = served.page();
        again.send(&json!({"ask": "hello", "rate_hz": 8000}));
        match again.next() {
            Ok(_) => break,
            Err(closed) => assert!(
                closed.0 == 1013 && begun.elapsed() < Duration::from_secs(10),
                "{closed:?}"
            ),
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}
