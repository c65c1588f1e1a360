//! How long a tank lasts, in plain words: the minutes with their spread, the planned stop, and what leaning for range gains and costs.

use super::check::Degrees;
use super::number::{fraction, span};
use super::plan::fails;
use crate::bench::checks::Unit;
use crate::insight::range::{Leaner, Range};

/// Minutes as a driver says them.
fn minutes(value: f64) -> String {
    span(60.0 * value)
}

/// The answer, line by line; `planned` are the minutes to the stop that is asked about.
pub fn range(range: &Range, planned: Option<f64>, degrees: Degrees) -> Vec<String> {
    let mut out = Vec::new();
    let (Some(lasts), Some(low), Some(high), Some(per_lap), Some(laps)) = (
        range.minutes_per_tank,
        range.low,
        range.high,
        range.fuel_per_lap_ml,
        range.laps_per_tank,
    ) else {
        out.push("The engine does not run through a tank at this setting: it dies with fuel left. `needlebench check` says why.".to_string());
        return out;
    };
    if !range.idles() {
        out.push("The engine does not idle at this setting: its idle dies, so nothing can be read from a tank driven on it. `needlebench check` says why.".to_string());
        return out;
    }
    out.push(format!(
        "A tank of {:.0} ml lasts {} ({} to {}): {laps:.1} laps of {:.1} s, {per_lap:.1} ml a lap",
        range.tank_ml,
        minutes(lasts),
        minutes(low),
        minutes(high),
        range.lap_s
    ));
    out.push(format!(
        "The spread counts {}, and nothing else; the driving is taken as it is.",
        range.spread_covers.join(", ")
    ));
    if let Some(planned) = planned {
        let margin = |of: f64| {
            let word = if of < planned { "short" } else { "to spare" };
            format!("{} {word}", minutes((of - planned).abs()))
        };
        let answer = if range.reaches(planned) == Some(true) {
            "Yes"
        } else {
            "No"
        };
        out.push(format!(
            "To a stop after {}: {answer}. {} as expected, {} at the least.",
            minutes(planned),
            margin(lasts),
            margin(low)
        ));
    }
    out.push(String::new());
    out.push(format!(
        "  {:>12} {:>10} {:>9} {:>9}  check",
        "high needle",
        "a tank",
        format!("head {}", degrees.unit(Unit::Celsius)),
        "wear"
    ));
    out.extend(range.needles.iter().map(|needle| row(needle, range, degrees)));
    if let Some(leanest) = range.leanest_clean() {
        let gain = leanest.tank.minutes.map(|longer| longer - lasts);
        let turned = leanest.high_turns_from_here;
        out.push(String::new());
        out.push(match gain {
            Some(gain) if turned < -1e-9 && gain > 0.0 => format!(
                "Leaning for range: the leanest needle that still passes is {} in: {} more a tank, the head {:+.1} K, wear x {:.2}. Leaner than that, minutes cost engines.",
                fraction(turned),
                minutes(gain),
                leanest.tank.head_temperature_c - range.tank.head_temperature_c,
                wear(leanest, range).unwrap_or(1.0)
            ),
            _ => "Leaning for range: there is nothing to gain, a click leaner does not pass or lasts no longer.".to_string(),
        });
    }
    out
}

/// Wear against that of a tank at the setting.
fn wear(needle: &Leaner, range: &Range) -> Option<f64> {
    let here = range.tank.wear_percent;
    (needle.tank.minutes.is_some() && here > 0.0).then(|| needle.tank.wear_percent / here)
}

fn row(needle: &Leaner, range: &Range, degrees: Degrees) -> String {
    let turns = needle.high_turns_from_here;
    let place = match turns {
        t if t < -1e-9 => format!("{} in", fraction(t)),
        t if t > 1e-9 => format!("{} out", fraction(t)),
        _ => "as it is".to_string(),
    };
    let check = if needle.failed.is_empty() {
        "clean".to_string()
    } else {
        fails(&needle.failed)
    };
    format!(
        "  {place:>12} {:>10} {:>9.1} {:>9}  {check}",
        needle
            .tank
            .minutes
            .map_or("died".to_string(), |m| format!("{m:.2} min")),
        degrees.value(needle.tank.head_temperature_c, Unit::Celsius),
        wear(needle, range).map_or("-".to_string(), |wear| format!("x {wear:.2}"))
    )
}
