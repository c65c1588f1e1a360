//! A map of settings: where race-clean and safe-clean lie in the plane of both needles, the border of every check, lines of one mixture, a
//! path; and how the island moves from one fuel or weather to another. Everything is told by fill, pattern and number, so that neither
//! colour-blind eyes nor a grey print lose anything.

use plotters::style::RGBColor;

use super::axis::Axis;
use super::canvas::{Canvas, Hand, INK, PlotError, SOFT, Side, picture};
use super::panel::{COLOURS, LEFT, WIDTH, caption, caption_height};
use super::subject::{self, Subject};
use crate::bench::checks::CheckName;
use crate::engine::params::Setting;
use crate::insight::contour::Line;
use crate::insight::plane::Plane;
use crate::practise::words::check_name;

/// Side of the map, and where the legend begins.
const SIDE: f64 = 560.0;
const LEGEND: f64 = LEFT + SIDE + 56.0;
/// Fills: what passes every check, and what still does a little leaner.
const RACE: RGBColor = RGBColor(0xd6, 0xe2, 0xee);
const SAFE: RGBColor = RGBColor(0xa3, 0xbf, 0xd9);
/// Patterns of borders.
// Each dash costs a hundred bytes: they are as long as they can be and still be told apart.
const PATTERNS: [&[f64]; 5] = [&[], &[15.0, 6.0], &[3.0, 6.0], &[16.0, 5.0, 3.0, 5.0], &[8.0, 4.0]];
/// Pattern of the other day's island.
const OTHER: [f64; 2] = [12.0, 5.0];
/// A line of fewer points than this share of a side is a speck of chance, and left out.
const SPECK_SHARE: f64 = 0.3;
/// Distance between numbers of borders, so that none hides another.
const APART: f64 = 24.0;

/// A map and where it lies in the picture.
struct Chart<'a> {
    plane: &'a Plane,
    x: Axis,
    y: Axis,
    top: f64,
}

impl Chart<'_> {
    fn at(&self, setting: Setting) -> (f64, f64) {
        let (x, y) = (self.x.place(setting.high_turns), self.y.place(setting.low_turns));
        (
            LEFT + SIDE * x.clamp(0.0, 1.0),
            self.top + SIDE * (1.0 - y.clamp(0.0, 1.0)),
        )
    }

    /// The lines that are worth drawing, longest first.
    fn worth<'l>(&self, lines: &'l [Line]) -> impl Iterator<Item = &'l Line> {
        let least = SPECK_SHARE * self.plane.frame.fields as f64;
        lines.iter().filter(move |line| line.len() as f64 >= least)
    }

    fn line(&self, line: &Line) -> Vec<(f64, f64)> {
        let frame = &self.plane.frame;
        line.iter()
            .map(|(column, row)| self.at(frame.setting(*column, *row)))
            .collect()
    }

    /// The axes over the frame of a map.
    fn of(plane: &Plane, top: f64) -> Chart<'_> {
        let last = (plane.frame.fields - 1) as f64;
        let (from, to) = (plane.frame.setting(0.0, 0.0), plane.frame.setting(last, last));
        Chart {
            plane,
            x: Axis::exact(from.high_turns, to.high_turns, 8),
            y: Axis::exact(from.low_turns, to.low_turns, 8),
            top,
        }
    }

    fn frame(&self, canvas: &mut Canvas) -> Result<(), PlotError> {
        let bottom = self.top + SIDE;
        for mark in self.x.marks() {
            let x = LEFT + SIDE * self.x.place(mark);
            canvas.line((x, bottom), (x, bottom + 4.0), SOFT, 1.0)?;
            canvas.words(&self.x.label(mark), (x, bottom + 14.0), Side::Middle, Hand::PLAIN)?;
        }
        for mark in self.y.marks() {
            let y = self.top + SIDE * (1.0 - self.y.place(mark));
            canvas.line((LEFT - 4.0, y), (LEFT, y), SOFT, 1.0)?;
            canvas.words(&self.y.label(mark), (LEFT - 8.0, y), Side::Right, Hand::PLAIN)?;
        }
        let (left, right) = (LEFT, LEFT + SIDE);
        for (from, to) in [
            ((left, self.top), (right, self.top)),
            ((right, self.top), (right, bottom)),
            ((right, bottom), (left, bottom)),
            ((left, bottom), (left, self.top)),
        ] {
            canvas.line(from, to, SOFT, 1.0)?;
        }
        canvas.words(
            "high-speed needle, turns open (lean to rich)",
            (0.5 * (left + right), bottom + 35.0),
            Side::Middle,
            Hand::HEADING,
        )?;
        canvas.words(
            "low-speed needle, turns open (lean to rich)",
            (left, self.top - 12.0),
            Side::Left,
            Hand::HEADING,
        )
    }

    /// Fills the fields on which some heights are above nothing, run by run.
    fn fill(&self, canvas: &mut Canvas, heights: &[f64], colour: RGBColor) -> Result<(), PlotError> {
        let (frame, n) = (&self.plane.frame, self.plane.frame.fields);
        for (row, heights) in heights.chunks(n).enumerate() {
            let mut column = 0;
            while column < n {
                let run = heights[column..].iter().take_while(|height| **height >= 0.0).count();
                if run > 0 {
                    let from = frame.setting(column as f64 - 0.5, row as f64 + 0.5);
                    let to = frame.setting((column + run) as f64 - 0.5, row as f64 - 0.5);
                    canvas.block(self.at(from), self.at(to), colour)?;
                }
                column += run.max(1);
            }
        }
        Ok(())
    }

    /// Draws the border of some heights, specks left out; its longest line.
    fn outline(
        &self,
        canvas: &mut Canvas,
        heights: &[f64],
        (colour, width, pattern): (RGBColor, f64, &[f64]),
    ) -> Result<Option<Vec<(f64, f64)>>, PlotError> {
        let mut longest = None;
        for line in self.worth(&self.plane.border(heights)) {
            let points = self.line(line);
            canvas.trace(&points, colour, width, pattern)?;
            longest.get_or_insert(points);
        }
        Ok(longest)
    }
}

