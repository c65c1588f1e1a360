//! Lines of one height through a grid of heights: marching squares (Lorensen and Cline's cubes in the plane), joined to lines. What is
//! not a number is passed by.

use std::collections::BTreeMap;

/// A line through a grid: points in columns and rows, counted from 0.
pub type Line = Vec<(f64, f64)>;

/// An edge between two neighbours of the grid: its lower left end, and whether it goes up.
type Edge = (usize, usize, bool);

/// The lines on which `heights`, row by row with so many columns, cross `level`; longest first.
pub fn contours(heights: &[f64], columns: usize, level: f64) -> Vec<Line> {
    let rows = heights.len().checked_div(columns).unwrap_or(0);
    let at = |column: usize, row: usize| heights[row * columns + column] - level;
    let mut joined: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    for row in 0..rows.saturating_sub(1) {
        for column in 0..columns.saturating_sub(1) {
            let corners = [
                at(column, row),
                at(column + 1, row),
                at(column + 1, row + 1),
                at(column, row + 1),
            ];
            if corners.iter().any(|height| height.is_nan()) {
                continue;
            }
            let edges: [Edge; 4] = [
                (column, row, false),
                (column + 1, row, true),
                (column, row + 1, false),
                (column, row, true),
            ];
            // Edges whose ends lie on both sides, going round.
            let crossed: Vec<usize> = (0..4)
                .filter(|k| (corners[*k] >= 0.0) != (corners[(*k + 1) % 4] >= 0.0))
                .collect();
            let pairs: &[[usize; 2]] = match crossed[..] {
                [a, b] => &[[a, b]],
                // A saddle: the middle decides which corners belong together.
                [_, _, _, _] if (corners.iter().sum::<f64>() >= 0.0) == (corners[0] >= 0.0) => &[[0, 1], [2, 3]],
                [_, _, _, _] => &[[3, 0], [1, 2]],
                _ => &[],
            };
            for [a, b] in pairs {
                joined.entry(edges[*a]).or_default().push(edges[*b]);
                joined.entry(edges[*b]).or_default().push(edges[*a]);
            }
        }
    }
    let point = |(column, row, up): Edge| {
        let from = at(column, row);
        let to = if up { at(column, row + 1) } else { at(column + 1, row) };
        let share = if to == from { 0.5 } else { from / (from - to) };
        let (x, y) = (column as f64, row as f64);
        if up { (x, y + share) } else { (x + share, y) }
    };
    let mut lines = Vec::new();
    // Lines with ends first, then rings.
    let ends: Vec<Edge> = joined
        .iter()
        .filter(|(_, next)| next.len() == 1)
        .map(|(edge, _)| *edge)
        .collect();
    let all: Vec<Edge> = joined.keys().copied().collect();
    for start in ends.into_iter().chain(all) {
        let mut line = Vec::new();
        let mut here = start;
        while let Some(next) = joined.remove(&here) {
            line.push(point(here));
            match next.into_iter().find(|next| joined.contains_key(next)) {
                Some(next) => here = next,
                None => break,
            }
        }
        if line.len() > 2 && joined_ends(&line) {
            line.push(line[0]);
        }
        if line.len() > 1 {
            lines.push(line);
        }
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.len()));
    lines
}

/// Whether a line comes back to the square where it began.
fn joined_ends(line: &Line) -> bool {
    let ([first, ..], [.., last]) = (&line[..], &line[..]) else {
        return false;
    };
    line.len() > 3 && (first.0 - last.0).abs() <= 1.0 && (first.1 - last.1).abs() <= 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heights(columns: usize, rows: usize, height: impl Fn(f64, f64) -> f64) -> Vec<f64> {
        (0..rows)
            .flat_map(|row| (0..columns).map(move |column| (column as f64, row as f64)))
            .map(|(x, y)| height(x, y))
            .collect()
    }

    #[test]
    fn a_plane_has_a_straight_line_where_it_crosses() {
        let lines = contours(&heights(8, 5, |x, _| x), 8, 2.25);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].iter().all(|(x, _)| (x - 2.25).abs() < 1e-12));
        let (low, high) = lines[0]
            .iter()
            .fold((9.0_f64, 0.0_f64), |(l, h), p| (l.min(p.1), h.max(p.1)));
        assert_eq!((low, high), (0.0, 4.0));
    }

    #[test]
    fn a_hill_has_a_closed_ring_of_its_radius() {
        let hill = heights(41, 41, |x, y| 10.0 - (x - 20.0).hypot(y - 20.0));
        let lines = contours(&hill, 41, 0.0);
        assert_eq!(lines.len(), 1);
        assert_eq!(lines[0].first(), lines[0].last());
        assert!(
            lines[0]
                .iter()
                .all(|(x, y)| ((x - 20.0).hypot(y - 20.0) - 10.0).abs() < 0.05)
        );
    }

    #[test]
    fn holes_and_empty_grids_are_passed_by() {
        let mut plane = heights(8, 5, |x, _| x);
        plane[2 * 8 + 2] = f64::NAN;
        assert_eq!(contours(&plane, 8, 2.25).len(), 2);
        assert!(contours(&[], 0, 0.0).is_empty() && contours(&plane, 8, 99.0).is_empty());
        // Two hills that touch at a corner stay apart or join, but no point is used twice.
        let saddle = contours(&[1.0, -1.0, -1.0, 1.0], 2, 0.0);
        assert_eq!(saddle.iter().map(Vec::len).sum::<usize>(), 4);
    }
}
