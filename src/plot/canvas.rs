//! The drawing surface: lines, areas, marks and words in one hand, written as SVG.
//!
//! Positions are in picture units (CSS pixels at full size). The backend knows whole numbers only, so everything is drawn
//! [`FINE`] times as large and the picture's head brings it back to size: slow slopes stay smooth at any zoom.

use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, FontStyle, RGBColor, ShapeStyle, TextStyle};

use super::thin::{self, Point};

/// Drawing units per picture unit.
const FINE: f64 = 8.0;
/// The backend writes a font's size divided by this.
const FONT_FACTOR: f64 = 1.24;

/// The light ground that everything is drawn on.
const GROUND: RGBColor = RGBColor(0xfd, 0xfd, 0xfb);
/// Words and frames: 15 to 1 against the ground.
pub const INK: RGBColor = RGBColor(0x22, 0x26, 0x2b);
/// Words beside the matter: 7 to 1 against the ground.
pub const SOFT: RGBColor = RGBColor(0x52, 0x58, 0x60);
/// The grid, which only guides the eye.
pub const GRID: RGBColor = RGBColor(0xdf, 0xe1, 0xe0);

/// A picture that could not be drawn.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the picture can't be drawn: {0}")]
pub struct PlotError(String);

impl PlotError {
    pub(super) fn new(cause: impl std::fmt::Display) -> Self {
        Self(cause.to_string())
    }
}

/// Which end of the words is at the position given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Left,
    Middle,
    Right,
}

/// Size and weight of words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    pub size: f64,
    pub bold: bool,
    pub colour: RGBColor,
}

impl Hand {
    /// A picture's title.
    pub const TITLE: Self = Self {
        size: 17.0,
        bold: true,
        colour: INK,
    };
    /// A panel's heading.
    pub const HEADING: Self = Self {
        size: 13.0,
        bold: true,
        colour: INK,
    };
    /// Everything else.
    pub const PLAIN: Self = Self {
        size: 12.5,
        bold: false,
        colour: INK,
    };
    /// What is said beside the matter.
    pub const ASIDE: Self = Self {
        size: 12.5,
        bold: false,
        colour: SOFT,
    };
}

/// The drawing surface.
pub struct Canvas<'a>(SVGBackend<'a>);

/// Draws a picture of `width` by `height` units that is called `title` where it is read aloud.
pub fn picture(
    (width, height): (f64, f64),
    title: &str,
    draw: impl FnOnce(&mut Canvas) -> Result<(), PlotError>,
) -> Result<String, PlotError> {
    let mut text = String::new();
    {
        let size = ((width * FINE) as u32, (height * FINE) as u32);
        let mut canvas = Canvas(SVGBackend::with_string(&mut text, size));
        canvas.block((0.0, 0.0), (width, height), GROUND)?;
        draw(&mut canvas)?;
        canvas.0.present().map_err(PlotError::new)?;
    }
    let body = text
        .split_once('>')
        .map(|(_, body)| body)
        .ok_or_else(|| PlotError::new("it is empty"))?;
    Ok(format!(
        "<svg width=\"{width:.0}\" height=\"{height:.0}\" viewBox=\"0 0 {:.0} {:.0}\" xmlns=\"http://www.w3.org/2000/svg\" \
         role=\"img\" stroke-linejoin=\"round\" stroke-linecap=\"round\">\n<title>{}</title>{body}",
        width * FINE,
        height * FINE,
        escaped(title)
    ))
}

fn escaped(text: &str) -> String {
    plain(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

/// Text without the characters that XML 1.0 has no place for.
fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}'))
        .collect()
}

/// At most `most` characters, the last an ellipsis where some are left out.
pub fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

/// Picture units to drawing units; what isn't finite goes to the corner.
fn fine((x, y): (f64, f64)) -> Point {
    ((x * FINE).round() as i32, (y * FINE).round() as i32)
}

