//! A throttle trace of one's own: a CSV file of seconds and throttle positions, read within bounds.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use needlebench::bench::manoeuvre::Manoeuvre;

use super::Failure;

/// Largest trace file, bytes.
const LARGEST: u64 = 4 << 20;
/// Longest trace, s.
const LONGEST: f64 = 3600.0;
/// The first line.
const HEADER: &str = "time_s,throttle";
/// What a trace is, for messages about the whole file.
const A_TRACE: &str = "a CSV file of at most 4 MiB with the header `time_s,throttle`";

/// What is wrong at a place of the file: line and column from 1, what, what is allowed, and the remedy.
type Wrong = (usize, usize, String, &'static str, &'static str);

/// Reads a trace.
///
/// # Errors
/// A file that can't be read, another header, values that are no numbers or out of range, times that don't rise, too little.
pub fn read(path: &Path) -> Result<Manoeuvre, Failure> {
    text(path)
        .map_err(|wrong| told(path, wrong))
        .and_then(|text| parse(path, &text))
}

/// The trace that is written in the text of a file.
///
/// # Errors
/// See [`read`].
pub fn parse(path: &Path, text: &str) -> Result<Manoeuvre, Failure> {
    let points = points(text).map_err(|wrong| told(path, wrong))?;
    Ok(Manoeuvre::along(&points))
}

fn told(path: &Path, (line, column, what, allowed, remedy): Wrong) -> Failure {
    Failure::Trace {
        path: path.display().to_string(),
        line,
        column,
        what,
        allowed,
        remedy,
    }
}

fn text(path: &Path) -> Result<String, Wrong> {
    let whole = |what: &str, remedy| (1, 1, what.to_string(), A_TRACE, remedy);
    let unreadable = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => whole("there is no such file", "check the path"),
        ErrorKind::PermissionDenied => whole("no permission to read it", "change its permissions or copy it"),
        _ => whole(
            &format!("it can't be read ({error})"),
            "check the disk or copy the file",
        ),
    };
    if path.is_dir() {
        return Err(whole("this is a directory", "name a file in it"));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes))
        .map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST {
        return Err(whole(
            "it is larger than 4 MiB",
            "leave out rows: the throttle moves in straight lines between them",
        ));
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
        let line = good.matches('\n').count() + 1;
        let column = good.rsplit('\n').next().map_or(1, |last| last.chars().count() + 1);
        (
            line,
            column,
            "not UTF-8 text".to_string(),
            A_TRACE,
            "save the file as UTF-8",
        )
    })
}

/// What stands in the file, fit for a message.
fn shown(text: &str) -> String {
    text.trim().chars().filter(|c| !c.is_control()).take(40).collect()
}

fn points(text: &str) -> Result<Vec<(f64, f64)>, Wrong> {
    let text = text.trim_start_matches('\u{feff}');
    let mut lines = text.lines();
    let header = lines.next().unwrap_or_default();
    if header.trim() != HEADER {
        let what = match shown(header).as_str() {
            "" => "there is no header".to_string(),
            header => format!("the header is `{header}`"),
        };
        return Err((
            1,
            1,
            what,
            "the header `time_s,throttle`",
            "write that as the first line",
        ));
    }
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
            return Err((
                row,
                1,
                what,
                "`seconds,throttle`",
                "write two, with points for decimals",
            ));
        };
        let value = |text: &str, column: usize, high: f64, allowed| match text.trim().parse::<f64>() {
            Ok(value) if (0.0..=high).contains(&value) => Ok(value),
            Ok(value) if value.is_finite() => Err((
                row,
                column,
                format!("{} is out of range", shown(text)),
                allowed,
                "choose a value within",
            )),
            _ => Err((
                row,
                column,
                format!("`{}` is no number", shown(text)),
                allowed,
                "write a plain number",
            )),
        };
        // The column of the value itself, past the blanks before it.
        let blanks = |text: &str| text.chars().count() - text.trim_start().chars().count();
        let time_s = value(left, 1 + blanks(left), LONGEST, "time_s: 0 to 3600 s")?;
        let column = left.chars().count() + 2 + blanks(right);
        let throttle = value(right, column, 1.0, "throttle: 0 (shut) to 1 (full)")?;
        if let Some(before) = points.last().filter(|before| before.0 >= time_s) {
            let what = format!("the time {time_s} s doesn't rise");
            let what = format!("{what}: the row before has {} s", before.0);
            return Err((row, 1, what, "later than the row before", "sort the rows by time"));
        }
        points.push((time_s, throttle));
    }
    if points.last().is_none_or(|last| last.0 < 0.01) {
        let what = "no trace of at least 0.01 s".to_string();
        return Err((
            row + 1,
            1,
            what,
            "rows up to 0.01 s or later",
            "add rows `seconds,throttle`",
        ));
    }
    Ok(points)
}