/// The legend beside a map, line by line.
struct Legend {
    y: f64,
}

impl Legend {
    fn words(&mut self, canvas: &mut Canvas, text: &str, hand: Hand) -> Result<(), PlotError> {
        canvas.words(text, (LEGEND, self.y), Side::Left, hand)?;
        self.y += 20.0;
        Ok(())
    }

    /// Words that go on from the line above.
    fn beside(&mut self, canvas: &mut Canvas, text: &str) -> Result<(), PlotError> {
        canvas.words(text, (LEGEND + 42.0, self.y), Side::Left, Hand::PLAIN)?;
        self.y += 20.0;
        Ok(())
    }

    fn line(
        &mut self,
        canvas: &mut Canvas,
        (colour, width, pattern): (RGBColor, f64, &[f64]),
        text: &str,
    ) -> Result<(), PlotError> {
        canvas.trace(&[(LEGEND, self.y), (LEGEND + 34.0, self.y)], colour, width, pattern)?;
        canvas.words(text, (LEGEND + 42.0, self.y), Side::Left, Hand::PLAIN)?;
        self.y += 20.0;
        Ok(())
    }

    fn fill(&mut self, canvas: &mut Canvas, colour: RGBColor, text: &str) -> Result<(), PlotError> {
        canvas.block((LEGEND, self.y - 7.0), (LEGEND + 34.0, self.y + 7.0), colour)?;
        canvas.words(text, (LEGEND + 42.0, self.y), Side::Left, Hand::PLAIN)?;
        self.y += 20.0;
        Ok(())
    }
}

/// Height of a map's picture under its caption.
const BELOW: f64 = 34.0 + SIDE + 56.0;

/// The map of one fuel and weather: islands, borders, mixtures, and a path.
///
/// # Errors
/// None that any map leads to; the drawing library could refuse.
pub fn svg(subject: &Subject, plane: &Plane, path: &[Setting]) -> Result<String, PlotError> {
    let title = format!("Where it is clean: {}", subject.name());
    let lines = [
        format!(
            "{}; {} plug; idle stop {:.3} turns everywhere",
            subject.air(),
            subject.plug,
            subject.setting.idle_turns
        ),
        format!(
            "{n} x {n} fields, a whole sign-off each, seed {}; +: {}",
            plane.seed,
            subject::setting(subject.setting),
            n = plane.frame.fields
        ),
    ];
    let first = caption_height(lines.len());
    picture((WIDTH, first + BELOW), &title, |canvas| {
        caption(canvas, &title, &lines)?;
        let chart = Chart::of(plane, first + 34.0);
        let (race, safe) = (plane.race(), plane.safe());
        chart.fill(canvas, &race, RACE)?;
        chart.fill(canvas, &safe, SAFE)?;
        let mut legend = Legend { y: chart.top + 6.0 };
        legend.fill(canvas, RACE, "race-clean: every check passes")?;
        legend.fill(canvas, SAFE, "safe-clean: 1/8 high and 1/24")?;
        legend.beside(canvas, "low leaner passes, too")?;
        mixtures(canvas, &chart, &mut legend)?;
        legend.y += 8.0;
        legend.words(canvas, "borders of the checks", Hand::HEADING)?;
        let stops: Vec<(f64, f64)> = path.iter().map(|setting| chart.at(*setting)).collect();
        borders(canvas, &chart, &mut legend, &stops)?;
        chart.outline(canvas, &race, (INK, 2.4, &[]))?;
        legend.line(canvas, (INK, 2.4, &[]), "the island's shore")?;
        walked(canvas, &chart, &mut legend, path)?;
        cross(canvas, chart.at(subject.setting))?;
        chart.frame(canvas)
    })
}

