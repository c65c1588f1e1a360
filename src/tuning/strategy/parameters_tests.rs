//! Parameters: named wherever a rule has a number, read anew with other values, and every mistake at its place.

use crate::config::Source;
use crate::tuning::action::{Action, Screw};
use crate::tuning::strategy::file::Strategy;
use crate::tuning::strategy::rule::{Proposal, Wanted};
use crate::tuning::strategy::{STRATEGIES, coach};

const STEP: &str = "first = { value = 4, low = 1, high = 12, step = 1, what = \"The first turn.\" }";

/// A strategy of these parameters and rules.
fn read(parameters: &str, rules: &str) -> Result<Strategy, String> {
    let text = format!(
        "name = \"mine\"\nsummary = \"my own way\"\n[parameters]\n{parameters}\n{rules}[[rule]]\ndo = \"sign-off\"\nbecause = \"all-right\"\n"
    );
    Strategy::read(&Source::new("mine.toml", &text)).map_err(|error| error.to_string())
}

fn rule(when: &str, act: &str) -> String {
    format!("[[rule]]\nwhen = {{ {when} }}\ndo = {act}\nbecause = \"asked-for\"\n")
}

const LEANER: &str = "{ turn = \"high\", leaner_clicks = [\"first\", 1] }";

fn steps(strategy: &Strategy) -> &[f64] {
    match &strategy.rules[0].proposal {
        Proposal::Turn {
            screw: Screw::High,
            steps,
        } => steps,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_rule_names_a_parameter_wherever_it_has_a_number() {
    let all = "size = { value = 6, low = 1, high = 12, step = 1, what = \"Clicks.\" }
many = { value = 3, low = 1, high = 5, step = 1, what = \"Laps, or times.\" }
long = { value = 2.5, low = 1, high = 9, step = 0.5, what = \"Seconds.\" }
least = { value = -3, low = -6, high = -1, step = 1, what = \"Clicks in.\" }
open = { value = 80, low = 30, high = 100, step = 10, what = \"Throttle.\" }";
    let rules = rule("full = \"rough\"", "{ turn = \"high\", leaner_clicks = [\"size\", 2] }")
        + &rule(
            "pinch_s = { from = \"long\", below = \"size\" }",
            "{ wait_s = \"long\" }",
        )
        + &rule("return = \"hangs\"", "{ laps = \"many\" }")
        + "at_most = \"many\"\n"
        + &rule("full = \"dull\"", "{ throttle_percent = \"open\", hold_s = \"long\" }")
        + &rule(
            "needle_turns = { below = \"many\" }",
            "{ turn = \"low\", random_clicks = [\"least\", \"many\"] }",
        );
    let strategy = read(all, &rules).unwrap();
    assert_eq!(steps(&strategy), [-0.25, -1.0 / 12.0]);
    let wanted = &strategy.rules[1].when[0].wanted;
    assert_eq!(*wanted, Wanted::Number { from: 2.5, below: 6.0 });
    let does = |at: usize| match strategy.rules[at].proposal {
        Proposal::Do(action) => action,
        ref other => panic!("{other:?}"),
    };
    assert_eq!(does(1), Action::Wait { ms: 2500 });
    assert_eq!(does(2), Action::Laps { laps: 3 });
    assert_eq!(strategy.rules[2].at_most, Some(3));
    assert_eq!(
        does(3),
        Action::Hold {
            position: 0.8,
            ms: 2500
        }
    );
    let Proposal::Drawn { screws, clicks } = &strategy.rules[4].proposal else {
        panic!("{:?}", strategy.rules[4])
    };
    let turned: Vec<f64> = clicks.iter().map(|turns| (24.0 * turns).round()).collect();
    assert_eq!(
        (screws.as_slice(), turned.as_slice()),
        ([Screw::Low].as_slice(), [-3.0, -2.0, -1.0, 1.0, 2.0, 3.0].as_slice())
    );
    // In the order of the file.
    let names: Vec<&str> = strategy
        .parameters
        .iter()
        .map(|parameter| parameter.name.as_str())
        .collect();
    assert_eq!(names, ["size", "many", "long", "least", "open"]);
}

#[test]
fn each_mistake_is_told_at_its_place_with_what_is_allowed() {
    let rough = |act: &str| rule("full = \"rough\"", act);
    let ordinary = rough(LEANER);
    for (parameters, rules, expected) in [
        (
            STEP,
            rough("{ turn = \"high\", leaner_clicks = [\"fist\"] }"),
            "mine.toml:7:40: there is no parameter `fist`; did you mean `first`?",
        ),
        (
            "",
            rough("{ turn = \"high\", leaner_clicks = \"3\" }"),
            "mine.toml:7:39: there is no parameter `3`; declare it under [parameters], or write a number without quotes",
        ),
        (
            &STEP.replace("value = 4", "value = 14"),
            ordinary.clone(),
            "mine.toml:4:19: `first` = 14 is outside its own range, 1 to 12; change one of them",
        ),
        (
            &STEP.replace("low = 1", "low = 12"),
            ordinary.clone(),
            "mine.toml:4:28: `first` has no range: its low is 12 and its high 12; change one of them",
        ),
        (
            &STEP.replace("step = 1", "step = 40"),
            ordinary.clone(),
            "mine.toml:4:49: `first` has a step of 40, and a range of 11; change one of them",
        ),
        (
            &STEP.replace("step = 1", "step = 0"),
            ordinary.clone(),
            "mine.toml:4:49: `step` = 0 is out of range; allowed 0.000001 to 1000000",
        ),
        (
            &STEP.replace("step = 1, ", ""),
            ordinary.clone(),
            "mine.toml:4:1: [parameters.first] lacks `step`",
        ),
        (
            &STEP.replace("what = ", "why = "),
            ordinary.clone(),
            "mine.toml:4:52: [parameters.first] has no key `why`",
        ),
        (
            "first = 4",
            ordinary.clone(),
            "mine.toml:4:9: `first` is a whole number, but a table is wanted",
        ),
        (
            STEP,
            String::new(),
            "mine.toml:4:1: no rule names the parameter `first`; write its name where a rule has a number, or delete it",
        ),
        // Its value may be used as it is, and another that it may have could not.
        (
            &STEP.replace("high = 12", "high = 60"),
            ordinary,
            "mine.toml:7:40: `leaner_clicks` takes the parameter `first`, which may be 60; allowed 1 to 48 clicks; change the value",
        ),
        (
            STEP,
            rough("{ throttle_percent = \"first\", hold_s = 0.01 }"),
            "mine.toml:7:45: `hold_s` = 0.01 is out of range",
        ),
        (
            &STEP.replace("low = 1", "low = -2"),
            rule("tank_quarters = { below = \"first\" }", "\"fuel\""),
            "mine.toml:6:26: `tank_quarters` takes the parameter `first`, which may be -2; allowed 0 to 1000; change the value",
        ),
        (
            STEP,
            rule("pinch_s = { from = \"first\", below = 4 }", "\"gun\""),
            "mine.toml:6:20: no `pinch_s` is at least 4 and below 4 s; change the value",
        ),
    ] {
        let message = read(parameters, &rules).unwrap_err();
        assert!(
            message.starts_with(expected),
            "{parameters}\n{rules}  says {message}\nwanted {expected}"
        );
    }
}

#[test]
fn a_drawn_turn_says_from_where_to_where_and_nothing_else() {
    for (act, expected) in [
        (
            "{ turn = [\"high\", \"low\"], leaner_clicks = 2 }",
            "mine.toml:7:15: which of several screws is turned can only be drawn; name one, or",
        ),
        (
            "{ turn = [\"high\", \"lo\"], random_clicks = [-2, 2] }",
            "mine.toml:7:24: there is no screw `lo`; did you mean `low`?",
        ),
        (
            "{ turn = \"low\", random_clicks = [2, -2] }",
            "mine.toml:7:38: from [2.0, -2.0] clicks none can be drawn; write from which to which",
        ),
        (
            "{ turn = \"low\", random_clicks = 2 }",
            "mine.toml:7:38: from [2.0] clicks none can be drawn",
        ),
        (
            "{ turn = \"low\", random_clicks = [0, 0] }",
            "mine.toml:7:38: from [0.0, 0.0] clicks none can be drawn",
        ),
        (
            "{ turn = \"low\", random_clicks = [-2, 2], leaner_clicks = 3 }",
            "mine.toml:7:38: a turn by `leaner_clicks` is not drawn; give one of the two",
        ),
        (
            "{ turn = \"low\", random_clicks = [-60, 2] }",
            "mine.toml:7:39: `random_clicks` = -60 is out of range; allowed -48 to 48 clicks",
        ),
    ] {
        let message = read("", &rule("needle_turns = { below = 3 }", act)).unwrap_err();
        assert!(
            message.starts_with(expected),
            "{act}\n  says {message}\nwanted {expected}"
        );
    }
}

#[test]
fn with_other_values_it_is_read_anew_and_its_comments_stay() {
    let comment = " # common practice";
    let strategy = read(&format!("{STEP}{comment}"), &rule("full = \"rough\"", LEANER)).unwrap();
    let other = strategy.with(&[("first", 2.0), ("first", 8.0)]).unwrap();
    assert_eq!((steps(&strategy)[0], steps(&other)[0]), (-4.0 / 24.0, -8.0 / 24.0));
    assert_eq!((strategy.parameters[0].value, other.parameters[0].value), (4.0, 8.0));
    assert_eq!(
        other.source.text,
        strategy.source.text.replace("value = 4", "value = 8")
    );
    let refused = |values: &[(&str, f64)]| strategy.with(values).unwrap_err().to_string();
    assert!(
        refused(&[("fist", 2.0)]).starts_with("mine.toml:1:1: there is no parameter `fist`; did you mean `first`?")
    );
    for (value, said) in [(13.0, "13"), (f64::NAN, "NaN"), (f64::INFINITY, "inf")] {
        let message = refused(&[("first", value)]);
        let wanted = format!("mine.toml:4:19: `first` = {said} is outside its own range, 1 to 12; change the value");
        assert_eq!(message, wanted);
    }
}

#[test]
fn the_built_in_ones_may_be_varied_step_by_step() {
    for file in STRATEGIES {
        let strategy = Strategy::read(&Source::new(file.path, file.text)).unwrap();
        assert!(strategy.parameters.len() >= 3, "{}", file.name);
        for parameter in &strategy.parameters {
            let near = [parameter.value - parameter.step, parameter.value + parameter.step];
            for value in near
                .into_iter()
                .filter(|value| (parameter.low..=parameter.high).contains(value))
            {
                let varied = strategy
                    .with(&[(&parameter.name, value)])
                    .unwrap_or_else(|error| panic!("{error}"));
                let unlike = varied
                    .rules
                    .iter()
                    .zip(&strategy.rules)
                    .any(|(one, other)| format!("{one:?}") != format!("{other:?}"));
                assert!(unlike, "{}: {} = {value} changes nothing", file.name, parameter.name);
            }
        }
    }
    assert!(coach().unwrap().parameters.len() > 15);
}
