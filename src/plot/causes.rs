//! By which paths a turn acts: for each action the chain from the needle to the heat, and what each path adds as bars around nothing.

use super::canvas::{Canvas, GRID, Hand, INK, PlotError, SOFT, Side, picture};
use super::panel::{COLOURS, LEFT, RIGHT, WIDTH, caption, caption_height};
use super::subject::{self, Subject};
use crate::insight::causes::Causes;
use crate::practise::words::explain as words;

/// Heights: a section's heading, a box of the chain, a bar's row, and what is between sections.
const HEADING: f64 = 40.0;
const BOX: f64 = 54.0;
const ROW: f64 = 26.0;
const BETWEEN: f64 = 42.0;
/// Where the bars' names end, and the bars begin and end.
const NAMES: f64 = LEFT + 300.0;
const BARS: [f64; 2] = [NAMES + 20.0, RIGHT - 160.0];

fn height(causes: &Causes) -> f64 {
    HEADING + BOX + 24.0 + ROW * (causes.parts.len() + 1) as f64 + BETWEEN
}

/// The picture.
///
/// # Errors
/// None that any causes lead to; the drawing library could refuse.
pub fn svg(subject: &Subject, seeds: usize, all: &[&Causes]) -> Result<String, PlotError> {
    let title = format!("Why the screws do what they do: {}", subject.name());
    let lines = [
        format!(
            "From {}; {}; mean of {seeds} seeds from {}",
            subject::setting(subject.setting),
            subject.air(),
            subject.seed
        ),
        "Boxes: the chain, before and after the turn. Bars: what each path adds (Shapley), thin line: 95 % interval of chance".to_string(),
    ];
    let first = caption_height(lines.len());
    let bottom = first + all.iter().map(|causes| height(causes)).sum::<f64>();
    picture((WIDTH, bottom + 8.0), &title, |canvas| {
        let mut top = caption(canvas, &title, &lines)?;
        for causes in all {
            section(canvas, causes, top)?;
            top += height(causes);
        }
        Ok(())
    })
}

fn section(canvas: &mut Canvas, causes: &Causes, top: f64) -> Result<(), PlotError> {
    let heading = format!("{}: {}", words::action(causes), words::found(&causes.whole, "rpm"));
    canvas.words(&heading, (LEFT, top + 18.0), Side::Left, Hand::HEADING)?;
    chain(canvas, causes, top + HEADING)?;
    bars(canvas, causes, top + HEADING + BOX + 24.0)
}

fn chain(canvas: &mut Canvas, causes: &Causes, top: f64) -> Result<(), PlotError> {
    let count = causes.chain.len() as f64;
    let gap = 12.0;
    let width = (RIGHT - LEFT - gap * (count - 1.0)) / count;
    let small = Hand {
        size: 11.0,
        ..Hand::PLAIN
    };
    for (k, moved) in causes.chain.iter().enumerate() {
        let left = LEFT + (width + gap) * k as f64;
        let (right, bottom, middle) = (left + width, top + BOX, left + 0.5 * width);
        for (from, to) in [
            ((left, top), (right, top)),
            ((right, top), (right, bottom)),
            ((right, bottom), (left, bottom)),
            ((left, bottom), (left, top)),
        ] {
            canvas.line(from, to, SOFT, 1.0)?;
        }
        if k > 0 {
            let y = 0.5 * (top + bottom);
            canvas.line((left - gap, y), (left, y), INK, 1.4)?;
            canvas.line((left - 4.0, y - 4.0), (left, y), INK, 1.4)?;
            canvas.line((left - 4.0, y + 4.0), (left, y), INK, 1.4)?;
        }
        let (name, unit) = words::station_short(moved.station);
        let digits = words::station_digits(moved.station);
        let name = if unit.is_empty() {
            name.to_string()
        } else {
            format!("{name}, {unit}")
        };
        canvas.words(&name, (middle, top + 13.0), Side::Middle, small)?;
        canvas.words(
            &format!("{:.digits$}", moved.before),
            (middle, top + 29.0),
            Side::Middle,
            small,
        )?;
        let after = Hand { bold: true, ..small };
        canvas.words(
            &format!("{:.digits$}", moved.after),
            (middle, top + 44.0),
            Side::Middle,
            after,
        )?;
    }
    Ok(())
}

fn bars(canvas: &mut Canvas, causes: &Causes, top: f64) -> Result<(), PlotError> {
    let reach = |found: &crate::insight::causes::Found| {
        let interval = found.interval.map_or([found.mean; 2], |i| [i.low, i.high]);
        [found.mean.min(interval[0]), found.mean.max(interval[1])]
    };
    let all = causes.parts.iter().map(|part| &part.change).chain([&causes.whole]);
    let (low, high) = all
        .map(reach)
        .fold((0.0_f64, 0.0_f64), |(low, high), [a, b]| (low.min(a), high.max(b)));
    let span = (high - low).max(1e-9);
    let place = |rpm: f64| BARS[0] + (BARS[1] - BARS[0]) * (rpm - low) / span;
    let rows = causes
        .parts
        .iter()
        .map(|part| (words::path(part.path), &part.change, part.share, COLOURS[1]));
    let whole = (
        words::ALL_OF_IT,
        &causes.whole,
        causes.whole.is_sure().then_some(1.0),
        INK,
    );
    let rows: Vec<_> = rows.chain([whole]).collect();
    let bottom = top + ROW * rows.len() as f64;
    for (k, (name, found, share, colour)) in rows.into_iter().enumerate() {
        let y = top + ROW * (k as f64 + 0.5);
        canvas.line((NAMES, y + 0.5 * ROW), (RIGHT, y + 0.5 * ROW), GRID, 1.0)?;
        canvas.words(name, (NAMES, y), Side::Right, Hand::PLAIN)?;
        let ends = [place(0.0), place(found.mean)];
        canvas.block((ends[0].min(ends[1]), y - 7.0), (ends[0].max(ends[1]), y + 7.0), colour)?;
        if let Some(interval) = found.interval {
            let (from, to) = (place(interval.low), place(interval.high));
            canvas.line((from, y + 10.0), (to, y + 10.0), SOFT, 1.2)?;
        }
        let share = share.map_or(String::new(), |share| format!(", {:.0} %", 100.0 * share));
        canvas.words(
            &format!("{} rpm{share}", words::signed(found.mean)),
            (RIGHT, y),
            Side::Right,
            Hand::PLAIN,
        )?;
    }
    canvas.line((place(0.0), top), (place(0.0), bottom), INK, 1.0)
}
