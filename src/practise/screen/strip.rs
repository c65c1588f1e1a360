//! The strip chart: speed and throttle over the last seconds, from the rows that the session gives.

use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Style};
use ratatui::symbols::Marker;
use ratatui::text::{Line, Span};
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{self, Canvas};

use super::desk::Desk;
use super::look::{BOLD, lines, panel};
use crate::bench::instruments::Row;
use crate::practise::view::STRIP_S;

/// Columns for the numbers at the side.
const SIDE: u16 = 5;
/// Heights of a cell, shut to full.
const BARS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// A speed with its thousands apart.
fn thousands(rpm: f64) -> String {
    let rpm = rpm.max(0.0).round() as u64;
    if rpm < 1000 {
        rpm.to_string()
    } else {
        format!("{} {:03}", rpm / 1000, rpm % 1000)
    }
}

/// Means of the rows in `count` equal parts of the chart's time, newest last; none where there is no row.
fn parts(rows: &[Row], count: usize, value: impl Fn(&Row) -> f64) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0_u32); count];
    let now = rows.last().map_or(0.0, |r| r.time_s);
    for row in rows {
        let share = 1.0 - (now - row.time_s) / STRIP_S;
        let at = (share * count as f64).ceil() - 1.0;
        if at >= 0.0
            && let Some(sum) = sums.get_mut(at as usize)
        {
            sum.0 += value(row);
            sum.1 += 1;
        }
    }
    sums.iter()
        .map(|(sum, n)| (*n > 0).then(|| sum / f64::from(*n)))
        .collect()
}

/// Draws tachometer and strip.
pub fn chart(desk: &Desk, area: Rect, buffer: &mut Buffer) {
    let rpm = desk
        .view
        .frame
        .sight
        .tachometer_rpm
        .map_or_else(|| "-".to_string(), thousands);
    let title = Line::from(vec![
        Span::raw(" Tachometer "),
        Span::styled(format!("{rpm} rpm "), BOLD),
    ]);
    let inside = panel(title, area, buffer);
    // On the lower frame, in the text's colour and not the frame's.
    let plain = Style::new().fg(Color::Reset);
    let (ago, now, y) = (format!(" {STRIP_S:.0} s ago "), " now ", area.bottom() - 1);
    buffer.set_string(area.x + SIDE + 1, y, ago, plain);
    buffer.set_string(area.right().saturating_sub(now.len() as u16 + 2), y, now, plain);
    let [upper, lower] = Layout::vertical([Constraint::Min(0), Constraint::Length(1)]).areas(inside);
    let [side, plot] = Layout::horizontal([Constraint::Length(SIDE), Constraint::Min(0)]).areas(upper);
    let [mark, bars] = Layout::horizontal([Constraint::Length(SIDE), Constraint::Min(0)]).areas(lower);

    let rows = &desk.view.strip;
    let top = if rows.iter().any(|r| r.rpm > 40_000.0) {
        60_000.0
    } else {
        40_000.0
    };
    let label = |rpm: f64, y: u16, buffer: &mut Buffer| {
        Line::raw(format!("{:>3.0}k", rpm / 1000.0)).render(Rect { y, height: 1, ..side }, buffer);
    };
    label(top, side.y, buffer);
    if side.height >= 5 {
        label(top / 2.0, side.y + side.height / 2, buffer);
    }
    if side.height >= 2 {
        label(0.0, side.bottom() - 1, buffer);
    }
    // Two dots of Braille a column.
    let columns = usize::from(plot.width) * 2;
    let speeds = parts(rows, columns, |r| r.rpm);
    Canvas::default()
        .marker(Marker::Braille)
        .x_bounds([0.0, (columns.max(2) - 1) as f64])
        .y_bounds([0.0, top])
        .paint(|context| {
            for (i, pair) in speeds.windows(2).enumerate() {
                if let [Some(a), Some(b)] = pair {
                    context.draw(&canvas::Line::new(i as f64, *a, i as f64 + 1.0, *b, Color::Cyan));
                }
            }
        })
        .render(plot, buffer);
    let throttle: String = parts(rows, usize::from(bars.width), |r| r.throttle)
        .into_iter()
        .map(|t| BARS[(t.unwrap_or(0.0) * 8.0).round().clamp(0.0, 8.0) as usize])
        .collect();
    Line::raw("thr.").render(mark, buffer);
    lines(vec![Line::raw(throttle)], bars, buffer);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_row_is_at_the_right_and_old_ones_fall_out() {
        let rows: Vec<Row> = (0..=500)
            .map(|i| Row {
                time_s: f64::from(i) * 0.05,
                rpm: f64::from(i),
                ..Row::default()
            })
            .collect();
        let parts = parts(&rows, 40, |r| r.rpm);
        assert!(parts[39].unwrap() > 490.0, "{:?}", parts[39]);
        assert!(parts[0].unwrap() > 99.0, "{:?}", parts[0]);
        assert_eq!(super::parts(&rows[..40], 40, |r| r.rpm)[0], None);
        assert_eq!(thousands(35_712.0), "35 712");
    }
}
