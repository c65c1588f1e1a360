//! A day's plan in plain words: hour by hour what is worth turning, and whether one setting does for all of it.

use super::action::{way, way_of_turns};
use super::check::Degrees;
use super::number::clicks;
use super::plan::{CAUTIONS, Kind, Line, Page, fails, setting};
use crate::bench::checks::Unit;
use crate::insight::change::Place;
use crate::insight::change::day::Day;
use crate::tuning::action::Screw;

/// A day's plan: `times` are the hours' names.
pub fn day(day: &Day, times: &[String], place: &Place, degrees: Degrees) -> Vec<Line> {
    let mut page = Page(Vec::new());
    page.add(
        Kind::Title,
        format!(
            "A day of {} on {}: plan from the model, seed {}",
            place.models.engine.name, place.models.fuel.name, day.seed
        ),
    );
    page.text(format!(
        "The screws stand at {} turns (high/low/idle stop) in the model before it; plug {}.",
        setting(day.stands),
        place.models.plug.name
    ));
    page.add(
        Kind::Heading,
        "Hour by hour, turns from where each hour finds the screws",
    );
    page.text(format!(
        "{:6} {:>6} {:>6} {:>6} {:>9}  {:>8} {:>8} {:>9}  {}",
        "time",
        degrees.unit(Unit::Celsius),
        "hPa",
        "hum %",
        "dens.alt",
        "high",
        "low",
        "idle stop",
        "what"
    ));
    for (time, hour) in times.iter().zip(&day.hours) {
        let w = &hour.weather;
        let told = |k: usize| {
            if clicks(hour.turns[k]) == 0 {
                "-".to_string()
            } else {
                way(Screw::ALL[k], hour.turns[k])
            }
        };
        let what = if !hour.left.clean {
            format!("no clean setting in reach: {}", fails(&hour.left.failed))
        } else if hour.turns == [0.0; 3] {
            "leave it".to_string()
        } else if hour.failed_if_left.is_empty() {
            "back to the middle; it would still pass".to_string()
        } else {
            format!("turn; else it {}", fails(&hour.failed_if_left))
        };
        page.text(format!(
            "{time:6} {:>6.1} {:>6.0} {:>6.0} {:>7.0} m  {:>8} {:>8} {:>9}  {what}",
            degrees.value(w.temperature_c, Unit::Celsius),
            w.pressure_hpa,
            w.humidity_percent,
            hour.density_altitude_m,
            told(0),
            told(1),
            told(2)
        ));
    }
    page.add(Kind::Heading, "One setting, rich enough for every hour");
    let from = |k: usize, to: f64, stands: f64| {
        let turns = to - stands;
        if clicks(turns) == 0 {
            "stays".to_string()
        } else {
            way_of_turns(Screw::ALL[k], turns)
        }
    };
    page.text(format!(
        "high-speed needle {}, low-speed needle {}, idle stop {} from where the screws stand.",
        from(0, day.one_setting.high_turns, day.stands.high_turns),
        from(1, day.one_setting.low_turns, day.stands.low_turns),
        from(2, day.one_setting.idle_turns, day.stands.idle_turns)
    ));
    let off: Vec<String> = times
        .iter()
        .zip(&day.hours)
        .filter(|(_, hour)| !hour.failed_at_one.is_empty())
        .map(|(time, hour)| format!("{time} ({})", fails(&hour.failed_at_one)))
        .collect();
    page.text(if off.is_empty() {
        "It is clean in every hour: nothing need be turned all day.".to_string()
    } else {
        format!("Not clean at {}.", off.join("; "))
    });
    page.add(Kind::Heading, "Cautions");
    for caution in CAUTIONS {
        page.text(caution);
    }
    page.0
}
