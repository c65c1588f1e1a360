//! What opens over the bench, and the two full pages: the cautions at the start and the debrief at the end.

use ratatui::buffer::Buffer;
use ratatui::layout::{Alignment, Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, BorderType, Clear, Widget};

use super::desk::Desk;
use super::keys::BENCH_KEYS;
use super::look::{ACCENT, ALARM, BOLD, keys_line, level, lines};
use super::mode::{ENDS, Form, Mode, VERDICTS};
use crate::practise::words::{self, Tone};
use crate::practise::wrap::wrap;
use crate::tuning::action::Part;
use crate::tuning::episode::WARM_HEAD_C;

/// The page at the start.
pub fn cautions(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let inside = page(" needlebench: practise ", area, buffer);
    let columns = usize::from(inside.width);
    let card = &desk.view.card;
    let mut shown = vec![Line::styled("Cautions for the real thing", BOLD)];
    for (what, why) in words::DANGERS {
        for (i, line) in wrap(why, columns.saturating_sub(16), 0).into_iter().enumerate() {
            let head = if i == 0 { what } else { "" };
            shown.push(Line::from(vec![
                Span::styled(format!("  {head:14}"), BOLD),
                Span::raw(line),
            ]));
        }
    }
    shown.push(Line::raw(""));
    shown.extend(wrap(words::RULES, columns, 0).into_iter().map(Line::from));
    shown.push(Line::raw(""));
    shown.push(Line::from(vec![
        Span::styled(card.scenario.clone(), BOLD),
        Span::raw(format!(": {}", card.summary)),
    ]));
    shown.push(Line::raw(format!("  {}", card.engine)));
    shown.push(Line::raw(format!("  {}", card.weather)));
    shown.push(Line::raw(format!(
        "  level {}, seed {}; a warm head reads {WARM_HEAD_C:.0} °C and more",
        level(card.level),
        card.seed
    )));
    shown.push(Line::raw(""));
    shown.extend(wrap(words::TASK, columns, 0).into_iter().map(Line::from));
    let recorded = match &card.recorded {
        Some(path) => format!("Recorded to {path}"),
        None => "Not recorded.".to_string(),
    };
    shown.extend(wrap(&recorded, columns, 2).into_iter().take(2).map(Line::from));
    lines(shown, inside, buffer);
    foot(
        keys_line(&[(
            "any key",
            "to the bench: the engine stands, e starts it, ? lists the keys",
        )]),
        area,
        buffer,
    );
}

/// The page at the end.
pub fn debrief(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let inside = page(" Debrief ", area, buffer);
    let all = desk.debrief_lines();
    let height = usize::from(inside.height);
    let shown: Vec<Line<'_>> = all
        .iter()
        .skip(desk.scroll)
        .take(height)
        .map(|(tone, text)| {
            let style = match tone {
                Tone::Failed => ALARM,
                Tone::Heading => BOLD,
                Tone::Plain => Style::new(),
            };
            Line::styled(text.clone(), style)
        })
        .collect();
    lines(shown, inside, buffer);
    let last = (desk.scroll + height).min(all.len());
    let place = Line::raw(format!(" {last} of {} lines ", all.len())).alignment(Alignment::Right);
    place.render(
        Rect {
            y: area.y,
            height: 1,
            width: area.width - 2,
            ..area
        },
        buffer,
    );
    foot(
        keys_line(&[("↑ ↓ PgUp PgDn", "read on"), ("q", "leave; it is printed then, too")]),
        area,
        buffer,
    );
}

/// A framed page; its inside, a column off the frame.
fn page(title: &'static str, area: Rect, buffer: &mut Buffer) -> Rect {
    let block = Block::bordered()
        .border_type(BorderType::Rounded)
        .title(Line::styled(title, BOLD));
    let inside = block.inner(area);
    block.render(area, buffer);
    Rect {
        x: inside.x + 1,
        width: inside.width.saturating_sub(2),
        ..inside
    }
}

