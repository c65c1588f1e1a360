//! One manoeuvre as stacked panels over a common time: throttle, engine speed, mixture, film, smoke, and the temperatures of head, crown,
//! charge, fuel and exhaust.

use super::axis::{Axis, grouped};
use super::canvas::{Canvas, Hand, INK, PlotError, Side, picture, short};
use super::panel::{COLOURS, HEADING, LEFT, Panel, RIGHT, WIDTH, caption, caption_height};
use crate::bench::series::Row;
use crate::engine::params::Setting;
use crate::engine::state::Load;
use crate::fluids::air::Weather;
use crate::insight::spread::Band;
use crate::units::fahrenheit_from_celsius;
use plotters::style::RGBColor;

/// Of the range over sets of constants: light enough for the grid and the curve to stand out.
const SHADE: RGBColor = RGBColor(0xdd, 0xd3, 0xc0);

/// What was run: it stands in the caption.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The manoeuvre's name, or the trace's.
    pub manoeuvre: &'a str,
    /// The engine's name.
    pub engine: &'a str,
    /// The plug's name.
    pub plug: &'a str,
    /// The fuel's name.
    pub fuel: &'a str,
    /// The screws.
    pub setting: Setting,
    /// The weather.
    pub weather: Weather,
    /// Whether the engine started cold.
    pub cold: bool,
    /// What it drove.
    pub load: Load,
    /// When the fuel line was pinched, s.
    pub pinch_at_s: Option<f64>,
    /// Seed of the noise.
    pub seed: u64,
    /// Temperatures in °F instead of °C.
    pub fahrenheit: bool,
}

/// How far a panel's scale reaches.
#[derive(Clone, Copy)]
enum Reach {
    /// A fixed range.
    Fixed(f64, f64),
    /// From 0 to the largest value, or at least so far.
    FromZero(f64),
    /// Around the values and this one, at least so wide.
    With(f64, f64),
    /// Around the values, at least so wide.
    Around(f64),
}

/// One panel's measure.
#[derive(Clone, Copy)]
struct Measure {
    name: &'static str,
    unit: &'static str,
    digits: usize,
    height: f64,
    reach: Reach,
    /// Why there may be nothing to draw.
    none: &'static str,
    value: fn(&Row) -> Option<f64>,
    fahrenheit: bool,
}

impl Measure {
    /// Its value in a row.
    fn of(&self, row: &Row) -> Option<f64> {
        let value = (self.value)(row)?;
        Some(if self.fahrenheit {
            fahrenheit_from_celsius(value)
        } else {
            value
        })
    }

    /// The same, a temperature told in °F.
    fn in_fahrenheit(self) -> Self {
        match (self.unit, self.reach) {
            ("°C", Reach::Around(least)) => Self {
                unit: "°F",
                reach: Reach::Around(2.0 * least),
                fahrenheit: true,
                ..self
            },
            _ => self,
        }
    }
}

/// A measure from 0 up, at least as far as `least`.
const fn upward(
    (name, unit, digits): (&'static str, &'static str, usize),
    (height, least): (f64, f64),
    value: fn(&Row) -> Option<f64>,
) -> Measure {
    Measure {
        name,
        unit,
        digits,
        height,
        reach: Reach::FromZero(least),
        none: "",
        value,
        fahrenheit: false,
    }
}

/// A temperature over at least so many kelvin.
const fn temperature(
    name: &'static str,
    (height, least): (f64, f64),
    none: &'static str,
    value: fn(&Row) -> Option<f64>,
) -> Measure {
    Measure {
        name,
        unit: "°C",
        digits: 1,
        height,
        reach: Reach::Around(least),
        none,
        value,
        fahrenheit: false,
    }
}

