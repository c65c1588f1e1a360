//! How sure a sign-off is, in words: each check over the sets of constants, and the verdicts that hang on them.

use std::fmt::Write;

use needlebench::bench::checks::Report;
use needlebench::insight::spread::{Spread, Sureness};
use needlebench::practise::words::{Degrees, check_name};

/// What else is worth its range, by the report's keys: name, unit.
const SYMPTOMS: [(&str, &str, &str); 9] = [
    ("equivalence_ratio_idle", "mixture at idle", "equivalence ratio"),
    ("equivalence_ratio_full", "mixture wide open", "equivalence ratio"),
    ("full_throttle_power_w", "power on the brake", "W"),
    ("best_power_w", "best power there", "W"),
    ("full_throttle_rpm", "wheels up, wide open", "rpm"),
    ("fuel_flow_full_g_per_s", "fuel wide open", "g/s"),
    ("smoke_opacity_percent", "smoke wide open", "% opacity"),
    ("idle_settle_s", "idle settles after", "s"),
    ("idle_film_time_constant_s", "film at idle, time", "s"),
];

/// A margin in spreads: nobody needs it exactly where it is many.
fn times(margin: f64) -> String {
    match margin {
        m if m >= 10.0 => "10+".to_string(),
        m if m <= -10.0 => "-10-".to_string(),
        m => format!("{m:.1}"),
    }
}

/// The table under the verdict.
pub(super) fn text(report: &Report, sure: &Sureness, degrees: Degrees) -> String {
    let mut text = format!(
        "\nhow sure is it: {} sets of constants that all show what this engine shows; {} of them say clean\n\n  \
         {:24} {:>10} {:>10} {:>10} {:>7} {:>8}  {:18}\n",
        sure.sets, sure.clean, "check", "median", "least", "most", "passing", "margin*", "unit"
    );
    // Writing to a string can't fail.
    for check in &sure.checks {
        let number = |of: fn(Spread) -> f64| {
            let value = check
                .value
                .map(|spread| format_value(degrees.value(of(spread), check.unit)));
            value.unwrap_or_else(|| "died".to_string())
        };
        let _ = writeln!(
            text,
            "  {:24} {:>10} {:>10} {:>10} {:>7} {:>8}  {:18} {}",
            check_name(check.name),
            number(|s| s.median),
            number(|s| s.low),
            number(|s| s.high),
            check.passing,
            check.margin_in_spreads.map_or("-".to_string(), times),
            degrees.unit(check.unit),
            if check.turns { "TURNS" } else { "" }
        );
    }
    for (key, name, unit) in SYMPTOMS {
        if let Some(Some(s)) = sure.symptoms.get(key) {
            let [median, low, high] = [s.median, s.low, s.high].map(format_value);
            let _ = writeln!(
                text,
                "  {name:24} {median:>10} {low:>10} {high:>10} {:>7} {:>8}  {unit}",
                "", ""
            );
        }
    }
    let turning: Vec<String> = sure
        .checks
        .iter()
        .filter(|c| c.turns)
        .map(|c| check_name(c.name))
        .collect();
    let agree = if report.clean {
        sure.clean
    } else {
        sure.sets - sure.clean
    };
    text += "\n  * the reference's distance from the nearer limit, in how far the sets reach towards that: 1 and more is sure\n";
    if turning.is_empty() {
        text += "  note: every check says the same by every set\n";
    } else {
        let _ = writeln!(
            text,
            "  note: what turns within the sets: {}; {agree} of {} agree with the verdict above",
            turning.join(", "),
            sure.sets
        );
    }
    text
}

pub(super) fn format_value(v: f64) -> String {
    match v.abs() {
        x if x >= 1000.0 => format!("{v:.0}"),
        x if x >= 10.0 => format!("{v:.1}"),
        x if x >= 1.0 => format!("{v:.2}"),
        _ => format!("{v:.3}"),
    }
}
