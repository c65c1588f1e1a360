//! Draws the desk onto a frame: a pure function, which changes nothing. Meaning never rests on colour alone; without colour the
//! same screen comes out in the terminal's own.

use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Color;
use ratatui::text::{Line, Span};
use ratatui::widgets::Widget;

use super::desk::{Desk, LEAST_COLUMNS, LEAST_ROWS};
use super::look::{BOLD, lines};
use super::mode::Mode;
use super::panels::{card, engine, header, heard, hint, key_bar, notebook, screws};
use super::{dialogs, strip};
use crate::practise::session::Level;
use crate::practise::wrap::wrap;

/// Shows the desk.
pub fn draw(frame: &mut Frame<'_>, desk: &Desk, colour: bool) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    if area.width < LEAST_COLUMNS || area.height < LEAST_ROWS {
        too_small(area, buffer);
    } else {
        match &desk.mode {
            Mode::Cautions => dialogs::cautions(desk, area, buffer),
            Mode::Debrief => dialogs::debrief(desk, area, buffer),
            mode => {
                bench(desk, area, buffer);
                dialogs::over(desk, mode, area, buffer);
            }
        }
    }
    if !colour {
        for cell in &mut buffer.content {
            (cell.fg, cell.bg) = (Color::Reset, Color::Reset);
        }
    }
}

fn too_small(area: Rect, buffer: &mut Buffer) {
    let text = format!(
        "This terminal has {} columns and {} rows.\nneedlebench needs {LEAST_COLUMNS} and {LEAST_ROWS}.\n\
         The practice stands still; enlarge the window to go on.\nCtrl-C leaves.",
        area.width, area.height
    );
    let text = wrap(&text, usize::from(area.width), 0);
    lines(text.into_iter().map(Line::from).collect(), area, buffer);
}

fn bench(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let [head, body, message, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(0),
        Constraint::Length(1),
        Constraint::Length(2),
    ])
    .areas(area);
    header(desk, head, buffer);
    let [left, right] = Layout::horizontal([
        Constraint::Length(if area.width < 100 { 40 } else { 46 }),
        Constraint::Min(0),
    ])
    .areas(body);
    let [screws_at, engine_at, below] =
        Layout::vertical([Constraint::Length(9), Constraint::Length(5), Constraint::Min(0)]).areas(left);
    screws(desk, screws_at, buffer);
    engine(desk, engine_at, buffer);
    // What a taller screen has over the least goes to the lists first.
    let more = ((area.height - LEAST_ROWS) / 3).min(4);
    match desk.view.card.level {
        Level::ByEar => {
            card(
                desk,
                Rect {
                    height: below.height.min(7),
                    ..below
                },
                buffer,
            );
            let [heard_at, book_at] =
                Layout::vertical([Constraint::Length(10 + more), Constraint::Min(0)]).areas(right);
            heard(desk, heard_at, buffer);
            notebook(desk, book_at, buffer);
        }
        Level::Assisted => {
            notebook(desk, below, buffer);
            let [heard_at, strip_at] =
                Layout::vertical([Constraint::Length(9 + more), Constraint::Min(0)]).areas(right);
            heard(desk, heard_at, buffer);
            strip::chart(desk, strip_at, buffer);
        }
        Level::Guided => {
            notebook(desk, below, buffer);
            let [heard_at, hint_at, strip_at] =
                Layout::vertical([Constraint::Length(7 + more), Constraint::Length(7), Constraint::Min(0)])
                    .areas(right);
            heard(desk, heard_at, buffer);
            hint(desk, hint_at, buffer);
            strip::chart(desk, strip_at, buffer);
        }
    }
    if let Some(text) = desk.message() {
        Line::from(vec![Span::raw(" "), Span::styled(text, BOLD)]).render(message, buffer);
    }
    key_bar(keys, buffer);
}