const MEASURES: [Measure; 10] = [
    Measure {
        name: "Throttle",
        unit: "% open",
        digits: 0,
        height: 56.0,
        reach: Reach::Fixed(0.0, 100.0),
        none: "",
        value: |r| Some(100.0 * r.throttle),
        fahrenheit: false,
    },
    upward(("Engine speed", "rpm", 0), (126.0, 10_000.0), |r| Some(r.engine_rpm)),
    Measure {
        name: "Equivalence ratio as metered, oil inert",
        unit: "",
        digits: 2,
        height: 96.0,
        reach: Reach::With(1.0, 0.5),
        none: "none: no air flows",
        value: |r| r.equivalence_ratio,
        fahrenheit: false,
    },
    upward(("Fuel film in the crankcase", "mg", 1), (86.0, 10.0), |r| {
        Some(r.fuel_film_mg)
    }),
    upward(("Smoke opacity", "%", 1), (86.0, 20.0), |r| {
        Some(r.smoke_opacity_percent)
    }),
    temperature("Head temperature", (76.0, 20.0), "", |r| Some(r.head_temperature_c)),
    temperature("Crown temperature", (76.0, 20.0), "", |r| Some(r.crown_temperature_c)),
    temperature(
        "Charge temperature as the ports close",
        (76.0, 20.0),
        "none: the engine stands",
        |r| r.charge_temperature_c,
    ),
    temperature(
        "Fuel temperature at the jet",
        (56.0, 10.0),
        "none: no fuel flows",
        |r| r.fuel_temperature_c,
    ),
    temperature("Exhaust gas temperature in the pipe", (76.0, 50.0), "", |r| {
        Some(r.exhaust_temperature_c)
    }),
];

/// The picture of a run, SVG text under 300 kB whatever the run's length; behind its curves the range over other sets of constants, if
/// there is one.
///
/// # Errors
/// None that any series leads to; the drawing library could refuse.
pub fn svg(subject: &Subject, rows: &[Row], band: Option<&Band>) -> Result<String, PlotError> {
    let end_s = rows.last().map_or(1.0, |row| row.time_s);
    let x = Axis::exact(0.0, end_s.max(0.01), 15);
    let events = events(subject, rows);
    let mut lines = lines(subject);
    lines.extend(band.map(|band| {
        format!(
            "shaded: the range over {} sets of constants that all show what this engine shows; curve: the reference's",
            band.sets
        )
    }));
    let title = format!(
        "{}: {} on {}",
        short(subject.manoeuvre, 32),
        short(subject.engine, 32),
        short(subject.fuel, 32)
    );
    let measures = MEASURES.map(|m| if subject.fahrenheit { m.in_fahrenheit() } else { m });
    let first = caption_height(lines.len()) + 18.0 * events.len() as f64;
    let height: f64 = measures.iter().map(|m| m.height + HEADING).sum();
    let aloud = format!("{title}; {}", lines.join("; "));
    picture((WIDTH, first + height + 48.0), &aloud, |canvas| {
        let mut top = caption(canvas, &title, &lines)? + 18.0 * events.len() as f64;
        let labels = top;
        let mut panels = Vec::with_capacity(measures.len());
        for (measure, colour) in measures.iter().zip(COLOURS.iter().cycle()) {
            top += HEADING;
            let panel = Panel {
                top,
                bottom: top + measure.height,
                x,
                y: scale(measure, rows, band),
            };
            draw(canvas, &panel, measure, (rows, band), *colour)?;
            top = panel.bottom;
            panels.push(panel);
        }
        for (i, (time_s, what)) in events.iter().enumerate() {
            mark_event(
                canvas,
                &panels,
                (*time_s, what),
                labels - 18.0 * (events.len() - i) as f64 + 12.0,
            )?;
        }
        panels.last().map_or(Ok(()), |panel| panel.foot(canvas, "Time, s"))
    })
}

/// A dashed line through all panels at a time, with its meaning above them.
fn mark_event(
    canvas: &mut Canvas,
    panels: &[Panel],
    (time_s, what): (f64, &str),
    height: f64,
) -> Result<(), PlotError> {
    for panel in panels {
        let x = panel.at(time_s, panel.y.low).0;
        canvas.dashes((x, panel.top), (x, panel.bottom), INK)?;
    }
    let Some(panel) = panels.first() else { return Ok(()) };
    let x = panel.at(time_s, panel.y.low).0;
    let side = if x > (LEFT + RIGHT) / 2.0 {
        Side::Right
    } else {
        Side::Left
    };
    // Where the first panel's heading stands, the line waits for the frame.
    if x > LEFT + 140.0 {
        canvas.dashes((x, height + 9.0), (x, panel.top), INK)?;
    }
    canvas.words(what, (x, height), side, Hand::PLAIN)
}

