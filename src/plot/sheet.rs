//! One symptom as one page to print: its words, and its story under them.

use super::canvas::{PlotError, picture};
use super::page::{EDGE, Words};
use super::panel::WIDTH;
use super::story;
use super::subject::Subject;
use crate::insight::story::Story;
use crate::practise::words::plan::Line;

/// Room above the words.
const TOP: f64 = 64.0;

/// The page.
///
/// # Errors
/// None that any story leads to; the drawing library could refuse.
pub fn svg(subject: &Subject, told: &Story, lines: &[Line]) -> Result<String, PlotError> {
    let words = Words::of(lines);
    let story = story::svg(subject, told)?;
    let story_height = height(&story).ok_or_else(|| PlotError::new("it has no height"))?;
    let below = TOP + words.height() + 6.0;
    let page = picture((WIDTH, below + story_height + EDGE), words.title, |canvas| {
        words.draw_title(canvas)?;
        words.draw(canvas, TOP)
    })?;
    // A picture within the picture, where the words end.
    let scale = page_units(&page).ok_or_else(|| PlotError::new("it has no size"))?;
    let within = story.replacen(
        "<svg width=\"",
        &format!("<svg x=\"0\" y=\"{:.0}\" width=\"", below * scale),
        1,
    );
    let within = in_units(&within, scale).ok_or_else(|| PlotError::new("it has no size"))?;
    let (all, end) = page
        .rsplit_once("</svg>")
        .ok_or_else(|| PlotError::new("it has no end"))?;
    Ok(format!("{all}{within}</svg>{end}"))
}

/// The value of an attribute of the first element.
fn attribute<'a>(svg: &'a str, name: &str) -> Option<&'a str> {
    let head = svg.split_once('>')?.0;
    let (_, from) = head.split_once(&format!(" {name}=\""))?;
    from.split_once('"').map(|(value, _)| value)
}

fn height(svg: &str) -> Option<f64> {
    attribute(svg, "height")?.parse().ok()
}

/// Units of a picture's own within one of its width.
fn page_units(svg: &str) -> Option<f64> {
    let inner: f64 = attribute(svg, "viewBox")?.split(' ').nth(2)?.parse().ok()?;
    Some(inner / attribute(svg, "width")?.parse::<f64>().ok()?)
}

/// The same picture with its size in a page's units.
fn in_units(svg: &str, scale: f64) -> Option<String> {
    let [width, height] = ["width", "height"].map(|name| attribute(svg, name).map(str::to_owned));
    let (width, height) = (width?, height?);
    let of = |name: &str, value: &str| format!(" {name}=\"{value}\"");
    let grown = |value: &str| value.parse::<f64>().ok().map(|x| format!("{:.0}", x * scale));
    let svg = svg.replacen(&of("width", &width), &of("width", &grown(&width)?), 1);
    Some(svg.replacen(&of("height", &height), &of("height", &grown(&height)?), 1))
}
