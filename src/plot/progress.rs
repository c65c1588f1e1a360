//! The learner's curve: what practices say about somebody's tuning, practice by practice. Each level has a line of its own, and the
//! same seed again belongs to none.

use super::axis::Axis;
use super::canvas::{Canvas, PlotError, picture};
use super::panel::{COLOURS, HEADING, Panel, WIDTH, caption, caption_height};
use crate::practise::progress::Practised;
use crate::practise::session::Level;
use crate::tuning::episode::Ending;
use plotters::style::RGBColor;

/// Above this many practices there is no room for a mark on each.
const MOST_MARKS: usize = 150;
/// Height of a panel.
const HEIGHT: f64 = 84.0;
/// Brier score over three answers of somebody who gives each a third.
const KNOWS_NOTHING: f64 = 2.0 / 3.0;

/// One panel's measure.
struct Measure {
    heading: &'static str,
    /// Where there is nothing to draw.
    nothing: &'static str,
    values: Vec<Option<f64>>,
    axis: fn(f64, f64) -> Axis,
    level: Option<(f64, &'static str)>,
}

fn measures(practices: &[Practised]) -> [Measure; 6] {
    let each = |value: fn(&Practised) -> Option<f64>| practices.iter().map(value).collect();
    let counts = |low: f64, high: f64| Axis::around(low.min(0.0), high.max(0.0), 4.0, 4).whole();
    let percent = |_, _| Axis::exact(0.0, 100.0, 4);
    [
        Measure {
            heading: "Turns over par (clean practices)",
            nothing: "no practice signed off clean yet",
            values: each(|p| p.turns_over_par.map(|turns| turns as f64)),
            axis: counts,
            level: Some((0.0, "par")),
        },
        Measure {
            heading: "Time too lean, s",
            nothing: "",
            values: each(|p| Some(p.lean_s)),
            axis: |_, high| Axis::around(0.0, high, 2.0, 4),
            level: None,
        },
        Measure {
            heading: "Crossings into lean",
            nothing: "",
            values: each(|p| Some(f64::from(p.lean_crossings))),
            axis: counts,
            level: None,
        },
        Measure {
            heading: "First turns in the right direction, % of those so far",
            nothing: "no needle turned yet",
            values: so_far(practices),
            axis: percent,
            level: None,
        },
        Measure {
            heading: "Judgements made on a warm, cleared-out engine, %",
            nothing: "nothing judged yet",
            values: each(|p| (p.judgements > 0).then(|| 100.0 * p.readable_judgements as f64 / p.judgements as f64)),
            axis: percent,
            level: None,
        },
        Measure {
            heading: "Brier score of the judgements (0: sure and right, 2: sure and wrong)",
            nothing: "nothing judged yet",
            values: each(|p| p.brier),
            axis: |_, _| Axis::exact(0.0, 2.0, 4),
            level: Some((KNOWS_NOTHING, "a third on each answer")),
        },
    ]
}

/// Share of the first turns that went the right way, up to each practice of the same level that has one; the same seed again doesn't
/// count.
fn so_far(practices: &[Practised]) -> Vec<Option<f64>> {
    let mut counts = [(0.0, 0.0); LINES.len()];
    let share = |practice: &Practised| {
        let this = practice.first_turn_right.filter(|_| !practice.again)?;
        let (right, all) = &mut counts[LINES.iter().position(|(level, _)| *level == practice.level)?];
        *right += f64::from(u8::from(this));
        *all += 1.0;
        Some(100.0 * *right / *all)
    };
    practices.iter().map(share).collect()
}

/// The levels, and the width of their lines.
const LINES: [(Level, f64); 3] = [(Level::ByEar, 2.4), (Level::Assisted, 1.5), (Level::Guided, 0.8)];

/// The picture of the curve, oldest practice first; none without a practice.
///
/// # Errors
/// None that any practice leads to; the drawing library could refuse.
pub fn svg(practices: &[Practised]) -> Result<Option<String>, PlotError> {
    if practices.is_empty() {
        return Ok(None);
    }
    let count = practices.len();
    let clean = practices.iter().filter(|p| p.ended == Ending::Clean).count();
    let title = format!(
        "The learner's curve: {count} practice{}, {clean} clean",
        if count == 1 { "" } else { "s" }
    );
    let marks = if count > MOST_MARKS {
        "each line joins the practices that have a value"
    } else {
        "filled dot: signed off clean; open dot: not clean, or left; cross: engine lost"
    };
    let mut lines = vec![marks.to_string()];
    let levels = LINES
        .iter()
        .filter(|(level, _)| practices.iter().any(|p| p.level == *level));
    if levels.count() > 1 {
        lines.push("a line for each level: thick by ear, thinner assisted, thinnest guided".to_string());
    }
    if practices.iter().any(|p| p.again) {
        lines.push("small ring: the same seed again, which belongs to no line".to_string());
    }
    let measures = measures(practices);
    let height = caption_height(lines.len()) + (HEADING + HEIGHT) * measures.len() as f64 + 48.0;
    let ends = (0.5, count as f64 + 0.5);
    let x = Axis::exact(ends.0, ends.1, 16).whole();
    picture((WIDTH, height), &title, |canvas| {
        let mut top = caption(canvas, &title, &lines)?;
        let mut last = None;
        for (measure, colour) in measures.iter().zip(COLOURS) {
            top += HEADING;
            let seen = measure.values.iter().flatten();
            let low = seen.clone().copied().fold(f64::INFINITY, f64::min);
            let high = seen.copied().fold(f64::NEG_INFINITY, f64::max);
            let panel = Panel {
                top,
                bottom: top + HEIGHT,
                x,
                y: (measure.axis)(low, high),
            };
            draw(canvas, &panel, measure, practices, colour)?;
            top = panel.bottom;
            last = Some(panel);
        }
        last.map_or(Ok(()), |panel| panel.foot(canvas, "Practice, oldest first"))
    })
    .map(Some)
}

fn draw(
    canvas: &mut Canvas,
    panel: &Panel,
    measure: &Measure,
    practices: &[Practised],
    colour: RGBColor,
) -> Result<(), PlotError> {
    let aside = measure.level.map(|(_, meaning)| format!("dashed: {meaning}"));
    panel.frame(canvas, measure.heading, aside.as_deref().unwrap_or_default())?;
    if let Some((value, _)) = measure.level {
        panel.level(canvas, value)?;
    }
    let points: Vec<(f64, f64, &Practised)> = (1..)
        .zip(&measure.values)
        .zip(practices)
        .filter_map(|((number, value), practice)| Some((f64::from(number), (*value)?, practice)))
        .collect();
    if points.is_empty() {
        return panel.nothing(canvas, measure.nothing);
    }
    // Practices without a value are passed over: a line joins those of its level that have one.
    for (level, width) in LINES {
        let of_level = points.iter().filter(|(_, _, p)| p.level == level && !p.again);
        let line: Vec<(f64, f64)> = of_level.map(|(x, y, _)| panel.at(*x, *y)).collect();
        if !line.is_empty() {
            canvas.curve(&line, colour, width)?;
        }
    }
    if practices.len() > MOST_MARKS {
        return Ok(());
    }
    for (x, y, practice) in points {
        let at = panel.at(x, y);
        match practice.ended {
            _ if practice.again => canvas.dot(at, 2.0, colour, false)?,
            Ending::Clean => canvas.dot(at, 3.6, colour, true)?,
            Ending::Lost => {
                for slope in [-1.0, 1.0] {
                    canvas.line(
                        (at.0 - 4.0, at.1 - 4.0 * slope),
                        (at.0 + 4.0, at.1 + 4.0 * slope),
                        colour,
                        2.0,
                    )?;
                }
            }
            Ending::NotClean | Ending::OutOfTime | Ending::Left => canvas.dot(at, 3.6, colour, false)?,
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn practice(i: u32) -> Practised {
        Practised {
            scenario: "lesson-1".to_string(),
            level: Level::ByEar,
            seed: u64::from(i),
            begun_unix_ms: None,
            again: false,
            ended: [Ending::Clean, Ending::NotClean, Ending::Lost, Ending::Left][i as usize % 4],
            safe_clean: false,
            trims_over_par: None,
            turns_over_par: i.is_multiple_of(4).then(|| i64::from(i % 7) - 1),
            lean_s: f64::from(i % 5),
            lean_crossings: i % 3,
            first_turn_right: (!i.is_multiple_of(5)).then_some(i.is_multiple_of(2)),
            first_turn: None,
            later_brier: None,
            said: Vec::new(),
            judgements: i as usize % 3,
            readable_judgements: i as usize % 2,
            brier: (!i.is_multiple_of(3)).then_some(0.5),
        }
    }

    #[test]
    fn nothing_practised_is_nothing_to_draw() {
        assert_eq!(svg(&[]), Ok(None));
    }

    #[test]
    fn a_curve_of_one_or_of_thousands_stays_small() {
        for count in [1, 2, 150, 151, 5_000] {
            let practices: Vec<Practised> = (0..count).map(practice).collect();
            let picture = svg(&practices).unwrap().unwrap();
            assert!(picture.len() < 300_000, "{count}: {}", picture.len());
            assert!(picture.contains(&format!("{count} practice")) && picture.contains("Practice, oldest first"));
        }
    }

    #[test]
    fn the_share_of_first_turns_counts_only_those_made() {
        let first = |right| Practised {
            first_turn_right: right,
            ..practice(0)
        };
        let practices = [
            first(None),
            first(Some(false)),
            first(Some(true)),
            first(None),
            first(Some(true)),
        ];
        let thirds = 200.0 / 3.0;
        assert_eq!(so_far(&practices), [None, Some(0.0), Some(50.0), None, Some(thirds)]);
        // Another level has a count of its own, and what was known before has none.
        let mut apart = practices.clone();
        apart[2].level = Level::Guided;
        apart[4].again = true;
        assert_eq!(so_far(&apart), [None, Some(0.0), Some(100.0), None, None]);
    }

    #[test]
    fn levels_and_the_same_seed_again_are_told_apart() {
        let mut practices: Vec<Practised> = (0..6).map(practice).collect();
        let lines = |practices: &[Practised]| svg(practices).unwrap().unwrap().matches("<polyline").count();
        let one = lines(&practices);
        practices[4].level = Level::Guided;
        practices[5].level = Level::Guided;
        assert!(lines(&practices) > one);
        practices[5].again = true;
        let picture = svg(&practices).unwrap().unwrap();
        assert!(picture.contains("a line for each level") && picture.contains("the same seed again"));
    }

    #[test]
    fn each_end_has_its_mark_and_empty_panels_say_why() {
        let marks = |ended| {
            let practices = [Practised {
                ended,
                turns_over_par: None,
                judgements: 0,
                brier: None,
                ..practice(1)
            }];
            let picture = svg(&practices).unwrap().unwrap();
            assert!(picture.contains("no practice signed off clean yet") && picture.contains("nothing judged yet"));
            (
                picture.matches("<circle").count(),
                picture.contains("fill=\"none\" stroke=\"#005AA8\""),
            )
        };
        // Lean seconds, crossings and first turns have values: a disc each, a ring on its ground, or a cross.
        assert_eq!(marks(Ending::Clean).0, 3);
        assert_eq!(marks(Ending::NotClean), (6, true));
        assert_eq!(marks(Ending::Lost).0, 0);
    }
}
