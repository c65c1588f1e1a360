//! `progress`: text and picture of the learner's curve, and what it says where there is none.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::{listing, needlebench};

/// A folder of data with so many practices in it, left before signing off.
fn practised(folder: &Path, count: u32) {
    for seed in 1..=count {
        needlebench(&["practise", "lesson-1", "--seed", &seed.to_string()])
            .env("XDG_DATA_HOME", folder.join("data"))
            .write_stdin("high in 1/8\nquit\n")
            .assert()
            .code(1);
    }
}

/// Exit code, standard output and standard error in that folder.
fn progress(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = needlebench(&[&["progress"], arguments].concat())
        .env("XDG_DATA_HOME", folder.join("data"))
        .current_dir(folder)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn without_a_practice_nothing_is_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for arguments in [&[][..], &["--plot", "a.svg"], &["--plot", "-"]] {
        let (code, out, said) = progress(at, arguments);
        assert_eq!((code, out.as_str()), (1, ""), "{arguments:?}");
        assert!(
            said.starts_with("no practice recorded yet") && said.lines().count() == 1,
            "{said}"
        );
    }
    let (code, out, said) = progress(at, &["--json", "--plot", "a.svg"]);
    let nothing: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(
        (code, &nothing["practices"], &nothing["next"]),
        (1, &json!([]), &json!(null))
    );
    assert!(said.contains("nothing is drawn"), "{said}");
    assert_eq!(progress(at, &["--json"]), (1, out, String::new()));
}

#[test]
fn named_files_that_cannot_be_read_are_a_code_of_2_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::write(at.join("bad.jsonl"), "x\n").unwrap();
    for (file, why) in [
        ("bad.jsonl", "bad.jsonl:1:1: this is no recording of a practice"),
        ("none.jsonl", "none.jsonl: there is no such file; check the path"),
    ] {
        for more in [&[][..], &["--json"], &["--plot", "a.svg"]] {
            let (code, out, said) = progress(at, &[&[file], more].concat());
            assert_eq!((code, out.as_str()), (2, ""), "{said}");
            assert!(
                said.starts_with(why) && said.ends_with("1 of 1 files can't be used\n"),
                "{said}"
            );
        }
    }
    assert_eq!(listing(at).into_iter().collect::<Vec<_>>(), ["bad.jsonl"]);
    // Beside one that can be shown it is named and left out.
    practised(at, 1);
    let kept = fs::read_dir(at.join("data/needlebench/practices"))
        .unwrap()
        .next()
        .unwrap();
    let kept = kept.unwrap().path();
    let (code, out, said) = progress(at, &["bad.jsonl", kept.to_str().unwrap()]);
    assert!(
        code == 0 && out.contains("lesson-1") && said.contains("no recording"),
        "{said}"
    );
}

#[test]
fn the_curve_is_drawn_besides_the_text_or_instead() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    practised(at, 3);
    let (code, text, said) = progress(at, &[]);
    assert_eq!((code, said.as_str()), (0, ""));
    assert!(text.contains("lesson-1"));
    assert_eq!(progress(at, &["--plot", "a.svg"]), (0, text, String::new()));
    let picture = fs::read_to_string(at.join("a.svg")).unwrap();
    assert!(picture.starts_with("<svg ") && picture.ends_with("</svg>\n"));
    for part in [
        "3 practices, 0 clean",
        "\nTurns over par (clean practices)\n",
        "\nTime too lean, s\n",
        "\nFirst turns in the right direction, % of those so far\n",
        "\nBrier score of the judgements (0: sure and right, 2: sure and wrong)\n",
        "\nPractice, oldest first\n",
    ] {
        assert!(picture.contains(part), "{part}");
    }
    assert_eq!(progress(at, &["--plot", "-"]), (0, picture, String::new()));
    let (_, json, _) = progress(at, &["--json"]);
    assert_eq!(progress(at, &["--json", "--plot", "b.svg"]), (0, json, String::new()));
    assert!(at.join("b.svg").is_file());
}

#[test]
fn a_curve_that_cannot_be_written_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    practised(at, 1);
    for (arguments, message) in [
        (&["--plot", "none/a.svg"][..], "none/a.svg: it can't be written"),
        (&["--json", "--plot", "none/a.svg"], "none/a.svg: it can't be written"),
        (&["--plot", "data"], "data: it can't be written"),
        (
            &["--json", "--plot", "-"],
            "--json, --plot: both go to standard output; allowed: ",
        ),
    ] {
        let (code, out, said) = progress(at, arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{arguments:?}: {said}");
        assert!(
            said.starts_with(message) && said.lines().count() == 1,
            "{arguments:?}: {said}"
        );
        assert_eq!(listing(at).len(), 1);
    }
}