/// Lines of one mixture, wide open and at idle, each with its number at the map's edge.
fn mixtures(canvas: &mut Canvas, chart: &Chart, legend: &mut Legend) -> Result<(), PlotError> {
    for (idle, pattern, name) in [
        (false, &[1.5, 8.0][..], "mixture φ wide open"),
        (true, &[1.0, 14.0][..], "mixture φ at idle"),
    ] {
        let mut taken: Vec<(f64, f64)> = Vec::new();
        for tenth in 4..=40 {
            let level = f64::from(tenth) * 0.1;
            for line in chart.worth(&chart.plane.mixture_lines(idle, level)) {
                let points = chart.line(line);
                canvas.trace(&points, SOFT, 1.2, pattern)?;
                // Wide open the lines go up, at idle they go across.
                let end = points.iter().copied().reduce(|a, b| {
                    let further = if idle { b.0 > a.0 } else { b.1 > a.1 };
                    if further { b } else { a }
                });
                let Some(end) = end else { continue };
                let at = if idle {
                    (LEFT + SIDE - 15.0, end.1 - 8.0)
                } else {
                    (end.0 + 13.0, chart.top + SIDE - 10.0)
                };
                let inside = at.0 < LEFT + SIDE - 8.0 && at.1 > chart.top + 8.0;
                if inside && taken.iter().all(|other| (other.0 - at.0).hypot(other.1 - at.1) > 26.0) {
                    canvas.words(&format!("{level:.1}"), at, Side::Middle, Hand::ASIDE)?;
                    taken.push(at);
                }
            }
        }
        legend.line(canvas, (SOFT, 1.2, pattern), name)?;
    }
    Ok(())
}

/// The border of every check that has one on the map, numbered where neither another number nor a stop of the path is near.
fn borders(canvas: &mut Canvas, chart: &Chart, legend: &mut Legend, stops: &[(f64, f64)]) -> Result<(), PlotError> {
    let mut numbers: Vec<((f64, f64), usize)> = Vec::new();
    let mut number = 0;
    for name in CheckName::ALL {
        let style = (
            COLOURS[1 + number % (COLOURS.len() - 1)],
            1.5,
            // Five colours with five patterns, shifted from round to round: no two of twenty-five are alike.
            PATTERNS[(number + number / (COLOURS.len() - 1)) % PATTERNS.len()],
        );
        let Some(longest) = chart.outline(canvas, &chart.plane.margins(*name), style)? else {
            continue;
        };
        number += 1;
        let free = |at: &(f64, f64)| {
            let edge = (at.0 - LEFT)
                .min(LEFT + SIDE - at.0)
                .min(at.1 - chart.top)
                .min(chart.top + SIDE - at.1);
            let taken = numbers.iter().map(|(other, _)| other).chain(stops);
            taken
                .map(|other| (other.0 - at.0).hypot(other.1 - at.1))
                .fold(2.0 * edge, f64::min)
        };
        let place = longest.iter().copied().max_by(|a, b| free(a).total_cmp(&free(b)));
        if let Some(place) = place.filter(|place| free(place) > APART) {
            numbers.push((place, number));
        }
        legend.line(canvas, style, &format!("{number} {}", check_name(*name)))?;
    }
    for (at, number) in numbers {
        canvas.dot(at, 8.5, SOFT, false)?;
        canvas.words(
            &number.to_string(),
            at,
            Side::Middle,
            Hand {
                size: 11.0,
                ..Hand::PLAIN
            },
        )?;
    }
    Ok(())
}

