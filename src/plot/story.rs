//! A symptom's story: what the engine and its stores do over time at the setting asked about, beside the clean one.

use super::axis::Axis;
use super::canvas::{Canvas, INK, PlotError, picture};
use super::panel::{COLOURS, HEADING, LEFT, Panel, WIDTH, caption, caption_height};
use super::subject::{self, Subject};
use crate::insight::story::{Sample, Story, Tale};
use crate::practise::words::story as words;

/// A panel: its heading, its height, the least range of its axis, and its value.
struct Measure {
    heading: &'static str,
    height: f64,
    least: f64,
    from_zero: bool,
    value: fn(&Sample) -> Option<f64>,
}

const MEASURES: [Measure; 9] = [
    Measure {
        heading: "Engine speed, rpm",
        height: 120.0,
        least: 3000.0,
        from_zero: false,
        value: |s| Some(s.engine_rpm),
    },
    Measure {
        heading: "Film on the crankcase's walls, mg of fuel",
        height: 84.0,
        least: 10.0,
        from_zero: true,
        value: |s| Some(s.film_mg),
    },
    Measure {
        heading: "Mixture in the cylinder, equivalence ratio, oil inert",
        height: 84.0,
        least: 0.4,
        from_zero: false,
        value: |s| s.cylinder_equivalence_ratio,
    },
    Measure {
        heading: "Piston's crown, °C",
        height: 84.0,
        least: 20.0,
        from_zero: false,
        value: |s| Some(s.crown_temperature_c),
    },
    Measure {
        heading: "Charge as the ports close, °C",
        height: 74.0,
        least: 20.0,
        from_zero: false,
        value: |s| s.charge_temperature_c,
    },
    Measure {
        heading: "Share of the charge that burns, %",
        height: 74.0,
        least: 20.0,
        from_zero: false,
        value: |s| Some(s.burnt_percent),
    },
    Measure {
        heading: "Oil in the pipe, mg",
        height: 74.0,
        least: 5.0,
        from_zero: true,
        value: |s| Some(s.pipe_oil_mg),
    },
    Measure {
        heading: "Pressure in the tank, kPa",
        height: 74.0,
        least: 1.0,
        from_zero: true,
        value: |s| Some(s.tank_pressure_kpa),
    },
    Measure {
        heading: "Power at the shaft, W",
        height: 74.0,
        least: 100.0,
        from_zero: false,
        value: |s| Some(s.power_w),
    },
];

/// From then on a speed after a burst is one of the idle, s.
const SETTLES_S: f64 = 0.8;
/// The clean engine's dashes.
const DASHES: [f64; 2] = [6.0, 4.0];

/// The picture.
///
/// # Errors
/// None that any story leads to; the drawing library could refuse.
pub fn svg(subject: &Subject, story: &Story) -> Result<String, PlotError> {
    let title = format!("{}: {}", words::tale(story.tale), subject.name());
    let lines = [
        format!("thick: {}", subject::setting(story.asked)),
        format!("dashed: clean, {}", subject::setting(story.clean)),
        format!(
            "{}, {} plug, seed {}; {}",
            subject.air(),
            subject.plug,
            subject.seed,
            words::zero(story.tale)
        ),
    ];
    let height: f64 = MEASURES.iter().map(|m| m.height + HEADING).sum();
    let first = caption_height(lines.len());
    let times = || story.samples.iter().flatten().map(|s| s.time_s);
    let x = Axis::exact(
        times().fold(f64::INFINITY, f64::min).min(0.0),
        times().fold(0.1, f64::max),
        15,
    );
    picture((WIDTH, first + height + 48.0), &title, |canvas| {
        let mut top = caption(canvas, &title, &lines)?;
        let mut last = None;
        for (measure, colour) in MEASURES.iter().zip(COLOURS.iter().cycle()) {
            top += HEADING;
            // Where the idle is what it is about, its speed has the panel to itself, and the burst is cut off.
            let cut = top < first + 2.0 * HEADING && matches!(story.tale, Tale::Hang | Tale::LoadUp);
            let shown = |s: &&Sample| !cut || s.time_s > SETTLES_S;
            let seen = || story.samples.iter().flatten().filter(shown).filter_map(measure.value);
            let low = seen().fold(f64::INFINITY, f64::min);
            let low = if measure.from_zero { low.min(0.0) } else { low };
            let panel = Panel {
                top,
                bottom: top + measure.height,
                x,
                y: Axis::around(low, seen().fold(f64::NEG_INFINITY, f64::max), measure.least, 4),
            };
            panel.frame(
                canvas,
                measure.heading,
                if cut { "faster is drawn on the upper edge" } else { "" },
            )?;
            let points = |of: usize| story.samples[of].iter().map(|s| (s.time_s, (measure.value)(s)));
            let clean: Vec<(f64, f64)> = points(1).filter_map(|(t, v)| Some(panel.at(t, v?))).collect();
            canvas.trace(&clean, INK, 1.3, &DASHES)?;
            let asked: Vec<(f64, f64)> = points(0).filter_map(|(t, v)| Some(panel.at(t, v?))).collect();
            canvas.trace(&asked, *colour, 2.2, &[])?;
            moment(canvas, &panel)?;
            top = panel.bottom;
            last = Some(panel);
        }
        last.map_or(Ok(()), |panel| panel.foot(canvas, "Time, s"))
    })
}

/// The story's moment: a thin line at nought.
fn moment(canvas: &mut Canvas, panel: &Panel) -> Result<(), PlotError> {
    let x = panel.at(0.0, panel.y.low).0;
    if x > LEFT + 2.0 {
        canvas.line((x, panel.top), (x, panel.bottom), INK, 0.8)?;
    }
    Ok(())
}