/// The dashes of a line through points, by a pattern of dash, gap, dash, gap and so on; all of it where there is no pattern.
fn dashed(points: &[(f64, f64)], pattern: &[f64]) -> Vec<Vec<(f64, f64)>> {
    if pattern.iter().all(|length| *length <= 0.0) {
        return vec![points.to_vec()];
    }
    let mut dashes: Vec<Vec<(f64, f64)>> = points.first().map(|first| vec![*first]).into_iter().collect();
    let (mut part, mut left) = (0, pattern[0]);
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            let drawn = part % 2 == 0;
            if length <= left {
                left -= length;
                if drawn && let Some(dash) = dashes.last_mut() {
                    dash.push(to);
                }
                break;
            }
            let share = left / length;
            from = (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share);
            if drawn {
                if let Some(dash) = dashes.last_mut() {
                    dash.push(from);
                }
            } else {
                dashes.push(vec![from]);
            }
            part += 1;
            left = pattern[part % pattern.len()].max(0.1);
        }
    }
    dashes.retain(|dash| dash.len() > 1);
    dashes
}

fn stroke(colour: RGBColor, width: f64) -> ShapeStyle {
    ShapeStyle {
        color: colour.to_rgba(),
        filled: false,
        stroke_width: (width * FINE).round() as u32,
    }
}

