//! The parts of the bench, each drawn into its own rectangle.

use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Widget;

use super::desk::Desk;
use super::look::{ACCENT, ALARM, BOLD, keys_line, level, lines, panel};
use super::with_keys::{key, keys};
use crate::practise::heard::alarming;
use crate::practise::words::{self, clock, fraction, span};
use crate::practise::wrap::wrap;
use crate::tuning::action::Screw;
use crate::tuning::episode::WARM_HEAD_C;

/// The line at the top: what is practised, and the clock.
pub fn header(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let card = &desk.view.card;
    let mut said = format!(
        " {}  {}  seed {}  {}",
        card.scenario,
        level(card.level),
        card.seed,
        card.weather
    );
    if area.width >= 120 {
        said += &format!("  {}", card.engine);
    }
    let time = format!(
        "{} {} ",
        if desk.still() { "paused" } else { "clock" },
        clock(desk.view.frame.sight.clock_s)
    );
    let [left, right] = Layout::horizontal([Constraint::Min(0), Constraint::Length(time.len() as u16 + 2)]).areas(area);
    Line::raw(said).render(left, buffer);
    Line::styled(time, BOLD).right_aligned().render(right, buffer);
}

/// Left and right text on one line of `columns`.
fn spread<'a>(mut left: Vec<Span<'a>>, right: Vec<Span<'a>>, columns: u16) -> Line<'a> {
    let used: usize = left.iter().chain(&right).map(Span::width).sum();
    left.push(Span::raw(" ".repeat(usize::from(columns).saturating_sub(used))));
    left.extend(right);
    Line::from(left)
}

/// Half the cells of a screw's scale: a click each on the finest.
const HALF: i32 = 12;

/// A screw's scale with its mark; the finest shows half a turn either way, coarser ones whole multiples.
fn scale(mark: f64) -> String {
    let mut per_cell = 1.0 / 24.0;
    while (mark.abs() / per_cell).round() > f64::from(HALF) && per_cell < 1.0 {
        per_cell *= 2.0;
    }
    let at = (mark / per_cell).round().clamp(f64::from(-HALF), f64::from(HALF)) as i32;
    (-HALF..=HALF)
        .map(|cell| match cell {
            cell if cell == at => '●',
            0 => '┼',
            cell if cell % 6 == 0 => '┴',
            _ => '─',
        })
        .collect()
}

/// The screws, the step in hand and the idle gap.
pub fn screws(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let inside = panel(Line::raw(" Screws, against where you found them "), area, buffer);
    let marks = desk.view.frame.sight.marks;
    let mut shown = Vec::new();
    for (screw, name, mark, (left, right)) in [
        (Screw::High, "High-speed needle", marks.high_turns, ("lean", "rich")),
        (Screw::Low, "Low-speed needle", marks.low_turns, ("lean", "rich")),
        (Screw::Idle, "Idle stop", marks.idle_turns, ("slow", "fast")),
    ] {
        let held = desk.screw == screw;
        let style = if held { ACCENT } else { Style::new() };
        shown.push(spread(
            vec![
                Span::styled(if held { "▸ " } else { "  " }, style),
                Span::styled(key(screw).to_string(), BOLD),
                Span::styled(format!(" {name}"), style),
            ],
            vec![
                Span::styled(words::mark(screw, mark), BOLD),
                Span::raw(words::effect(screw, mark).map_or(String::new(), |effect| format!(" {effect}"))),
            ],
            inside.width,
        ));
        shown.push(Line::from(vec![
            Span::raw(format!("  {left} ")),
            Span::styled(scale(mark), style),
            Span::raw(format!(" {right}")),
        ]));
    }
    shown.push(spread(
        vec![
            Span::raw("  step "),
            Span::styled(format!("{} turn", fraction(desk.step())), BOLD),
        ],
        vec![
            Span::raw("idle gap "),
            Span::styled(format!("{:.2} mm", desk.view.frame.sight.idle_gap_mm), BOLD),
        ],
        inside.width,
    ));
    lines(shown, inside, buffer);
}

/// Cells of the throttle's bar.
const BAR: usize = 20;

/// Throttle, tank and gun.
pub fn engine(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let f = &desk.view.frame.sight;
    let title = if f.running { " Engine runs " } else { " Engine stands " };
    let inside = panel(Line::raw(title), area, buffer);
    let full = (f.throttle * BAR as f64).round() as usize;
    let hand = match (desk.trigger.kept(), f.throttle > 0.0) {
        (true, _) => "kept, k lets go",
        (false, true) => "springs back",
        (false, false) => "",
    };
    let since = match (desk.held_s(), f.throttle > 0.0) {
        (Some(s), true) => format!("open for {s:.1} s"),
        (Some(s), false) => format!("shut for {s:.1} s"),
        (None, _) => String::new(),
    };
    let gun = match desk.view.gun {
        Some((at, c)) => vec![
            Span::styled(format!("{c:.0} °C"), BOLD),
            Span::raw(if c < WARM_HEAD_C { " (cold)" } else { "" }),
            Span::raw(format!(", {} ago", span(f.clock_s - at))),
        ],
        None => vec![Span::raw("not read yet")],
    };
    let mut head = vec![Span::raw("head ")];
    head.extend(gun);
    lines(
        vec![
            spread(
                vec![
                    Span::styled("█".repeat(full), ACCENT),
                    Span::raw("·".repeat(BAR - full.min(BAR))),
                ],
                vec![Span::raw(hand)],
                inside.width,
            ),
            spread(
                vec![
                    Span::raw("throttle "),
                    Span::styled(format!("{:.0} %", 100.0 * f.throttle), BOLD),
                ],
                vec![Span::raw(since)],
                inside.width,
            ),
            spread(
                vec![Span::raw("tank "), Span::styled(format!("{}/4", f.tank_quarters), BOLD)],
                head,
                inside.width,
            ),
        ],
        inside,
        buffer,
    );
}

