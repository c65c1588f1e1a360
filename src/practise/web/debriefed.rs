//! The debrief for a page: the same lines that a terminal prints, under their headings, and beside them the data that a page draws: how
//! far inside its limits each check is, the map of clean settings with the path over it, and what was noticed over time.

use serde::Serialize;

use crate::bench::checks::Report;
use crate::practise::debrief::Debrief;
use crate::practise::map::Map;
use crate::practise::view::View;
use crate::practise::words::{self, Tone};
use crate::tuning::episode::Ending;

/// The debrief.
#[derive(Clone, Debug, Serialize)]
pub struct Debriefed {
    /// How it ended.
    pub ended: Option<Ending>,
    /// In one line.
    pub verdict: String,
    /// What follows that line, before the first heading.
    pub opening: Vec<Line>,
    /// The rest, by heading.
    pub sections: Vec<Section>,
    /// How far the checks are from their limits.
    pub margins: Vec<Margin>,
    /// What was noticed, oldest first.
    pub noticed: Vec<Sign>,
    /// The map, unless the practice was left.
    pub map: Option<Map>,
    /// Share of it that is made, 0..1.
    pub made: f64,
    /// Seconds that the practice took.
    pub took_s: f64,
}

/// A line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// Its words.
    pub text: String,
    /// It tells of something that failed.
    pub failed: bool,
}

/// Lines under a heading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Section {
    /// The heading.
    pub heading: String,
    /// The lines.
    pub lines: Vec<Line>,
}

/// A check against its limits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Margin {
    /// The check.
    pub name: String,
    /// Within its limits.
    pub pass: bool,
    /// The value, what its limits are, and what that means, in words.
    pub text: String,
    /// Distance to the nearer limit as a share of the limits' size, negative outside; none for a dead engine.
    pub margin: Option<f64>,
}

/// Something noticed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sign {
    /// When.
    pub clock_s: f64,
    /// What, and what it meant there.
    pub text: String,
    /// It told what was not so.
    pub misled: bool,
}

fn margins(report: &Report) -> Vec<Margin> {
    let margin = |check: &crate::bench::checks::Check| Margin {
        name: words::check_name(check.name),
        pass: check.pass,
        text: words::check_told(check, report.bog),
        margin: check.margin().filter(|margin| margin.is_finite()),
    };
    report.checks.iter().map(margin).collect()
}

fn line(told: &words::Told) -> Line {
    Line {
        text: told.text.trim().to_string(),
        failed: told.tone == Tone::Failed,
    }
}

impl Debriefed {
    /// Of a practice that is over, as far as its debrief is made; none before.
    pub fn of(view: &View) -> Option<Self> {
        let debrief: &Debrief = view.debrief.as_ref()?;
        let mut told = view.told.iter();
        let verdict = told.next().map(|first| first.text.clone()).unwrap_or_default();
        let (mut opening, mut sections) = (Vec::new(), Vec::<Section>::new());
        for told in told.filter(|told| !told.text.trim().is_empty()) {
            match (told.tone, sections.last_mut()) {
                (Tone::Heading, _) => sections.push(Section {
                    heading: told.text.clone(),
                    lines: Vec::new(),
                }),
                (_, Some(section)) => section.lines.push(line(told)),
                (_, None) => opening.push(line(told)),
            }
        }
        let report = debrief.sign_off.as_ref().or(debrief.as_left.as_ref());
        Some(Self {
            ended: debrief.ended,
            verdict,
            opening,
            sections,
            margins: report.map(margins).unwrap_or_default(),
            noticed: words::noticed_signs(&debrief.noticed)
                .map(|(noticed, text)| Sign {
                    clock_s: noticed.clock_s,
                    text: text.trim().to_string(),
                    misled: noticed.misled.is_some(),
                })
                .collect(),
            map: debrief.map.clone(),
            made: debrief.progress().share(),
            took_s: 60.0 * debrief.score.minutes,
        })
    }
}