impl Canvas<'_> {
    /// A straight line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), colour: RGBColor, width: f64) -> Result<(), PlotError> {
        self.0
            .draw_line(fine(from), fine(to), &stroke(colour, width))
            .map_err(PlotError::new)
    }

    /// A straight line in dashes.
    pub fn dashes(&mut self, from: (f64, f64), to: (f64, f64), colour: RGBColor) -> Result<(), PlotError> {
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        let count = (length / 12.0).ceil().clamp(1.0, 500.0);
        let at = |share: f64| (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share);
        for i in 0..count as u32 {
            let start = f64::from(i) / count;
            self.line(at(start), at((start + 0.5 / count).min(1.0)), colour, 1.0)?;
        }
        Ok(())
    }

    /// A filled rectangle.
    pub fn block(&mut self, from: (f64, f64), to: (f64, f64), colour: RGBColor) -> Result<(), PlotError> {
        self.0
            .draw_rect(fine(from), fine(to), &colour, true)
            .map_err(PlotError::new)
    }

    /// A curve through points in rising order of x, thinned to what can be seen.
    pub fn curve(&mut self, points: &[(f64, f64)], colour: RGBColor, width: f64) -> Result<(), PlotError> {
        let points: Vec<Point> = points.iter().map(|p| fine(*p)).collect();
        let mut thinned = thin::thin(&points, FINE as i32);
        if let [single] = thinned[..] {
            // A curve of one point is a dot.
            thinned.push((single.0 + 1, single.1));
        }
        self.0
            .draw_path(thinned, &stroke(colour, width))
            .map_err(PlotError::new)
    }

    /// A line through points in any order, solid or in a pattern of dashes and gaps; the pattern runs on along the line.
    pub fn trace(
        &mut self,
        points: &[(f64, f64)],
        colour: RGBColor,
        width: f64,
        pattern: &[f64],
    ) -> Result<(), PlotError> {
        for dash in dashed(points, pattern) {
            let dash: Vec<Point> = dash.into_iter().map(fine).collect();
            self.0.draw_path(dash, &stroke(colour, width)).map_err(PlotError::new)?;
        }
        Ok(())
    }

    /// The area between such a curve and the height `base`.
    pub fn area(&mut self, points: &[(f64, f64)], base: f64, colour: RGBColor) -> Result<(), PlotError> {
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            return Ok(());
        };
        let fine_points: Vec<Point> = points.iter().map(|p| fine(*p)).collect();
        let outline = [fine((first.0, base))]
            .into_iter()
            .chain(thin::thin(&fine_points, FINE as i32))
            .chain([fine((last.0, base))]);
        self.0.fill_polygon(outline, &colour).map_err(PlotError::new)
    }

    /// The area between two such curves, in coarser points than a curve: it has two edges, and nobody reads a peak off it.
    pub fn band(&mut self, low: &[(f64, f64)], high: &[(f64, f64)], colour: RGBColor) -> Result<(), PlotError> {
        let edge = |points: &[(f64, f64)]| {
            let points: Vec<Point> = points.iter().map(|p| fine(*p)).collect();
            thin::thin(&points, 6 * FINE as i32)
        };
        let outline: Vec<Point> = edge(low).into_iter().chain(edge(high).into_iter().rev()).collect();
        if outline.len() < 3 {
            return Ok(());
        }
        self.0.fill_polygon(outline, &colour).map_err(PlotError::new)
    }

    /// A disc, or a ring with the ground in it.
    pub fn dot(&mut self, at: (f64, f64), radius: f64, colour: RGBColor, filled: bool) -> Result<(), PlotError> {
        let radius = (radius * FINE).round() as u32;
        if !filled {
            self.0
                .draw_circle(fine(at), radius, &GROUND, true)
                .map_err(PlotError::new)?;
        }
        let style = ShapeStyle {
            filled,
            ..stroke(colour, 1.6)
        };
        self.0
            .draw_circle(fine(at), radius, &style, filled)
            .map_err(PlotError::new)
    }

    /// Words beside a position; `at` is the middle of their height.
    pub fn words(&mut self, text: &str, at: (f64, f64), side: Side, hand: Hand) -> Result<(), PlotError> {
        let h_pos = match side {
            Side::Left => HPos::Left,
            Side::Middle => HPos::Center,
            Side::Right => HPos::Right,
        };
        let style = if hand.bold { FontStyle::Bold } else { FontStyle::Normal };
        let style = TextStyle {
            font: FontDesc::new(FontFamily::SansSerif, hand.size * FINE * FONT_FACTOR, style),
            color: hand.colour.to_backend_color(),
            pos: Pos::new(h_pos, VPos::Center),
        };
        self.0.draw_text(&plain(text), &style, fine(at)).map_err(PlotError::new)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_has_its_size_its_title_and_its_ground() {
        let text = picture((300.0, 200.0), "a < b & \u{0}c", |canvas| {
            canvas.words("x <y> & z\u{1b}", (10.0, 10.0), Side::Left, Hand::PLAIN)
        })
        .unwrap();
        assert!(
            text.starts_with("<svg width=\"300\" height=\"200\" viewBox=\"0 0 2400 1600\" xmlns="),
            "{text}"
        );
        assert!(text.contains("<title>a &lt; b &amp; c</title>"));
        assert!(text.contains("<rect x=\"0\" y=\"0\" width=\"2400\" height=\"1600\" opacity=\"1\" fill=\"#FDFDFB\""));
        assert!(text.contains("x &lt;y&gt; &amp; z\n") && text.contains("font-size=\"100\""));
        assert!(text.ends_with("</svg>\n") && text.matches("<svg").count() == 1);
    }

    #[test]
    fn dashes_run_on_along_a_bent_line() {
        // Ten along and ten up, in dashes of 4 and gaps of 2: the corner lies within the dash from 6 to 10, and after it comes a gap.
        let found = dashed(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)], &[4.0, 2.0]);
        let ends: Vec<[(f64, f64); 2]> = found.iter().map(|dash| [dash[0], dash[dash.len() - 1]]).collect();
        assert_eq!(
            ends,
            [
                [(0.0, 0.0), (4.0, 0.0)],
                [(6.0, 0.0), (10.0, 0.0)],
                [(10.0, 2.0), (10.0, 6.0)],
                [(10.0, 8.0), (10.0, 10.0)]
            ]
        );
        assert_eq!(dashed(&[(0.0, 0.0), (1.0, 1.0)], &[]), [[(0.0, 0.0), (1.0, 1.0)]]);
        assert!(dashed(&[], &[1.0, 1.0]).is_empty());
    }

    #[test]
    fn long_names_are_cut() {
        assert_eq!(short("offroad", 7), "offroad");
        assert_eq!(short("ö".repeat(50).as_str(), 8), format!("{}…", "ö".repeat(7)));
    }

    /// Relative luminance and contrast as WCAG 2.2 defines them.
    fn contrast(a: RGBColor, b: RGBColor) -> f64 {
        let luminance = |c: RGBColor| {
            let linear = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.04045 {
                    v / 12.92
                } else {
                    ((v + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * linear(c.0) + 0.7152 * linear(c.1) + 0.0722 * linear(c.2)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn words_and_curves_stand_out_from_the_ground() {
        // WCAG 2.2: 4.5 to 1 for text, 3 to 1 for graphics; curves hold the text's, since they are thin.
        for colour in [INK, SOFT].into_iter().chain(crate::plot::panel::COLOURS) {
            assert!(
                contrast(colour, GROUND) >= 4.5,
                "{colour:?}: {}",
                contrast(colour, GROUND)
            );
        }
    }
}