/// A path over the map, its stops numbered from nought.
fn walked(canvas: &mut Canvas, chart: &Chart, legend: &mut Legend, path: &[Setting]) -> Result<(), PlotError> {
    if path.is_empty() {
        return Ok(());
    }
    let points: Vec<(f64, f64)> = path.iter().map(|setting| chart.at(*setting)).collect();
    canvas.trace(&points, INK, 1.6, &[])?;
    for (k, at) in points.iter().enumerate() {
        canvas.dot(*at, 4.0, INK, true)?;
        let side = if at.0 > LEFT + SIDE - 30.0 {
            (-10.0, Side::Right)
        } else {
            (10.0, Side::Left)
        };
        canvas.words(&k.to_string(), (at.0 + side.0, at.1 - 9.0), side.1, Hand::HEADING)?;
    }
    canvas.trace(&[(LEGEND, legend.y), (LEGEND + 34.0, legend.y)], INK, 1.6, &[])?;
    canvas.dot((LEGEND + 17.0, legend.y), 4.0, INK, true)?;
    canvas.words(
        "the path, stops from 0",
        (LEGEND + 42.0, legend.y),
        Side::Left,
        Hand::PLAIN,
    )?;
    legend.y += 20.0;
    Ok(())
}

/// The setting that the map lies around.
fn cross(canvas: &mut Canvas, at: (f64, f64)) -> Result<(), PlotError> {
    canvas.line((at.0 - 7.0, at.1), (at.0 + 7.0, at.1), INK, 2.0)?;
    canvas.line((at.0, at.1 - 7.0), (at.0, at.1 + 7.0), INK, 2.0)
}

/// How the islands move from one fuel and weather to another: both outlines over each other.
///
/// # Errors
/// None that any maps lead to; the drawing library could refuse.
pub fn moved(subjects: [&Subject; 2], planes: [&Plane; 2]) -> Result<String, PlotError> {
    let title = format!("How the clean island moves: {}", subjects[0].engine);
    let day = |subject: &Subject| format!("{}, {}", subject.fuel, subject.air());
    let lines = [
        format!("filled: {}", day(subjects[0])),
        format!("dashed: {}", day(subjects[1])),
        format!(
            "{n} x {n} fields, a whole sign-off each, seed {}; {} plug; idle stop {:.3} turns everywhere",
            planes[0].seed,
            subjects[0].plug,
            subjects[0].setting.idle_turns,
            n = planes[0].frame.fields
        ),
    ];
    let first = caption_height(lines.len());
    picture((WIDTH, first + BELOW), &title, |canvas| {
        caption(canvas, &title, &lines)?;
        let chart = Chart::of(planes[0], first + 34.0);
        let other = Chart::of(planes[1], first + 34.0);
        let (race, safe) = (planes[0].race(), planes[0].safe());
        let (race_then, safe_then) = (planes[1].race(), planes[1].safe());
        chart.fill(canvas, &race, RACE)?;
        chart.fill(canvas, &safe, SAFE)?;
        chart.outline(canvas, &race, (INK, 1.6, &[]))?;
        other.outline(canvas, &race_then, (COLOURS[2], 2.2, &OTHER))?;
        other.outline(canvas, &safe_then, (COLOURS[2], 1.4, &[2.0, 3.0]))?;
        let middle = |plane: &Plane, chart: &Chart, heights: &[f64]| {
            let island = plane.island(heights)?;
            Some(chart.at(Setting {
                high_turns: island.high_turns,
                low_turns: island.low_turns,
                ..plane.frame.corner
            }))
        };
        if let (Some(from), Some(to)) = (middle(planes[0], &chart, &race), middle(planes[1], &other, &race_then)) {
            arrow(canvas, from, to)?;
        }
        let mut legend = Legend { y: chart.top + 6.0 };
        legend.fill(canvas, RACE, "race-clean here")?;
        legend.fill(canvas, SAFE, "safe-clean here")?;
        legend.line(canvas, (COLOURS[2], 2.2, &OTHER), "race-clean then")?;
        legend.line(canvas, (COLOURS[2], 1.4, &[2.0, 3.0]), "safe-clean then")?;
        legend.words(canvas, "arrow: from middle to middle", Hand::PLAIN)?;
        cross(canvas, chart.at(subjects[0].setting))?;
        legend.words(canvas, "+ the setting", Hand::PLAIN)?;
        chart.frame(canvas)
    })
}

fn arrow(canvas: &mut Canvas, from: (f64, f64), to: (f64, f64)) -> Result<(), PlotError> {
    canvas.line(from, to, INK, 1.8)?;
    canvas.dot(from, 3.5, INK, true)?;
    let length = (to.0 - from.0).hypot(to.1 - from.1).max(1e-9);
    let (x, y) = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    for side in [-1.0, 1.0] {
        let back = (to.0 - 10.0 * x + side * 5.0 * y, to.1 - 10.0 * y - side * 5.0 * x);
        canvas.line(to, back, INK, 1.8)?;
    }
    Ok(())
}
