//! `advise`: what was found goes in by flags or line by line, what most likely stands wrong comes out.

use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, is_empty};

use super::{json, needlebench, number};

#[test]
fn every_end_sums_to_one_and_the_keys_are_there() {
    let told = json(&["advise", "--heard", "full=rough", "--heard", "pinch=lot", "--json"]);
    for end in ["high", "low"] {
        let sum: f64 = ["rich", "right", "lean"]
            .map(|how| number(&told[end], how))
            .iter()
            .sum();
        assert!((sum - 1.0).abs() < 1e-9, "{told}");
    }
    assert!(
        number(&told["high"], "rich") > 0.5,
        "rough is rich, common practice: {told}"
    );
    assert!(
        number(&told["low"], "rich") > 0.5,
        "so is an idle that speeds up a lot when pinched: {told}"
    );
    assert_eq!(told["faults"].as_array().unwrap().len(), 7);
    assert!(number(&told["faults"][0], "probability") <= 1.0 && told["faults"][0]["part"].is_string());
    for key in ["do", "because"] {
        assert!(told["next"][key].is_string(), "{told}");
    }
    // Leaner, and by a quarter of a turn at most.
    let turns = number(&told["turn"], "turns");
    assert!((-0.25..0.0).contains(&turns), "{told}");
}

#[test]
fn lines_are_answered_one_by_one_and_what_does_not_go_together_is_an_answer_of_no() {
    let said = needlebench(&["advise", "--lines"])
        .write_stdin("full rough\nplug specks\n\nhalf rough\nstraight crackles\n")
        .assert()
        .code(1)
        .stdout(contains("don't go together").and(contains("never lean one by numbers alone")))
        .stderr(is_empty())
        .get_output()
        .stdout
        .clone();
    let answers = String::from_utf8(said).unwrap().matches("high end:").count();
    assert_eq!(answers, 4);
}

#[test]
fn a_line_that_cannot_be_read_is_named_with_the_words_there_are_and_the_code_is_2() {
    let said = |lines: &'static [u8]| {
        let output = needlebench(&["advise", "--lines"]).write_stdin(lines).output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (output.status.code(), text(output.stdout), text(output.stderr))
    };
    for (line, told) in [
        (
            &b"full rough\nfull purple\n"[..],
            "line 2: `full` can't be `purple`; write one of: rough, dull, lazy",
        ),
        (
            b"foll rough\n",
            "line 1: there is nothing called `foll` to see or hear; write one of: full, full_sags",
        ),
        (
            b"\nit sounds odd\n",
            "line 2: this is no WHAT WORD, such as `full rough`",
        ),
        (b"full \xff\n", "line 1: this is no UTF-8 text"),
    ] {
        let (code, _, words) = said(line);
        assert_eq!(code, Some(2), "{words}");
        assert!(words.contains(told) && words.contains("--words"), "{words}");
    }
    // The others are answered all the same.
    let (code, answers, _) = said(b"foll rough\nfull rough\n");
    assert_eq!((code, answers.matches("high end:").count()), (Some(2), 1));
    assert_eq!(said(b"full rough\r\nlooked-over\n").0, Some(0));
}

#[test]
fn with_nothing_heard_it_tells_what_is_assumed_and_an_alarm_why_it_wants_fuel() {
    let told = json(&["advise", "--json"]);
    assert!(told["assumed"] == true && told["turn"].is_null(), "{told}");
    let told = json(&["advise", "--heard", "full=rough", "--heard", "crackles=yes", "--json"]);
    assert!(told["assumed"] == false && told["alarms"][0] == "crackles", "{told}");
    let because = told["turn"]["because"].as_str().unwrap();
    assert!(
        number(&told["turn"], "turns") > 0.0 && because.contains("detonation"),
        "{told}"
    );
}

#[test]
fn unknown_findings_and_words_are_told_with_those_there_are() {
    for (heard, expected) in [
        ("full=loud", "there are: rough, dull, lazy, soft, clean"),
        ("foll=rough", "did you mean `full`?"),
        ("rough", "such as full=rough"),
    ] {
        needlebench(&["advise", "--heard", heard])
            .assert()
            .code(2)
            .stdout(is_empty())
            .stderr(contains(expected));
    }
    needlebench(&["advise", "--heard", "full=rough", "--heard", "full=dull"])
        .assert()
        .code(2)
        .stdout(is_empty())
        .stderr(contains("`full` is given twice"));
}
