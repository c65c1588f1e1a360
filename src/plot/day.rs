//! A day's plan as a picture: the weather hour by hour, and where the clean setting lies against where the screws are left.

use super::axis::Axis;
use super::canvas::{PlotError, picture};
use super::panel::{COLOURS, HEADING, Panel, WIDTH, caption, caption_height};
use crate::engine::params::Setting;
use crate::insight::change::day::{Day, Hour};
use crate::units::fahrenheit_from_celsius;
use plotters::style::RGBColor;

/// Height of a panel.
const HEIGHT: f64 = 84.0;

/// One panel.
struct Measure {
    heading: String,
    colour: RGBColor,
    values: Vec<f64>,
    /// Where the screws are left, beside where they are best.
    left: Option<Vec<f64>>,
    least: f64,
}

fn measures(day: &Day, fahrenheit: bool) -> Vec<Measure> {
    let each = |value: &dyn Fn(&Hour) -> f64| day.hours.iter().map(value).collect::<Vec<f64>>();
    let degrees = if fahrenheit { "°F" } else { "°C" };
    let screw = |heading: &str, colour, of: fn(Setting) -> f64| Measure {
        heading: heading.to_string(),
        colour,
        values: each(&|hour| of(hour.left.setting) - of(day.stands)),
        left: Some(each(&|hour| of(hour.stands) - of(day.stands))),
        least: 0.25,
    };
    vec![
        Measure {
            heading: format!("Air, {degrees}"),
            colour: COLOURS[0],
            values: each(&|hour| {
                let c = hour.weather.temperature_c;
                if fahrenheit { fahrenheit_from_celsius(c) } else { c }
            }),
            left: None,
            least: 5.0,
        },
        Measure {
            heading: "Density altitude, m".to_string(),
            colour: COLOURS[0],
            values: each(&|hour| hour.density_altitude_m),
            left: None,
            least: 200.0,
        },
        screw(
            "High-speed needle, turns from where it stands before the day",
            COLOURS[1],
            |s| s.high_turns,
        ),
        screw(
            "Low-speed needle, turns from where it stands before the day",
            COLOURS[2],
            |s| s.low_turns,
        ),
        screw(
            "Idle stop, turns from where it stands before the day",
            COLOURS[3],
            |s| s.idle_turns,
        ),
    ]
}

/// The picture; `hours` are the rows' times, hours after midnight.
///
/// # Errors
/// None that any day leads to; the drawing library could refuse.
pub fn svg(title: &str, about: &str, day: &Day, hours: &[f64], fahrenheit: bool) -> Result<String, PlotError> {
    let lines = [
        about.to_string(),
        format!(
            "Line: the clean setting of each hour; dots: where the screws are left, filled where they are turned; seed {}",
            day.seed
        ),
        "A ring round a dot: no clean setting in reach in that hour".to_string(),
    ];
    let measures = measures(day, fahrenheit);
    let step = HEIGHT + HEADING + 8.0;
    let top = caption_height(lines.len());
    let height = top + step * measures.len() as f64 + 48.0;
    let x = Axis::around(
        hours.iter().copied().fold(f64::INFINITY, f64::min),
        hours.iter().copied().fold(0.0, f64::max),
        1.0,
        12,
    );
    picture((WIDTH, height), title, |canvas| {
        caption(canvas, title, &lines)?;
        for (k, measure) in measures.iter().enumerate() {
            let all = measure.values.iter().chain(measure.left.iter().flatten());
            let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(*v), high.max(*v))
            });
            let upper = top + step * k as f64 + HEADING;
            let panel = Panel {
                top: upper,
                bottom: upper + HEIGHT,
                x,
                y: Axis::around(low, high, measure.least, 4),
            };
            panel.frame(canvas, &measure.heading, "")?;
            panel.curve(
                canvas,
                hours.iter().copied().zip(measure.values.iter().map(|v| Some(*v))),
                measure.colour,
            )?;
            for ((hour, at), left) in day.hours.iter().zip(hours).zip(measure.left.iter().flatten()) {
                let place = panel.at(*at, *left);
                if !hour.left.clean {
                    canvas.dot(place, 7.0, measure.colour, false)?;
                }
                canvas.dot(place, 3.5, measure.colour, hour.turns != [0.0; 3])?;
            }
            if k + 1 == measures.len() {
                panel.foot(canvas, "hour of the day")?;
            }
        }
        Ok(())
    })
}
