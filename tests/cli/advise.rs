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
        .write_stdin("full rough\nfoul rough\nplug specks\n\nhalf rough\nstraight crackles\n")
        .assert()
        .code(1)
        .stdout(contains("don't go together").and(contains("never lean one by numbers alone")))
        .stderr(contains("there is nothing called `foul`"))
        .get_output()
        .stdout
        .clone();
    let answers = String::from_utf8(said).unwrap().matches("high end:").count();
    assert_eq!(answers, 4);
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
