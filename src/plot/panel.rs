//! One panel: a measure against the common axis, with its heading, its marks and its frame.

use plotters::style::RGBColor;

use super::axis::Axis;
use super::canvas::{Canvas, GRID, Hand, INK, PlotError, SOFT, Side};

/// Width of every picture.
pub const WIDTH: f64 = 960.0;
/// Where panels begin and end.
pub const LEFT: f64 = 66.0;
/// See [`LEFT`].
pub const RIGHT: f64 = WIDTH - 24.0;
/// Height of a panel's heading above its frame.
pub const HEADING: f64 = 30.0;

/// Colours of curves: blue, vermilion, green, purple, brown and slate; dark enough for thin lines, and of different lightness or
/// hue for every common kind of colour blindness. Each panel has one curve, so none has to be known by its colour.
pub const COLOURS: [RGBColor; 6] = [
    RGBColor(0x33, 0x4a, 0x5e),
    RGBColor(0x00, 0x5a, 0xa8),
    RGBColor(0xb0, 0x43, 0x00),
    RGBColor(0x00, 0x6e, 0x4f),
    RGBColor(0x6b, 0x4a, 0x35),
    RGBColor(0x8a, 0x2f, 0x74),
];

/// A panel's frame and scales.
#[derive(Clone, Copy, Debug)]
pub struct Panel {
    /// Upper edge of the frame.
    pub top: f64,
    /// Lower edge.
    pub bottom: f64,
    /// The common axis.
    pub x: Axis,
    /// The measure's own.
    pub y: Axis,
}

impl Panel {
    /// Where a point lies; values beyond the frame are held at its edge.
    pub fn at(&self, x: f64, y: f64) -> (f64, f64) {
        let (x, y) = (self.x.place(x).clamp(0.0, 1.0), self.y.place(y).clamp(0.0, 1.0));
        (LEFT + (RIGHT - LEFT) * x, self.bottom + (self.top - self.bottom) * y)
    }

    /// Heading, grid, marks and frame; `aside` stands at the right of the heading.
    pub fn frame(&self, canvas: &mut Canvas, heading: &str, aside: &str) -> Result<(), PlotError> {
        canvas.words(heading, (LEFT, self.top - 11.0), Side::Left, Hand::HEADING)?;
        if !aside.is_empty() {
            canvas.words(aside, (RIGHT, self.top - 11.0), Side::Right, Hand::ASIDE)?;
        }
        for mark in self.x.marks() {
            let x = self.at(mark, self.y.low).0;
            canvas.line((x, self.top), (x, self.bottom), GRID, 1.0)?;
        }
        for mark in self.y.marks() {
            let y = self.at(self.x.low, mark).1;
            canvas.line((LEFT, y), (RIGHT, y), GRID, 1.0)?;
            canvas.line((LEFT - 4.0, y), (LEFT, y), SOFT, 1.0)?;
            canvas.words(&self.y.label(mark), (LEFT - 8.0, y), Side::Right, Hand::PLAIN)?;
        }
        canvas.line((LEFT, self.top), (LEFT, self.bottom), SOFT, 1.0)?;
        canvas.line((LEFT, self.bottom), (RIGHT, self.bottom), SOFT, 1.0)
    }

    /// The common axis' marks and name, under this panel.
    pub fn foot(&self, canvas: &mut Canvas, name: &str) -> Result<(), PlotError> {
        for mark in self.x.marks() {
            let x = self.at(mark, self.y.low).0;
            canvas.line((x, self.bottom), (x, self.bottom + 4.0), SOFT, 1.0)?;
            canvas.words(&self.x.label(mark), (x, self.bottom + 14.0), Side::Middle, Hand::PLAIN)?;
        }
        canvas.words(
            name,
            ((LEFT + RIGHT) / 2.0, self.bottom + 33.0),
            Side::Middle,
            Hand::HEADING,
        )
    }

    /// A dashed level, if it lies within.
    pub fn level(&self, canvas: &mut Canvas, value: f64) -> Result<(), PlotError> {
        if !(self.y.low..=self.y.high).contains(&value) {
            return Ok(());
        }
        let y = self.at(self.x.low, value).1;
        canvas.dashes((LEFT, y), (RIGHT, y), SOFT)
    }

    /// The measure's curve, broken where it doesn't exist for longer than can be seen.
    pub fn curve(
        &self,
        canvas: &mut Canvas,
        points: impl IntoIterator<Item = (f64, Option<f64>)>,
        colour: RGBColor,
    ) -> Result<(), PlotError> {
        let mut run: Vec<(f64, f64)> = Vec::new();
        let mut missing = false;
        for (x, y) in points {
            let Some(y) = y else {
                missing = true;
                continue;
            };
            let at = self.at(x, y);
            if missing && run.last().is_some_and(|last| at.0 - last.0 > 2.0) {
                canvas.curve(&run, colour, 1.5)?;
                run.clear();
            }
            missing = false;
            run.push(at);
        }
        if run.is_empty() {
            Ok(())
        } else {
            canvas.curve(&run, colour, 1.5)
        }
    }

    /// Words in the middle of an empty panel.
    pub fn nothing(&self, canvas: &mut Canvas, why: &str) -> Result<(), PlotError> {
        let at = ((LEFT + RIGHT) / 2.0, (self.top + self.bottom) / 2.0);
        canvas.words(why, at, Side::Middle, Hand::ASIDE)
    }
}

/// A picture's title and what is said under it; returns where the panels may begin.
pub fn caption(canvas: &mut Canvas, title: &str, lines: &[String]) -> Result<f64, PlotError> {
    canvas.words(
        title,
        (LEFT, 26.0),
        Side::Left,
        Hand {
            colour: INK,
            ..Hand::TITLE
        },
    )?;
    for (i, line) in lines.iter().enumerate() {
        canvas.words(line, (LEFT, 49.0 + 18.0 * i as f64), Side::Left, Hand::PLAIN)?;
    }
    Ok(caption_height(lines.len()))
}

/// Height of a caption with so many lines under the title.
pub fn caption_height(lines: usize) -> f64 {
    44.0 + 18.0 * lines as f64
}
