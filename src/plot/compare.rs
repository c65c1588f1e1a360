//! A study as a picture: for each way of tuning how many needle turns its practices took, stacked by how they ended, and its mean cost
//! with the interval, the least costly way at the top.

use plotters::style::RGBColor;

use super::axis::Axis;
use super::canvas::{Canvas, GRID, Hand, INK, PlotError, SOFT, Side, picture, short};
use super::panel::{COLOURS, WIDTH, caption, caption_height};
use crate::tuning::batch::playing::End;
use crate::tuning::batch::record::Record;
use crate::tuning::batch::study::{Study, skill_name};
use crate::tuning::batch::summary::{Standing, Summary};

/// Height of a way's row, and of its highest bar.
const ROW: f64 = 52.0;
const BAR: f64 = 34.0;
/// Where the bars begin and end.
const LEFT: f64 = 208.0;
const RIGHT: f64 = WIDTH - 196.0;
/// Where the columns of numbers end.
const COLUMNS: [(f64, &str); 3] = [
    (WIDTH - 132.0, "cost"),
    (WIDTH - 78.0, "won %"),
    (WIDTH - 24.0, "lost %"),
];
/// Letters of a name for which there is room.
const NAME: usize = 26;
/// Turns that have a bar of their own; more share the last.
const MOST: usize = 60;

/// How practices end, from the axis up.
const ENDS: [(&str, RGBColor); 3] = [("clean", COLOURS[3]), ("not clean", COLOURS[2]), ("engine lost", INK)];

/// Practices of one way by needle turns and by how they ended.
struct Bars(Vec<[usize; 3]>);

impl Bars {
    fn of(study: &Study, standing: &Standing, records: &[Record]) -> Self {
        let mut bars = vec![[0; 3]; MOST + 1];
        for record in records {
            let ours =
                skill_name(record.skill) == standing.skill && study.entrants[record.entrant].label == standing.name;
            if let (true, Some(end)) = (ours, record.end) {
                let ended = match end {
                    End::Clean => 0,
                    End::Lost => 2,
                    _ => 1,
                };
                bars[(record.outcome.turns as usize).min(MOST)][ended] += 1;
            }
        }
        Self(bars)
    }

    fn all(&self) -> usize {
        self.0.iter().flatten().sum()
    }

    /// Share of the practices in the highest bar.
    fn highest(&self) -> f64 {
        let most = self.0.iter().map(|bar| bar.iter().sum::<usize>()).max().unwrap_or(0);
        most as f64 / self.all().max(1) as f64
    }

    /// The last bar with anything in it.
    fn last(&self) -> usize {
        self.0
            .iter()
            .rposition(|bar| bar.iter().sum::<usize>() > 0)
            .unwrap_or(0)
    }
}

/// The picture.
///
/// # Errors
/// None that any study leads to; the drawing library could refuse.
pub fn svg(study: &Study, summary: &Summary, records: &[Record]) -> Result<String, PlotError> {
    let title = format!("{}: needle turns of each way of tuning", study.name);
    let situations = summary.scenarios.len();
    let lines = [
        format!(
            "{} hidden engines of {situations} situation{}, seed {}; bars: practices that took so many needle turns, each way to its own height",
            summary.engines,
            if situations == 1 { "" } else { "s" },
            summary.seed
        ),
        format!(
            "Dot and line: mean cost with its {} % interval; cost adds {} turns for not clean, {} for an engine lost",
            summary.confidence_percent, summary.costs.not_clean_turns, summary.costs.lost_turns
        ),
    ];
    let standings = &summary.strategies;
    let bars: Vec<Bars> = standings.iter().map(|s| Bars::of(study, s, records)).collect();
    let reach = standings
        .iter()
        .filter_map(|s| s.cost_interval.map(|interval| interval.high));
    let most = bars.iter().map(Bars::last).max().unwrap_or(0) as f64 + 1.0;
    let x = Axis::around(0.0, reach.fold(most, f64::max).min(1000.0), 8.0, 10).whole();
    let top = caption_height(lines.len()) + 52.0;
    let bottom = top + ROW * standings.len() as f64;
    picture((WIDTH, bottom + 52.0), &title, |canvas| {
        caption(canvas, &title, &lines)?;
        legend(canvas, top - 34.0)?;
        for (at, heading) in COLUMNS {
            canvas.words(heading, (at, top - 10.0), Side::Right, Hand::HEADING)?;
        }
        let place = |turns: f64| LEFT + (RIGHT - LEFT) * x.place(turns).clamp(0.0, 1.0);
        for mark in x.marks() {
            canvas.line((place(mark), top), (place(mark), bottom), GRID, 1.0)?;
            canvas.words(&x.label(mark), (place(mark), bottom + 14.0), Side::Middle, Hand::PLAIN)?;
        }
        for (at, (standing, bars)) in standings.iter().zip(&bars).enumerate() {
            let base = top + ROW * (at as f64 + 1.0) - 10.0;
            row(canvas, standing, bars, base, &place)?;
        }
        let middle = 0.5 * (LEFT + RIGHT);
        canvas.words(
            "needle turns, or cost",
            (middle, bottom + 36.0),
            Side::Middle,
            Hand::HEADING,
        )
    })
}

fn legend(canvas: &mut Canvas, y: f64) -> Result<(), PlotError> {
    let mut at = LEFT;
    for (name, colour) in ENDS {
        canvas.block((at, y - 5.0), (at + 10.0, y + 5.0), colour)?;
        canvas.words(name, (at + 16.0, y), Side::Left, Hand::PLAIN)?;
        at += 110.0;
    }
    Ok(())
}

/// One way: its name, its bars up to the highest of its own, its mean cost and its numbers.
fn row(
    canvas: &mut Canvas,
    standing: &Standing,
    bars: &Bars,
    base: f64,
    place: &impl Fn(f64) -> f64,
) -> Result<(), PlotError> {
    canvas.words(
        &short(&standing.name, NAME),
        (LEFT - 12.0, base - 14.0),
        Side::Right,
        Hand::PLAIN,
    )?;
    canvas.words(standing.skill, (LEFT - 12.0, base + 1.0), Side::Right, Hand::ASIDE)?;
    let all = bars.all().max(1) as f64;
    let per_share = BAR / bars.highest().max(1e-9);
    for (turns, bar) in bars.0.iter().enumerate() {
        let (left, right) = (place(turns as f64 - 0.4), place(turns as f64 + 0.4));
        let mut from = base;
        for (count, (_, colour)) in bar.iter().zip(ENDS) {
            let to = from - per_share * *count as f64 / all;
            if *count > 0 {
                canvas.block((left, to), (right, from), colour)?;
            }
            from = to;
        }
    }
    canvas.line((LEFT, base), (RIGHT, base), SOFT, 1.0)?;
    let y = base + 5.0;
    if let Some(interval) = standing.cost_interval {
        canvas.line((place(interval.low), y), (place(interval.high), y), COLOURS[1], 2.5)?;
    }
    if standing.cost_mean.is_finite() {
        canvas.dot((place(standing.cost_mean), y), 3.5, COLOURS[1], true)?;
    }
    let numbers = [
        format!("{:.1}", standing.cost_mean),
        format!("{:.0}", 100.0 * standing.success_rate),
        format!("{:.1}", 100.0 * standing.engines_lost_rate),
    ];
    for (number, (at, _)) in numbers.iter().zip(COLUMNS) {
        canvas.words(number, (at, base - 10.0), Side::Right, Hand::PLAIN)?;
    }
    Ok(())
}
