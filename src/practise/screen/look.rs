//! The look of the screen: its few styles, framed parts, and keys with what they do.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, BorderType, Paragraph, Widget};

use crate::practise::session::Level;

/// Bold, for headings and keys.
pub const BOLD: Style = Style::new().add_modifier(Modifier::BOLD);
/// What is in hand.
pub const ACCENT: Style = Style::new().fg(Color::Cyan).add_modifier(Modifier::BOLD);
/// What must not be missed.
pub const ALARM: Style = Style::new().fg(Color::Red).add_modifier(Modifier::BOLD);
/// Headings in a frame, which else would take its colour.
pub const TITLE: Style = Style::new().fg(Color::Reset).add_modifier(Modifier::BOLD);
/// Frames around what matters.
const BORDER: Style = Style::new().fg(Color::DarkGray);

/// A framed part of the screen with its heading; its inside.
pub fn panel(title: Line<'_>, area: Rect, buffer: &mut Buffer) -> Rect {
    let block = Block::bordered()
        .border_type(BorderType::Rounded)
        .border_style(BORDER)
        .title(title.style(TITLE));
    let inside = block.inner(area);
    block.render(area, buffer);
    inside
}

/// Lines from the top of an area.
pub fn lines(lines: Vec<Line<'_>>, area: Rect, buffer: &mut Buffer) {
    Paragraph::new(lines).render(area, buffer);
}

/// The level in one word.
pub fn level(level: Level) -> &'static str {
    match level {
        Level::Guided => "guided",
        Level::Assisted => "assisted",
        Level::ByEar => "by ear",
    }
}

/// Keys and what they do, on one line.
pub fn keys_line(keys: &[(&'static str, &'static str)]) -> Line<'static> {
    let mut spans = vec![Span::raw(" ")];
    for (key, what) in keys {
        spans.push(Span::styled(*key, BOLD));
        spans.push(Span::raw(format!(" {what}  ")));
    }
    Line::from(spans)
}
