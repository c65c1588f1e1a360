//! Which constants are determined: for each assumed one its source, its range, what binds it and how strongly by the linearised rows, how
//! far the sets of the ensemble span, and which others it only ever acts together with. Printed, and kept in `models/determined.csv`.

use nalgebra::DMatrix;
use rayon::prelude::*;

use crate::constants::Place;
use crate::ground::Ground;
use crate::{models_file, write_text};

/// Rows named for a constant, the nearest first.
const NAMED: usize = 3;
/// Share of its range by which a constant is moved to see what breaks.
const TENTH: f64 = 0.1;
/// Two constants whose effects on all rows are as alike as this act together.
const ALIKE: f64 = 0.97;

/// What is known of one constant.
struct Known {
    name: String,
    value: f64,
    low: f64,
    high: f64,
    /// What the linearised rows leave of the deviation of a draw from its range.
    left: f64,
    /// Share of the range (of logarithms) that the sets span.
    spanned: f64,
    /// Rows that break if it alone is moved within its range, with the share of the range after which they do (negative: downwards).
    bound_by: Vec<(String, f64)>,
    /// Rows that a tenth of the range, up or down, breaks, with how much they then lack in units of the row: looked at, so those count that
    /// have no slope.
    tenth_breaks: Vec<(String, f64)>,
    /// Others that it can't be told from, as far as rows go.
    with: Vec<String>,
    source: String,
}

/// Prints the constants and writes their table; `points` are the sets'.
pub fn tell(ground: &Ground, points: &[Vec<f64>], write: bool) {
    let known = known(ground, points);
    let directions: f64 = known.iter().map(|k| 1.0 - k.left * k.left).sum();
    let unbound = known.iter().filter(|k| k.bound_by.is_empty()).count();
    let half = known.iter().filter(|k| k.spanned >= 0.5).count();
    for k in &known {
        println!(
            "{:46}{:>11.4} in {:>9.4} to {:>9.4}: {:3.0} % left, sets span {:3.0} %; {}; a tenth breaks {}{}",
            k.name,
            k.value,
            k.low,
            k.high,
            100.0 * k.left,
            100.0 * k.spanned,
            rows(k),
            breaks(k),
            if k.with.is_empty() {
                String::new()
            } else {
                format!("; acts with {}", k.with.join(", "))
            }
        );
    }
    let open = known.iter().filter(|k| k.tenth_breaks.is_empty());
    println!(
        "{} constants: the rows with slopes determine {directions:.0} of them, {unbound} are bound by none; {half} span half of their range; \
         a tenth of its range breaks no row for {}, and {} of those span half",
        known.len(),
        open.clone().count(),
        open.filter(|k| k.spanned >= 0.5).count()
    );
    if write {
        write_text("determined.csv", &csv(&known));
    }
}

fn rows(k: &Known) -> String {
    let named = k
        .bound_by
        .iter()
        .map(|(row, share)| format!("{row} after {:+.0} %", 100.0 * share));
    let named: Vec<String> = named.collect();
    if named.is_empty() {
        "nothing".to_owned()
    } else {
        named.join("; ")
    }
}

fn breaks(k: &Known) -> String {
    let named: Vec<String> = k
        .tenth_breaks
        .iter()
        .map(|(row, lacks)| format!("{row} by {lacks:.1}"))
        .collect();
    if named.is_empty() {
        "nothing".to_owned()
    } else {
        named.join("; ")
    }
}

fn csv(known: &[Known]) -> String {
    let mut text = String::from(
        "constant,value,low,high,deviation_left_percent,sets_span_percent,bound_by,a_tenth_breaks,acts_with,source\n",
    );
    for k in known {
        let quoted = |words: &str| format!("\"{}\"", words.replace('"', "'"));
        let numbers = [k.value, k.low, k.high].map(|x| format!("{x:.4}"));
        text += &format!(
            "{},{},{:.0},{:.0},{},{},{},{}\n",
            k.name,
            numbers.join(","),
            100.0 * k.left,
            100.0 * k.spanned,
            quoted(&rows(k)),
            quoted(&breaks(k)),
            quoted(&k.with.join(" ")),
            quoted(&k.source)
        );
    }
    text
}

