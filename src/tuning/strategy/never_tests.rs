//! Rules that can never fire and rules that can never stop, each named with its line; and what may fire and stop read without a word.

use crate::config::Source;
use crate::tuning::strategy::file::Strategy;

const END: &str = "[[rule]]\ndo = \"sign-off\"\nbecause = \"all-right\"\n";

fn rule(when: &str, act: &str) -> String {
    let when = if when.is_empty() {
        String::new()
    } else {
        format!("when = {{ {when} }}\n")
    };
    format!("[[rule]]\n{when}do = {act}\nbecause = \"asked-for\"\n")
}

fn read(rules: &str) -> Result<Strategy, String> {
    let text = format!("name = \"mine\"\nsummary = \"my own way\"\n{rules}");
    Strategy::read(&Source::new("mine.toml", &text)).map_err(|error| error.to_string())
}

#[test]
fn what_excludes_itself_can_never_fire() {
    for (when, act, excluded) in [
        ("running = false", "\"pinch\"", Some("its `running` excludes its `do`")),
        ("running = true", "\"plug\"", Some("its `running` excludes its `do`")),
        (
            "fault_found = false",
            "\"fix\"",
            Some("its `fault_found` excludes its `do`"),
        ),
        (
            "running = false, settled = true",
            "\"gun\"",
            Some("its `running` excludes its `settled`"),
        ),
        ("settled = true", "\"plug\"", Some("its `settled` excludes its `do`")),
        (
            "head_c = \"unknown\", head_room_c = { below = 0 }",
            "\"gun\"",
            Some("its `head_c` excludes its `head_room_c`"),
        ),
        (
            "pinch = \"unknown\", pinch_s = { below = 5 }",
            "\"gun\"",
            Some("its `pinch_s` excludes its `pinch`"),
        ),
        (
            "plug = \"wet\", plug_seen = false",
            "\"gun\"",
            Some("its `plug` excludes its `plug_seen`"),
        ),
        (
            "high_times = { from = 3 }, needle_turns = { below = 3 }",
            "\"gun\"",
            Some("its `high_times` excludes its `needle_turns`"),
        ),
        (
            "low_times = { from = 1, below = 2 }, needle_turns = { below = 1 }",
            "\"gun\"",
            Some("its `low_times` excludes its `needle_turns`"),
        ),
        ("running = true", "\"pinch\"", None),
        ("running = true, settled = true", "\"pinch\"", None),
        ("head_c = \"unknown\", head_room_c = \"unknown\"", "\"gun\"", None),
        (
            "pinch = [\"unknown\", \"lot\"], pinch_s = { below = 5 }",
            "\"gun\"",
            None,
        ),
        ("plug = [\"wet\", \"unknown\"], plug_seen = false", "\"gun\"", None),
        (
            "high_times = { from = 3 }, needle_turns = { below = 4 }",
            "\"gun\"",
            None,
        ),
    ] {
        let found = read(&(rule(when, act) + "at_most = 2\n" + END)).map(|_| ());
        let wanted = excluded.map_or(Ok(()), |why| {
            let or_so = format!("mine.toml:3:1: rule 1 can never fire: {why}; change one of the two, or delete it");
            Err(or_so)
        });
        let same = match (&found, &wanted) {
            (Err(found), Err(wanted)) => {
                // Which of the two is told first does not matter.
                let turned = wanted.split(": its ").nth(1).and_then(|pair| pair.split(';').next());
                let turned = turned.and_then(|pair| pair.split_once(" excludes its "));
                found == wanted
                    || turned.is_some_and(|(one, other)| found.contains(&format!("its {other} excludes its {one};")))
            }
            (found, wanted) => found == wanted,
        };
        assert!(same, "{when} {act}: {found:?}, wanted {wanted:?}");
    }
}

#[test]
fn a_count_between_two_whole_numbers_can_never_be() {
    let message = read(&(rule("cures = { from = 1.2, below = 2 }", "\"gun\"") + END)).unwrap_err();
    assert!(
        message.starts_with("mine.toml:4:18: no `cures` is at least 1.2 and below 2; change the value"),
        "{message}"
    );
    assert!(read(&(rule("minutes = { from = 1.2, below = 2 }", "\"gun\"") + END)).is_ok());
}