/// Engine, fuel and weather of the day.
pub fn card(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let inside = panel(Line::raw(" Today "), area, buffer);
    let text = format!(
        "{}\n{}\n{}\nwarm head: {WARM_HEAD_C:.0} °C and more",
        desk.view.card.summary, desk.view.card.engine, desk.view.card.weather
    );
    let text = wrap(&text, usize::from(inside.width), 2);
    lines(text.into_iter().map(Line::from).collect(), inside, buffer);
}

/// What is heard and seen, alarms first, and what was a moment ago.
pub fn heard(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let title = match &desk.view.frame.sight.following {
        Some(following) => format!(" Heard and seen: {} ", words::following(following)),
        None => " Heard and seen ".to_string(),
    };
    let inside = panel(Line::raw(title), area, buffer);
    let columns = usize::from(inside.width);
    let mut notes = desk.view.frame.sight.notes.clone();
    notes.sort_by_key(|n| !alarming(*n));
    let mut shown = Vec::new();
    for note in &notes {
        let (mark, style) = if alarming(*note) {
            ("! ", ALARM)
        } else {
            ("• ", Style::new())
        };
        for line in wrap(&format!("{mark}{}", words::note(*note)), columns, 2) {
            shown.push(Line::styled(line, style));
        }
    }
    for compared in &desk.view.frame.sight.compared {
        for line in wrap(&format!("~ {}", words::compared(compared)), columns, 2) {
            shown.push(Line::raw(line));
        }
    }
    for (note, age) in desk.view.heard.before(&notes, desk.view.frame.sight.clock_s) {
        for line in wrap(&format!("  {age:.0} s ago: {}", words::note(note)), columns, 2) {
            shown.push(Line::raw(line));
        }
    }
    lines(shown, inside, buffer);
}

/// The next thing to try, why, and with which keys.
pub fn hint(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let inside = panel(Line::raw(" Try next "), area, buffer);
    let Some(hint) = &desk.view.frame.hint else { return };
    let mut shown = vec![Line::styled(words::doing(&hint.action), ACCENT)];
    shown.extend(
        wrap(&words::why(hint), usize::from(inside.width), 0)
            .into_iter()
            .map(Line::from),
    );
    shown.truncate(usize::from(inside.height.saturating_sub(1)));
    shown.push(Line::from(vec![
        Span::raw("keys "),
        Span::styled(keys(&hint.action, desk.step()), BOLD),
    ]));
    lines(shown, inside, buffer);
}

/// The notebook's last lines.
pub fn notebook(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let title = match desk.back {
        0 => " Notebook ".to_string(),
        back => format!(" Notebook, {back} later: PgDn "),
    };
    let inside = panel(Line::raw(title), area, buffer);
    let entries = desk.view.notebook.entries();
    if entries.is_empty() {
        lines(vec![Line::raw("empty; n writes a note")], inside, buffer);
        return;
    }
    let mut shown: Vec<Line<'_>> = Vec::new();
    for entry in &entries[..entries.len() - desk.back.min(entries.len())] {
        let text = format!("{} {} {}", clock(entry.clock_s), entry.kind.mark(), entry.text);
        shown.extend(wrap(&text, usize::from(inside.width), 8).into_iter().map(Line::from));
    }
    let over = shown.len().saturating_sub(usize::from(inside.height));
    lines(shown.split_off(over), inside, buffer);
}

/// The most wanted keys.
pub fn key_bar(area: Rect, buffer: &mut Buffer) {
    let wide = area.width >= 120;
    let mut first = vec![
        ("Space 0-9", "throttle"),
        ("k", "keep"),
        ("h l t", "screw"),
        ("i o", "in, out"),
        ("c", "step"),
        ("e", "start"),
        ("g", "gun"),
    ];
    let mut second = vec![
        ("w", "warm"),
        ("d", "laps"),
        ("j", "judge"),
        ("n", "note"),
        (">", "10 s on"),
        ("z", "pause"),
        ("?", "keys"),
        ("Enter", "sign off"),
    ];
    if wide {
        first.extend([("p", "pinch test"), ("u", "plug"), ("v", "look over")]);
        second.extend([("m", "fix"), ("f", "fill tank"), ("q", "leave")]);
    }
    lines(vec![keys_line(&first), keys_line(&second)], area, buffer);
}

#[cfg(test)]
mod tests {
    use super::scale;

    #[test]
    fn a_click_moves_the_mark_by_a_cell_and_far_marks_stay_on_the_scale() {
        let at = |mark: f64| scale(mark).chars().position(|c| c == '●').unwrap();
        assert_eq!((at(0.0), at(1.0 / 24.0), at(-0.5)), (12, 13, 0));
        for mark in [-8.0, -1.3, 0.7, 3.0, 100.0] {
            assert_eq!(scale(mark).chars().count(), 25);
            assert_eq!(at(mark) > 12, mark > 0.0);
        }
    }
}