fn known(ground: &Ground, points: &[Vec<f64>]) -> Vec<Known> {
    let rows = ground.held_worst();
    let n = ground.list.len();
    let slopes = DMatrix::from_fn(rows.len(), n, |i, j| ground.slopes[(rows[i], j)]);
    let weights = ground.row_weights(&rows);
    let left = ground.left_open();
    let weighed = DMatrix::from_fn(rows.len(), n, |i, j| {
        slopes[(i, j)] * weights[i].sqrt() * ground.deviation(j)
    });
    let tenths: Vec<Vec<(String, f64)>> = (0..n).into_par_iter().map(|j| tenth_breaks(ground, j)).collect();
    (0..n)
        .map(|j| {
            let (low, high) = ground.bounds[j];
            let range = high - low;
            let at = ground.point[j];
            let mut bound_by: Vec<(String, f64)> = rows
                .iter()
                .filter_map(|i| {
                    let slope = ground.slopes[(*i, j)];
                    let move_by = -ground.margins[*i].max(0.0) / slope;
                    let inside = (low..=high).contains(&(at + move_by));
                    (slope != 0.0 && inside).then(|| (ground.name_of(*i), move_by / range))
                })
                .collect();
            bound_by.sort_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
            bound_by.truncate(NAMED);
            let of = || points.iter().map(|point| point[j]);
            let span = of().fold(f64::NEG_INFINITY, f64::max) - of().fold(f64::INFINITY, f64::min);
            let alike = |k: &usize| {
                let (a, b) = (weighed.column(j), weighed.column(*k));
                let sizes = a.norm() * b.norm();
                *k != j && sizes > 1e-3 && (a.dot(&b) / sizes).abs() > ALIKE
            };
            Known {
                name: ground.list[j].name().replace(',', ""),
                value: at.exp(),
                low: low.exp(),
                high: high.exp(),
                left: left[(j, j)].sqrt() / ground.deviation(j),
                spanned: span / range,
                bound_by,
                tenth_breaks: tenths[j].clone(),
                with: (0..n).filter(alike).map(|k| ground.list[k].name()).collect(),
                source: source(ground.list[j].place),
            }
        })
        .collect()
}

/// The rows that a tenth of the range breaks, the worst first.
fn tenth_breaks(ground: &Ground, j: usize) -> Vec<(String, f64)> {
    let ways = [-TENTH, TENTH]
        .into_iter()
        .filter_map(|share| ground.broken_by(j, share));
    let mut all: Vec<(String, f64)> = ways.flatten().map(|(i, short)| (ground.name_of(i), -short)).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut named = Vec::new();
    for (row, lacks) in all {
        if named.iter().all(|(known, _)| *known != row) {
            named.push((row, lacks));
        }
    }
    named.truncate(NAMED);
    named
}

/// What the models' files say of a constant's origin.
fn source(place: Place) -> String {
    let (file, group, key) = match place {
        Place::Engine(group, key) => ("engines/offroad-3.5.toml", group, key),
        Place::Law(group, key) => ("laws.toml", group, key),
        Place::Idle | Place::Full | Place::IdleSpeed => {
            return "where the reference setting is left: common practice".to_owned();
        }
    };
    let text = std::fs::read_to_string(models_file(file)).expect("part of the project");
    let own = text.split(&format!("\n[{group}]\n")).nth(1).unwrap_or_default();
    let line = own
        .lines()
        .take_while(|line| !line.starts_with('['))
        .find(|line| line.starts_with(&format!("{key} =")));
    line.and_then(|line| line.split_once('#'))
        .map_or(String::new(), |(_, comment)| comment.trim().to_owned())
}
