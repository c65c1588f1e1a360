//! A throttle trace of one's own: a CSV file of seconds and throttle positions, read within bounds.

use std::path::Path;

use needlebench::bench::manoeuvre::Manoeuvre;

use super::Failure;
use super::csv_text::{self, Wrong};

/// Largest trace file, bytes.
const LARGEST: u64 = 4 << 20;
/// Longest trace, s.
const LONGEST: f64 = 3600.0;
/// The first line.
const HEADER: &str = "time_s,throttle";
/// What a trace is, for messages about the whole file.
const A_TRACE: &str = "a CSV file of at most 4 MiB with the header `time_s,throttle`";

/// Reads a trace.
///
/// # Errors
/// A file that can't be read, another header, values that are no numbers or out of range, times that don't rise, too little.
pub fn read(path: &Path) -> Result<Manoeuvre, Failure> {
    let shorter = "leave out rows: the throttle moves in straight lines between them";
    csv_text::read(path, LARGEST, A_TRACE, shorter)
        .map_err(|wrong| wrong.at(path))
        .and_then(|text| parse(path, &text))
}

/// The trace that is written in the text of a file.
///
/// # Errors
/// See [`read`].
pub fn parse(path: &Path, text: &str) -> Result<Manoeuvre, Failure> {
    let points = points(text).map_err(|wrong| wrong.at(path))?;
    Ok(Manoeuvre::along(&points))
}

fn points(text: &str) -> Result<Vec<(f64, f64)>, Wrong> {
    let text = text.trim_start_matches('\u{feff}');
    let mut lines = text.lines();
    csv_text::header(lines.next().unwrap_or_default(), HEADER, "the header `time_s,throttle`")?;
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut row = 1;
    for line in lines {
        row += 1;
        if line.trim().is_empty() {
            continue;
        }
        let Some((left, right)) = line.split_once(',').filter(|(_, right)| !right.contains(',')) else {
            let count = line.split(',').count();
            let values = if count == 1 { "value" } else { "values" };
            let what = format!("{count} {values} instead of two");
            return Err(Wrong::new(
                (row, 1),
                what,
                "`seconds,throttle`",
                "write two, with points for decimals",
            ));
        };
        let time_s = csv_text::number(left, (row, 1), 0.0..=LONGEST, "time_s: 0 to 3600 s")?;
        let column = left.chars().count() + 2;
        let throttle = csv_text::number(right, (row, column), 0.0..=1.0, "throttle: 0 (shut) to 1 (full)")?;
        if let Some(before) = points.last().filter(|before| before.0 >= time_s) {
            let what = format!("the time {time_s} s doesn't rise");
            let what = format!("{what}: the row before has {} s", before.0);
            let (allowed, remedy) = ("later than the row before", "sort the rows by time");
            return Err(Wrong::new((row, 1), what, allowed, remedy));
        }
        points.push((time_s, throttle));
    }
    if points.last().is_none_or(|last| last.0 < 0.01) {
        let what = "no trace of at least 0.01 s".to_string();
        return Err(Wrong::new(
            (row + 1, 1),
            what,
            "rows up to 0.01 s or later",
            "add rows `seconds,throttle`",
        ));
    }
    Ok(points)
}