/// Keys on the lower frame of a page.
fn foot(keys: Line<'_>, area: Rect, buffer: &mut Buffer) {
    let row = Rect {
        x: area.x + 2,
        y: area.bottom().saturating_sub(1),
        width: (keys.width() as u16).min(area.width.saturating_sub(4)),
        height: 1,
    };
    Clear.render(row, buffer);
    keys.render(row, buffer);
}

/// What `mode` opens over the bench.
pub fn over(desk: &Desk, mode: &Mode, area: Rect, buffer: &mut Buffer) {
    let (title, body, keys): (&str, Vec<Line<'_>>, Line<'_>) = match mode {
        Mode::Help => (" All keys ", help(), keys_line(&[("Esc", "back")])),
        Mode::Paused => (
            " Paused ",
            vec![Line::raw("The clock stands still.")],
            keys_line(&[("z Esc", "go on"), ("q", "leave")]),
        ),
        Mode::Judge(form) => (
            " Judge both ends: before the first needle turn it tells most ",
            judgement(form, desk),
            keys_line(&[
                ("← →", "how it is"),
                ("+ -", "how sure"),
                ("Enter", "say it"),
                ("↑ ↓", "end"),
                ("Esc", "back"),
            ]),
        ),
        Mode::Fix => (
            " Not the mixture: put right ... ",
            fix(),
            keys_line(&[("1-7", "fix it"), ("Esc", "back")]),
        ),
        Mode::Note(text) => (
            " Note ",
            note(text),
            keys_line(&[("Enter", "write it down"), ("Esc", "drop it")]),
        ),
        Mode::SignOff if !desk.view.frame.sight.missing.is_empty() => (
            " Not signed off yet ",
            not_yet(desk),
            keys_line(&[("any key", "back to the bench")]),
        ),
        Mode::SignOff => (
            " Sign off? ",
            vec![
                Line::raw("The setting is checked as it is now,"),
                Line::raw("and the practice ends."),
            ],
            keys_line(&[("y", "yes, check it"), ("n", "no, back to the bench")]),
        ),
        Mode::Leave => (
            " Leave without signing off? ",
            vec![Line::raw("The practice ends unchecked.")],
            keys_line(&[("y", "yes, leave"), ("n", "no, back to the bench")]),
        ),
        Mode::Told(told) => (
            " Looked over ",
            told.iter().map(|found| Line::raw(words::found(found))).collect(),
            keys_line(&[("any key", "back")]),
        ),
        Mode::Trouble(why) => (
            " Recording stopped ",
            trouble(why),
            keys_line(&[("c", "go on without recording"), ("q", "leave now")]),
        ),
        Mode::Bench | Mode::Cautions | Mode::Debrief => return,
    };
    // What is behind steps back.
    buffer.set_style(
        area,
        Style::new().add_modifier(Modifier::DIM).remove_modifier(Modifier::BOLD),
    );
    let width = body
        .iter()
        .map(Line::width)
        .chain([keys.width(), title.len() + 2])
        .max()
        .unwrap_or(0) as u16
        + 4;
    let height = body.len() as u16 + 4;
    let [_, middle, _] =
        Layout::vertical([Constraint::Fill(1), Constraint::Length(height), Constraint::Fill(1)]).areas(area);
    let [_, middle, _] =
        Layout::horizontal([Constraint::Fill(1), Constraint::Length(width), Constraint::Fill(1)]).areas(middle);
    Clear.render(middle, buffer);
    let block = Block::bordered()
        .border_type(BorderType::Double)
        .title(Line::styled(title, BOLD));
    let inside = block.inner(middle);
    block.render(middle, buffer);
    let [top, bottom] = Layout::vertical([Constraint::Min(0), Constraint::Length(1)]).areas(inside);
    let top = Rect {
        x: top.x + 1,
        width: top.width.saturating_sub(1),
        ..top
    };
    lines(body, top, buffer);
    keys.render(bottom, buffer);
}

