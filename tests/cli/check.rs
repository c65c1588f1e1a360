//! `check` as text: its lines, whatever the numbers are, and degrees Fahrenheit.

use super::needlebench;

/// Standard output, whether the answer is yes or no.
fn shown(arguments: &[&str]) -> String {
    let output = needlebench(arguments).output().unwrap();
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
    assert!(output.stderr.is_empty());
    String::from_utf8(output.stdout).unwrap()
}

/// The text with everything that a recalibration may change blanked out: values by `#`, verdicts by `…`.
fn without_values(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines().filter(|line| !line.starts_with("  note: ")) {
        let verdict = line.trim_end_matches(" NOT CLEAN").trim_end_matches(" ok");
        let ends = if verdict.len() < line.len() { " …" } else { "" };
        let words = verdict.split(' ').filter(|word| !word.is_empty()).map(|word| {
            let (number, rest) = match word.find([',', ';']) {
                Some(at) => word.split_at(at),
                None => (word, ""),
            };
            // The names of engine and fuel and the setting are the question, not the answer.
            let is_value = number.parse::<f64>().is_ok() || number == "died";
            if is_value && !line.contains("seed") {
                format!("#{rest}")
            } else {
                word.to_string()
            }
        });
        out += &words.collect::<Vec<_>>().join(" ");
        out += ends;
        out.push('\n');
    }
    out.replace("\nnot clean\n", "\n…\n").replace("\nclean\n", "\n…\n")
}

#[test]
fn the_text_has_every_check_with_its_limits_and_unit() {
    let text = without_values(&shown(&["check", "--high", "3", "--low", "1.1", "--idle", "2"]));
    insta::assert_snapshot!(text, @r"
    offroad-3.5 on race-25, high 3.000, low 1.100, idle stop 2.000 turns, seed 1

    check value at least at most unit
    full rich of best power # # - equivalence ratio …
    full power # # - % of best …
    full detonation # - # index …
    full head temperature # - # °C …
    idle speed # # # rpm …
    idle variation # - # % …
    idle pinch rise # # - % of idle …
    idle gap # # # mm …
    burst return # - # s …
    burst hang # - # s …
    burst early excess # # # % of settled idle …
    snap delay # - # s …
    snap puff # - # of steady smoke …
    snap misfire # - # % …
    half misfire # - # % …
    roll on misfire # - # % …
    roll on smoke # - # % opacity …
    hot idle # # # % of settled idle …

    mixture (equivalence ratio, oil inert): idle #, half #, full #; air-fuel ratio full #
    full throttle: # W at the brake, # rpm wheels up, smoke # % opacity, fuel # g/s

    …
    ");
}

#[test]
fn the_exit_code_is_the_last_line() {
    for arguments in [
        &["check"][..],
        &["check", "--high", "0", "--low", "0"],
        &["check", "--high", "6", "--low", "5"],
    ] {
        let output = needlebench(arguments).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        let expected = match output.status.code() {
            Some(0) => "clean",
            Some(1) => "not clean",
            other => panic!("{other:?}"),
        };
        assert_eq!(text.lines().last(), Some(expected), "{arguments:?}");
        assert_eq!(text.contains("NOT CLEAN"), expected == "not clean", "{arguments:?}");
    }
    // With both needles shut no fuel flows: that is never clean.
    needlebench(&["check", "--high", "0", "--low", "0"]).assert().code(1);
}

#[test]
fn fahrenheit_changes_temperatures_and_nothing_else() {
    for more in [&[][..], &["--high", "4.5"], &["--high", "0", "--low", "0"]] {
        let celsius = shown(&[&["check"], more].concat());
        let fahrenheit = shown(&[&["check", "--fahrenheit"], more].concat());
        assert!(!fahrenheit.contains("°C") && celsius.contains("°C") && !celsius.contains("°F"));
        for (c, f) in celsius.lines().zip(fahrenheit.lines()) {
            if !c.contains("°C") {
                assert_eq!(c, f);
                continue;
            }
            let values =
                |line: &str| -> Vec<f64> { line.split_whitespace().filter_map(|word| word.parse().ok()).collect() };
            let (c, f) = (values(c), values(f));
            assert!(!c.is_empty() && c.len() == f.len());
            for (c, f) in c.iter().zip(f) {
                // Both are rounded to tenths, in notes to ones.
                assert!((c * 1.8 + 32.0 - f).abs() <= 0.6, "{c} °C, {f} °F");
            }
        }
        let json = |more: &[&str]| shown(&[&["check", "--json"], more].concat());
        assert_eq!(json(more), json(&[more, &["--fahrenheit"]].concat()));
    }
}

#[test]
fn a_warning_is_a_name_with_numbers_in_json_and_words_in_text() {
    // Rich by half a turn on a cold day: it runs, and its head stays cool.
    let setting = ["check", "--high", "4.5", "--temperature-c", "0"];
    let answer: serde_json::Value = serde_json::from_str(&shown(&[&setting[..], &["--json"]].concat())).unwrap();
    let warning = &answer["warnings"][0];
    assert_eq!(warning["warning"], "head_stays_cool");
    let (head, low) = (&warning["head_temperature_c"], &warning["low_c"]);
    assert_eq!(head, &answer["symptoms"]["head_temperature_c"]);
    assert!(head.as_f64().unwrap() < low.as_f64().unwrap());
    let text = shown(&setting);
    let told = format!(
        "  note: the head stays below {} °C at full throttle",
        low.as_f64().unwrap()
    );
    assert!(text.contains(&told), "{text}");
}

#[test]
fn a_fuel_without_oil_is_told_by_check_and_by_a_plan_whatever_the_mixture() {
    let told = "% oil: nobody runs less than 8 %";
    assert!(shown(&["check", "--oil", "2"]).contains("  note: 2.0 % oil: nobody runs less than 8 %; bearings"));
    assert!(!shown(&["check", "--oil", "8"]).contains(told));
    let plan = |oil| {
        let words = shown(&["change", "--to-oil", oil]);
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(plan("2").contains(told), "{}", plan("2"));
    assert!(!plan("9").contains(told));
}
