//! What leaning for range gains and costs, as a picture: minutes a tank, the hottest head and the wear of a tank, against the high-speed
//! needle; filled dots are clean.

use super::axis::Axis;
use super::canvas::{Hand, PlotError, Side, picture};
use super::panel::{COLOURS, HEADING, LEFT, Panel, WIDTH, caption, caption_height};
use crate::insight::range::{Leaner, Range};
use crate::units::fahrenheit_from_celsius;

/// Height of a panel.
const HEIGHT: f64 = 130.0;

/// The picture; `planned` are the minutes to a planned stop.
///
/// # Errors
/// None that any tank leads to; the drawing library could refuse.
pub fn svg(
    title: &str,
    about: &str,
    range: &Range,
    planned: Option<f64>,
    fahrenheit: bool,
) -> Result<String, PlotError> {
    let lines = [
        about.to_string(),
        "Filled dot: passes the checks; ring: does not; a level: the planned stop".to_string(),
    ];
    let degrees = if fahrenheit { "°F" } else { "°C" };
    let head = |needle: &Leaner| {
        let c = needle.tank.head_temperature_c;
        if fahrenheit { fahrenheit_from_celsius(c) } else { c }
    };
    let each = |value: &dyn Fn(&Leaner) -> Option<f64>| range.needles.iter().map(value).collect::<Vec<_>>();
    let measures = [
        ("A tank lasts, min".to_string(), each(&|n| n.tank.minutes), 1.0, planned),
        (
            format!("Hottest head, {degrees}"),
            each(&|n| n.tank.minutes.map(|_| head(n))),
            10.0,
            None,
        ),
        (
            "Wear of a tank, that at the setting counted as 1".to_string(),
            each(&|n| {
                n.tank
                    .minutes
                    .map(|_| n.tank.wear_percent / range.tank.wear_percent.max(1e-9))
            }),
            0.2,
            None,
        ),
    ];
    let step = HEIGHT + HEADING + 8.0;
    let top = caption_height(lines.len());
    let ends = |f: fn(f64, f64) -> f64| range.needles.iter().map(|n| n.high_turns_from_here).fold(0.0, f);
    let x = Axis::exact(ends(f64::min) - 0.01, ends(f64::max) + 0.01, 10);
    picture((WIDTH, top + step * measures.len() as f64 + 48.0), title, |canvas| {
        caption(canvas, title, &lines)?;
        for (k, (heading, values, least, level)) in measures.iter().enumerate() {
            let known = values.iter().flatten().chain(level.iter());
            let (low, high) = known.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(*v), high.max(*v))
            });
            let upper = top + step * k as f64 + HEADING;
            let panel = Panel {
                top: upper,
                bottom: upper + HEIGHT,
                x,
                y: Axis::around(low, high, *least, 4),
            };
            panel.frame(canvas, heading, "")?;
            if let Some(planned) = level {
                panel.level(canvas, *planned)?;
                let at = panel.at(x.low, *planned);
                canvas.words("planned stop", (LEFT + 8.0, at.1 - 9.0), Side::Left, Hand::ASIDE)?;
            }
            let points = range.needles.iter().zip(values);
            panel.curve(
                canvas,
                points.clone().map(|(n, v)| (n.high_turns_from_here, *v)),
                COLOURS[k + 1],
            )?;
            for (needle, value) in points {
                if let Some(value) = value {
                    let place = panel.at(needle.high_turns_from_here, *value);
                    canvas.dot(place, 4.5, COLOURS[k + 1], needle.failed.is_empty())?;
                }
            }
            if values.iter().all(Option::is_none) {
                panel.nothing(canvas, "the engine does not run through a tank")?;
            }
            if k + 1 == measures.len() {
                panel.foot(
                    canvas,
                    "high-speed needle, turns from where it stands (− in, leaner; + out, richer)",
                )?;
            }
        }
        Ok(())
    })
}