fn help() -> Vec<Line<'static>> {
    let mut shown = Vec::new();
    for pair in BENCH_KEYS.chunks(2) {
        let rows = pair.iter().map(|(_, keys)| keys.len()).max().unwrap_or(0);
        shown.push(Line::from(
            pair.iter()
                .map(|(title, _)| Span::styled(format!("{title:37}"), BOLD))
                .collect::<Vec<_>>(),
        ));
        for row in 0..rows {
            let mut spans = Vec::new();
            for (_, keys) in pair {
                let (key, what) = keys.get(row).copied().unwrap_or(("", ""));
                spans.push(Span::styled(format!("{key:>10} "), BOLD));
                spans.push(Span::raw(format!("{what:26}")));
            }
            shown.push(Line::from(spans));
        }
        shown.push(Line::raw(""));
    }
    shown.pop();
    shown
}

fn judgement(form: &Form, desk: &Desk) -> Vec<Line<'static>> {
    let mut shown = Vec::new();
    for (row, (end, saying)) in ENDS.iter().zip(form.sayings).enumerate() {
        let held = form.row == row;
        let mut spans = vec![Span::styled(
            format!(
                "{} {:9}",
                if held { "▸" } else { " " },
                format!("{} end", words::short(*end))
            ),
            if held { ACCENT } else { Style::new() },
        )];
        for verdict in VERDICTS {
            let name = words::verdict(verdict);
            spans.push(if saying.verdict == Some(verdict) {
                Span::styled(format!("[{name}]").to_string(), BOLD)
            } else {
                Span::raw(format!(" {name} "))
            });
            spans.push(Span::raw(" "));
        }
        spans.push(Span::raw(format!("  sure {:>3} %", saying.sure_percent)));
        spans.push(Span::raw(if saying.said { "  said" } else { "      " }));
        shown.push(Line::from(spans));
    }
    shown.push(Line::raw(""));
    shown.push(Line::raw("34 % is a guess, 100 % certain. Sure and wrong costs most."));
    if let Some(text) = desk.message() {
        shown.push(Line::styled(text.to_string(), BOLD));
    }
    shown
}

/// What signing off still asks for.
fn not_yet(desk: &Desk) -> Vec<Line<'static>> {
    let asks = desk.view.frame.sight.missing.iter();
    let asked = asks.map(|ask| Line::raw(format!("- {}", words::asked(ask))));
    std::iter::once(Line::raw("Not heard since the last turn; still to do:"))
        .chain(asked)
        .collect()
}

fn fix() -> Vec<Line<'static>> {
    let mut shown = vec![
        Line::raw("Each takes its time and its price, sound or not; the engine is stopped."),
        Line::raw(""),
    ];
    for (i, part) in Part::ALL.iter().enumerate() {
        shown.push(Line::from(vec![
            Span::styled(format!("{}  ", i + 1), BOLD),
            Span::raw(format!("{:9}", part.word())),
            Span::raw(format!(
                "{:44} {:2} min {:2} €",
                words::cure(*part),
                part.cure_minutes(),
                part.cure_euros()
            )),
        ]));
    }
    shown
}

/// Columns of the field of a remark.
const NOTE: usize = 56;

fn note(text: &str) -> Vec<Line<'static>> {
    let mut shown: Vec<Line<'static>> = wrap(&format!("{text}█"), NOTE, 0).into_iter().map(Line::from).collect();
    shown.push(Line::raw(" ".repeat(NOTE)));
    shown
}

fn trouble(why: &str) -> Vec<Line<'static>> {
    let text = format!(
        "{why}\nWhat was written before is kept and can be replayed. Make room on the disk, or name another place with \
         --record FILE the next time. The exit code will be 2."
    );
    wrap(&text, 60, 0).into_iter().map(Line::from).collect()
}
