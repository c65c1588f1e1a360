//! Words on a page to print: a title, headings, and lines broken to the page's width.

use super::canvas::{Canvas, Hand, PlotError, Side};
use crate::practise::words::plan::{Kind, Line, broken};

/// The page's edge.
pub(super) const EDGE: f64 = 40.0;
/// Height of a line of words.
const LINE: f64 = 16.5;
/// Room above a heading.
const ABOVE: f64 = 10.0;
/// Letters that a line has room for.
const LETTERS: usize = 128;

/// The words of a page.
pub(super) struct Words<'a> {
    /// What it is about.
    pub title: &'a str,
    rest: Vec<(Kind, String)>,
}

impl<'a> Words<'a> {
    /// Of lines whose first is the title.
    pub fn of(lines: &'a [Line]) -> Self {
        let broken = |line: &Line| {
            broken(&line.text, LETTERS)
                .into_iter()
                .map(|text| (line.kind, text))
                .collect::<Vec<_>>()
        };
        Self {
            title: lines.first().map_or("", |line| line.text.as_str()),
            rest: lines.iter().skip(1).flat_map(broken).collect(),
        }
    }

    /// Height of all but the title.
    pub fn height(&self) -> f64 {
        let headings = self.rest.iter().filter(|(kind, _)| *kind == Kind::Heading).count();
        LINE * self.rest.len() as f64 + ABOVE * headings as f64
    }

    /// The title at the page's top.
    ///
    /// # Errors
    /// None that any words lead to; the drawing library could refuse.
    pub fn draw_title(&self, canvas: &mut Canvas) -> Result<(), PlotError> {
        canvas.words(self.title, (EDGE, 34.0), Side::Left, Hand::TITLE)
    }

    /// All else from so far down.
    ///
    /// # Errors
    /// As [`Words::draw_title`].
    pub fn draw(&self, canvas: &mut Canvas, top: f64) -> Result<(), PlotError> {
        let mut y = top;
        for (kind, text) in &self.rest {
            let heading = *kind == Kind::Heading;
            y += if heading { ABOVE } else { 0.0 };
            let hand = if heading { Hand::HEADING } else { Hand::PLAIN };
            let indent = 5.0 * text.chars().take_while(|c| *c == ' ').count() as f64;
            canvas.words(text.trim(), (EDGE + indent, y), Side::Left, hand)?;
            y += LINE;
        }
        Ok(())
    }
}
