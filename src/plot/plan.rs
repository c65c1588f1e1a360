//! A plan for another fuel or weather as one page to print: a scale for each screw with where it stands, the rich start and the clean
//! setting with its spread, and under them the words of the plan.

use super::axis::Axis;
use super::canvas::{Canvas, GRID, Hand, INK, PlotError, SOFT, Side, picture};
use super::page::{EDGE, Words};
use super::panel::{COLOURS, WIDTH};
use crate::insight::change::Plan;
use crate::practise::words::plan::Line;

/// Where scales begin and end, and the height of one.
const LEFT: f64 = 190.0;
const RIGHT: f64 = WIDTH - 60.0;
const ROW: f64 = 44.0;

/// The page.
///
/// # Errors
/// None that any plan leads to; the drawing library could refuse.
pub fn svg(plan: &Plan, lines: &[Line]) -> Result<String, PlotError> {
    let words = Words::of(lines);
    let scales = if plan.moves.is_empty() {
        0.0
    } else {
        60.0 + ROW * plan.moves.len() as f64 + 24.0
    };
    picture((WIDTH, 70.0 + scales + words.height() + EDGE), words.title, |canvas| {
        words.draw_title(canvas)?;
        if !plan.moves.is_empty() {
            draw_scales(canvas, plan, 60.0)?;
        }
        words.draw(canvas, 64.0 + scales)
    })
}

/// A scale for each screw.
fn draw_scales(canvas: &mut Canvas, plan: &Plan, top: f64) -> Result<(), PlotError> {
    let rich = plan.rich_start.map_or([0.0; 3], |rich| rich.turns_from_here);
    let ends = plan
        .moves
        .iter()
        .zip(rich)
        .flat_map(|(m, rich)| [m.least_turns, m.most_turns, rich]);
    let (low, high) = ends.fold((0.0_f64, 0.0_f64), |(low, high), x| (low.min(x), high.max(x)));
    let x = Axis::around(low, high, 0.5, 8);
    let place = |turns: f64| LEFT + (RIGHT - LEFT) * x.place(turns).clamp(0.0, 1.0);
    let first = top + 44.0;
    let bottom = first + ROW * (plan.moves.len() as f64 - 0.5);
    canvas.dot((LEFT, top + 6.0), 5.0, COLOURS[1], true)?;
    canvas.words(
        "clean, with what may be more or less",
        (LEFT + 12.0, top + 6.0),
        Side::Left,
        Hand::PLAIN,
    )?;
    canvas.dot((LEFT + 290.0, top + 6.0), 5.0, COLOURS[2], false)?;
    canvas.words("rich start", (LEFT + 302.0, top + 6.0), Side::Left, Hand::PLAIN)?;
    canvas.line((LEFT + 402.0, top - 1.0), (LEFT + 402.0, top + 13.0), INK, 2.5)?;
    canvas.words("where it stands", (LEFT + 412.0, top + 6.0), Side::Left, Hand::PLAIN)?;
    for mark in x.marks() {
        canvas.line((place(mark), first - 18.0), (place(mark), bottom), GRID, 1.0)?;
        canvas.words(&x.label(mark), (place(mark), bottom + 12.0), Side::Middle, Hand::PLAIN)?;
    }
    canvas.words(
        "turns from where the screw stands (needles: + out, richer; idle stop: + in, faster)",
        ((LEFT + RIGHT) / 2.0, bottom + 30.0),
        Side::Middle,
        Hand::ASIDE,
    )?;
    for (k, (m, rich)) in plan.moves.iter().zip(rich).enumerate() {
        let y = first + ROW * k as f64;
        canvas.words(m.screw.name(), (LEFT - 14.0, y), Side::Right, Hand::HEADING)?;
        canvas.line((LEFT, y), (RIGHT, y), SOFT, 1.0)?;
        canvas.line((place(m.least_turns), y), (place(m.most_turns), y), COLOURS[1], 4.0)?;
        canvas.line((place(0.0), y - 10.0), (place(0.0), y + 10.0), INK, 2.5)?;
        canvas.dot((place(rich), y), 6.5, COLOURS[2], false)?;
        canvas.dot((place(m.turns), y), 5.0, COLOURS[1], true)?;
    }
    Ok(())
}
