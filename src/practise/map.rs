//! A small map of the settings around the true one, in text, with the path that the screws took over it.
//!
//! High-speed needle to the right, low-speed needle upwards, both from lean to rich, the idle stop where it ended. A letter says
//! what the sign-off finds there, a number which stop of the path lies there.

use std::fmt::Write;

use rayon::prelude::*;

use crate::bench::checks::Report;
use crate::engine::params::Setting;
use crate::tuning::hidden::{Hidden, within};

/// Width of a field, turns: two clicks.
const FIELD_TURNS: f64 = 1.0 / 12.0;
/// Fields to the lean and to the rich side of the true setting.
const FIELDS: (i32, i32) = (3, 5);

/// What the sign-off finds at a field.
fn letter(report: &Report) -> char {
    if report.clean {
        return 'C';
    }
    let failed = report.failed();
    let value_below = |name: &str| {
        report
            .checks
            .iter()
            .any(|c| c.name == name && c.value.zip(c.low).is_some_and(|(value, low)| value < low))
    };
    if report.symptoms.stalled {
        'x'
    } else if value_below("full_rich_of_best_power")
        || failed.contains(&"full_detonation")
        || failed.contains(&"full_head_temperature")
        || failed.contains(&"burst_return")
    {
        'l'
    } else if failed == ["idle_speed"] {
        'i'
    } else {
        'r'
    }
}

/// The map of a practice that ended: `path` in the order in which it was walked, the idle stop at the last of it.
pub fn text(hidden: &Hidden, path: &[Setting]) -> String {
    let truth = hidden.truth;
    let idle_turns = path.last().map_or(truth.idle_turns, |s| s.idle_turns);
    let columns: Vec<i32> = (-FIELDS.0..=FIELDS.1).collect();
    let at = |high: i32, low: i32| {
        within(Setting {
            high_turns: truth.high_turns + f64::from(high) * FIELD_TURNS,
            low_turns: truth.low_turns + f64::from(low) * FIELD_TURNS,
            idle_turns,
        })
    };
    let fields: Vec<(i32, i32)> = columns
        .iter()
        .rev()
        .flat_map(|low| columns.iter().map(move |high| (*high, *low)))
        .collect();
    let letters: Vec<char> = fields
        .par_iter()
        .map(|(high, low)| letter(&hidden.judging.check(&hidden.sound, at(*high, *low))))
        .collect();
    let field = |turns: f64| {
        let fields = (turns / FIELD_TURNS).round();
        fields.clamp(f64::from(-FIELDS.0), f64::from(FIELDS.1)) as i32
    };
    // Stops of the path: the last visit to a field counts, turns of the idle stop alone are no stop.
    let mut stops: Vec<(i32, i32)> = Vec::new();
    for setting in path {
        let here = (
            field(setting.high_turns - truth.high_turns),
            field(setting.low_turns - truth.low_turns),
        );
        if stops.last() != Some(&here) {
            stops.push(here);
        }
    }
    let mut out = String::from(
        "  high-speed needle: lean to rich from left to right; low-speed needle: lean to rich upwards; a field is 1/12 turn\n",
    );
    for (index, (high, low)) in fields.iter().enumerate() {
        if *high == -FIELDS.0 {
            out.push_str("    ");
        }
        let stop = stops.iter().rposition(|s| s == &(*high, *low));
        let mark = stop.map_or(String::new(), |n| n.to_string());
        let centre = if (*high, *low) == (0, 0) { "*" } else { "" };
        // Writing to a string can't fail.
        let _ = write!(out, "{:<5}", format!("{}{centre}{mark}", letters[index]));
        if *high == FIELDS.1 {
            out.truncate(out.trim_end().len());
            out.push('\n');
        }
    }
    out.push_str(
        "  C clean, l lean (or hot, or knocking), r rich (or a poor low end), i only the idle's speed, x dies; * the true setting;\n  \
         0, 1, 2 ... where you came by, what lies beyond the edge is drawn on it; the idle stop as you left it\n",
    );
    out
}