#[test]
fn what_goes_on_for_ever_once_it_holds_is_named() {
    let goes_on = "neither it nor a rule before it changes when it holds";
    for (rules, named) in [
        // Without a condition, or with one that its deed leaves as it is.
        (rule("", "\"pinch\"") + END, Some(1)),
        (rule("running = true", "{ wait_s = 5 }") + END, Some(1)),
        (rule("asks_snap = true", "{ wait_s = 12 }") + END, Some(1)),
        (rule("high_times = { below = 3 }", "\"pinch\"") + END, Some(1)),
        (
            rule(
                "head_room_c = { below = 0 }",
                "{ turn = \"high\", random_clicks = [1, 3] }",
            ) + END,
            Some(1),
        ),
        (
            rule("looked_over = false", "\"inspect\"") + &rule("running = true", "{ wait_s = 5 }") + END,
            Some(2),
        ),
        // It ends itself, or a rule before it ends it.
        (rule("head_c = \"unknown\"", "\"gun\"") + END, None),
        (
            rule("asks_snap = true", "{ throttle_percent = 100, hold_s = 3 }") + END,
            None,
        ),
        (rule("asks_idle = true", "{ wait_s = 12 }") + END, None),
        (rule("minutes = { below = 10 }", "{ wait_s = 12 }") + END, None),
        (
            rule(
                "high_times = { below = 3 }",
                "{ turn = \"high\", random_clicks = [1, 3] }",
            ) + END,
            None,
        ),
        (rule("running = false", "\"start\"") + END, None),
        (
            rule("running = true, plug_seen = false", "\"stop\"") + &rule("running = true", "{ wait_s = 5 }") + END,
            None,
        ),
        (
            rule("minutes = { from = 20 }", "\"sign-off\"") + &rule("", "{ wait_s = 5 }"),
            None,
        ),
        // A needle comes to its end.
        (
            rule("head_room_c = { below = 0 }", "{ turn = \"high\", richer_clicks = 3 }") + END,
            None,
        ),
        (
            rule("running = true", "{ wait_s = 5 }").trim_end().to_string() + "\nat_most = 3\n" + END,
            None,
        ),
    ] {
        match (read(&rules), named) {
            (Ok(_), None) => {}
            (Err(message), Some(at)) => {
                let line = rules
                    .lines()
                    .enumerate()
                    .filter(|(_, line)| *line == "[[rule]]")
                    .nth(at - 1)
                    .unwrap()
                    .0
                    + 3;
                let wanted = format!("mine.toml:{line}:1: rule {at} can never stop: {goes_on}; give it `at_most`");
                assert!(
                    message.starts_with(&wanted),
                    "{rules}\n  says {message}\nwanted {wanted}"
                );
            }
            (found, _) => panic!("{rules}\n{found:?}"),
        }
    }
}

#[test]
fn passes_say_until_when_and_something_signs_off() {
    let message = read(&(rule("full = \"clean\"", "\"next-pass\"") + END)).unwrap_err();
    assert_eq!(
        message,
        "mine.toml:3:1: rule 1 can never stop: it begins pass after pass; say until when, with `pass = { below = 2 }` in its `when`"
    );
    assert!(read(&(rule("pass = { from = 1 }", "\"next-pass\"") + END)).is_err());
    assert!(read(&(rule("pass = { below = 2 }", "\"next-pass\"") + END)).is_ok());
    let message = read(&rule("", "{ turn = \"high\", leaner_clicks = 1 }")).unwrap_err();
    assert_eq!(
        message,
        "mine.toml:3:1: rule 1 can never stop: no rule signs off; end with `do = \"sign-off\"`"
    );
}

#[test]
fn what_is_said_of_facts_is_said_of_facts() {
    let known = crate::tuning::strategy::facts::facts();
    let is = |name: &str| known.iter().any(|fact| fact.name == name);
    for ((one, _), (other, _)) in &super::FOLLOWS {
        assert!(is(one) && is(other), "{one}, {other}");
    }
    // Those that `moves` names: a deed that has nothing to do with any of them.
    let gun = super::Proposal::Do(super::Action::Gun);
    let named = known.iter().filter(|fact| !super::moves(&gun, fact.name)).count();
    assert_eq!(named, 28, "a fact has another name by now");
}
