//! A strategy's file: every mistake at its place, with what is allowed; rules that can never fire are named; and the built-in ones
//! read.

use super::*;
use crate::tuning::strategy::STRATEGIES;

const END: &str = "[[rule]]\ndo = \"sign-off\"\nbecause = \"all-right\"\n";

fn read(rules: &str) -> Result<Strategy, String> {
    let text = format!("name = \"mine\"\nsummary = \"my own way\"\n{rules}{END}");
    Strategy::read(&Source::new("mine.toml", &text)).map_err(|error| error.to_string())
}

fn message(rules: &str) -> String {
    read(rules).unwrap_err()
}

#[test]
fn every_built_in_strategy_reads_and_bears_its_own_name() {
    for file in STRATEGIES {
        let strategy = Strategy::read(&Source::new(file.path, file.text)).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(strategy.name, file.name);
        // One that is careless or leaves all to chance needs fewer.
        let least = if file.name == "coach" { 10 } else { 5 };
        assert!(strategy.rules.len() > least, "{}", file.name);
    }
}

#[test]
fn every_strategy_in_the_folder_is_built_in() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/strategies");
    let found = std::fs::read_dir(folder).unwrap().count();
    assert_eq!(found, STRATEGIES.len());
}

#[test]
fn each_mistake_is_told_at_its_place_with_what_is_allowed() {
    for (rule, expected) in [
        (
            "[[rule]]\nwhen = { pinsh = \"lot\" }\ndo = \"gun\"\nbecause = \"head-unread\"\n",
            "mine.toml:4:10: [rule.when] has no key `pinsh`; did you mean `pinch`?",
        ),
        (
            "[[rule]]\nwhen = { pinch = \"lots\" }\ndo = \"gun\"\nbecause = \"head-unread\"\n",
            "mine.toml:4:18: there is no pinch `lots`; did you mean `lot`?",
        ),
        (
            "[[rule]]\nwhen = { running = \"yes\" }\ndo = \"gun\"\nbecause = \"head-unread\"\n",
            "mine.toml:4:20: `running` is a text, but yes or no is wanted; write true or false",
        ),
        (
            "[[rule]]\nwhen = { head_c = { below = 900 } }\ndo = \"gun\"\nbecause = \"head-unread\"\n",
            "mine.toml:4:19: `head_c` = 900 is out of range; allowed -30 to 300 °C; change the value",
        ),
        (
            "[[rule]]\nwhen = { head_c = { from = 90, below = 80 } }\ndo = \"gun\"\nbecause = \"head-unread\"\n",
            "mine.toml:4:19: no `head_c` is at least 90 and below 80 °C; change the value",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = \"sing-off\"\nbecause = \"all-right\"\n",
            "mine.toml:5:6: there is no action `sing-off`; did you mean `sign-off`?",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = \"dance\"\nbecause = \"all-right\"\n",
            "mine.toml:5:6: there is no action `dance`; there are: fix, fuel, gun,",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = { turn = \"high\", leaner_clicks = 0 }\nbecause = \"plug-wet\"\n",
            "mine.toml:5:39: `leaner_clicks` = 0 is out of range; allowed 1 to 48 clicks",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = { turn = \"high\", faster_clicks = 1 }\nbecause = \"plug-wet\"\n",
            "mine.toml:5:1: a turn of the high-speed needle goes one way, `richer_clicks` or `leaner_clicks`; give one of the two",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = \"gun\"\nbecause = \"plug-weet\"\n",
            "mine.toml:6:11: there is no reason `plug-weet`; did you mean `plug-wet`?",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = \"gun\"\n",
            "mine.toml:3:1: [rule] lacks the text `because`; add it",
        ),
        (
            "[[rule]]\nwhen = { running = true }\ndo = \"gun\"\nbecause = \"head-unread\"\nat_most = 0\n",
            "mine.toml:7:11: `at_most` = 0 is out of range; allowed 1 to 100",
        ),
    ] {
        let message = message(rule);
        assert!(
            message.starts_with(expected),
            "{rule}\n  says {message}\nwanted {expected}"
        );
    }
}

#[test]
fn a_sentence_of_the_files_own_is_a_reason() {
    let strategy =
        read("[[rule]]\nwhen = { running = false }\ndo = \"start\"\nbecause = \"let us hear it\"\n").unwrap();
    assert_eq!(strategy.rules[0].because, Because::Own("let us hear it".into()));
}

#[test]
fn a_rule_that_can_never_fire_is_named() {
    let rule = |when: &str, more: &str| {
        format!(
            "[[rule]]\nwhen = {{ {when} }}\ndo = {{ turn = \"low\", richer_clicks = 1 }}\nbecause = \"low-lean\"\n{more}"
        )
    };
    for (first, second, shadowed) in [
        ("pinch = [\"lot\", \"clear\"]", "pinch = \"lot\", running = true", true),
        ("pinch = \"lot\"", "pinch = [\"lot\", \"clear\"]", false),
        (
            "head_c = { below = 80 }",
            "head_c = { below = 70 }, running = true",
            true,
        ),
        ("head_c = { below = 70 }", "head_c = { below = 80 }", false),
        ("head_c = { below = 70 }", "head_c = \"unknown\"", false),
        ("running = true", "running = false", false),
        ("running = true", "pinch = \"lot\"", false),
        ("snap_puffs = [\"yes\", \"no\", \"unknown\"]", "pinch = \"lot\"", true),
    ] {
        let found = read(&(rule(first, "") + &rule(second, "")));
        assert_eq!(found.is_err(), shadowed, "{first} | {second}: {found:?}");
        if let Err(message) = found {
            let place = "mine.toml:7:1: rule 2 can never fire: rule 1 (line 3) holds whenever it does; move it up";
            assert!(message.starts_with(place), "{message}");
        }
        // What is done some times in a row only leaves the rest to others.
        assert!(read(&(rule(first, "at_most = 2\n") + &rule(second, ""))).is_ok());
    }
}

#[test]
fn there_is_always_something_to_propose() {
    let text = "name = \"mine\"\nsummary = \"my own way\"\n[[rule]]\nwhen = { running = false }\ndo = \"start\"\nbecause = \"stands\"\n";
    let message = Strategy::read(&Source::new("mine.toml", text)).unwrap_err().to_string();
    assert!(
        message.contains("there may come a time when no rule holds; end with a rule without `when`"),
        "{message}"
    );
}