/// What is said under the title.
fn lines(subject: &Subject) -> Vec<String> {
    let (s, w) = (subject.setting, subject.weather);
    let temperature = if subject.fahrenheit {
        format!("{:.1} °F", fahrenheit_from_celsius(w.temperature_c))
    } else {
        format!("{:.1} °C", w.temperature_c)
    };
    let load = match subject.load {
        Load::Brake(speed) => format!("on the brake at {} rpm", grouped(60.0 * speed, 0)),
        Load::Track => "on the track".to_string(),
        Load::Stand => "wheels up".to_string(),
    };
    vec![
        format!(
            "high-speed needle {:.3}, low-speed needle {:.3}, idle stop {:.3} turns open from closed; seed {}",
            s.high_turns, s.low_turns, s.idle_turns, subject.seed
        ),
        format!(
            "{load}, {} start; plug {}; air {temperature}, {:.2} hPa, {:.0} % humidity",
            if subject.cold { "cold" } else { "warm" },
            short(subject.plug, 32),
            w.pressure_hpa,
            w.humidity_percent
        ),
    ]
}

/// What happened to the engine, and when.
fn events(subject: &Subject, rows: &[Row]) -> Vec<(f64, String)> {
    let mut events = Vec::new();
    if let Some(time_s) = subject.pinch_at_s {
        events.push((time_s, format!("fuel line pinched at {time_s:.1} s")));
    }
    let alive = rows
        .iter()
        .rposition(|row| row.engine_rpm > 0.0)
        .map_or(0, |last| last + 1);
    match rows.get(alive) {
        Some(row) if alive == 0 => events.push((row.time_s, "the engine doesn't run".to_string())),
        Some(row) => events.push((row.time_s, format!("engine stopped at {:.1} s", row.time_s))),
        None => {}
    }
    events
}

fn span(measure: &Measure, rows: &[Row]) -> Option<(f64, f64)> {
    let values = rows
        .iter()
        .filter_map(|row| measure.of(row))
        .filter(|value| value.is_finite());
    values.fold(None, |span: Option<(f64, f64)>, v| {
        Some(span.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
    })
}

fn scale(measure: &Measure, rows: &[Row], band: Option<&Band>) -> Axis {
    let (mut low, mut high) = span(measure, rows).unwrap_or((0.0, 1.0));
    for edge in band.iter().flat_map(|band| [&band.low, &band.high]) {
        let (least, most) = span(measure, edge).unwrap_or((low, high));
        (low, high) = (low.min(least), high.max(most));
    }
    let intervals = if measure.height > 100.0 { 5 } else { 3 };
    match measure.reach {
        Reach::Fixed(low, high) => Axis::exact(low, high, 2),
        // A little more, so that a steady value on a mark doesn't run along the frame.
        Reach::FromZero(least) => Axis::around(0.0, 1.02 * high, least, intervals),
        Reach::With(value, least) => Axis::around(low.min(value), high.max(value), least, intervals),
        Reach::Around(least) => Axis::around(low, high, least, intervals),
    }
}

fn draw(
    canvas: &mut Canvas,
    panel: &Panel,
    measure: &Measure,
    (rows, band): (&[Row], Option<&Band>),
    colour: RGBColor,
) -> Result<(), PlotError> {
    let number = |value: f64| grouped(value, measure.digits);
    let aside = match (measure.reach, span(measure, rows)) {
        (Reach::Fixed(..), _) | (_, None) => String::new(),
        (Reach::With(value, _), Some((low, high))) => {
            format!("{} to {}; dashed: {value}, stoichiometric", number(low), number(high))
        }
        (_, Some((low, high))) => format!("{} to {} {}", number(low), number(high), measure.unit),
    };
    let heading = match measure.unit {
        "" => format!("{} (no unit)", measure.name),
        unit => format!("{}, {unit}", measure.name),
    };
    panel.frame(canvas, &heading, &aside)?;
    if let Reach::With(value, _) = measure.reach {
        panel.level(canvas, value)?;
    }
    if span(measure, rows).is_none() {
        return panel.nothing(canvas, measure.none);
    }
    if matches!(measure.reach, Reach::Fixed(..)) {
        let points: Vec<(f64, f64)> = rows
            .iter()
            .filter_map(|row| Some(panel.at(row.time_s, measure.of(row)?)))
            .collect();
        canvas.area(&points, panel.bottom, RGBColor(0xdb, 0xe2, 0xe8))?;
    } else if let Some(band) = band {
        let edge = |rows: &[Row]| -> Vec<(f64, f64)> {
            let points = rows
                .iter()
                .filter_map(|row| Some(panel.at(row.time_s, measure.of(row)?)));
            points.collect()
        };
        canvas.band(&edge(&band.low), &edge(&band.high), SHADE)?;
    }
    panel.curve(canvas, rows.iter().map(|row| (row.time_s, measure.of(row))), colour)
}

#[cfg(test)]
#[path = "run_tests.rs"]
mod tests;
