//! A class code: what it puts on the bench, and what is said of one that was misheard.

use predicates::prelude::PredicateBooleanExt;
use predicates::str::contains;

use super::needlebench;

#[test]
fn a_class_code_says_what_is_practised_and_a_misheard_one_says_so() {
    let code = "cabin-spruce-amber-timber-daisy";
    needlebench(&["practise", "--class", code, "--plain", "--no-record"])
        .write_stdin("leave\n")
        .assert()
        .stdout(
            contains("club-day: ")
                .and(contains("seed 7\n"))
                .and(contains(format!("Class code {code}"))),
        );
    for (wrong, said) in [
        ("cabin-spruce-amber-timber-daisi", "perhaps `daisy`"),
        ("cabin-spruce-amber-timber", "five words"),
        ("cabin-spruce-amber-daisy-timber", "misheard"),
    ] {
        needlebench(&["practise", "--class", wrong])
            .assert()
            .code(2)
            .stderr(contains(said));
    }
    needlebench(&["practise", "--class", code, "--seed", "8"])
        .assert()
        .code(2);
}
