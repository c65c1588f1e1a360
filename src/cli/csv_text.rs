//! Small CSV files of a user's own, read within bounds: the whole text, its header, its numbers, and what is wrong at a line and column.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::ops::RangeInclusive;
use std::path::Path;

use super::Failure;

/// What is wrong at a place of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrong {
    /// Line and column, from 1.
    place: (usize, usize),
    what: String,
    allowed: &'static str,
    remedy: &'static str,
}

impl Wrong {
    /// What, at which line and column, what is allowed, and the remedy.
    pub fn new(place: (usize, usize), what: String, allowed: &'static str, remedy: &'static str) -> Self {
        Self {
            place,
            what,
            allowed,
            remedy,
        }
    }

    /// In this file.
    pub fn at(self, path: &Path) -> Failure {
        Failure::Trace {
            path: path.display().to_string(),
            line: self.place.0,
            column: self.place.1,
            what: self.what,
            allowed: self.allowed,
            remedy: self.remedy,
        }
    }
}

/// The text of a file of at most so many bytes that is to be `such` a file; `shorter` says what to do with a larger one.
///
/// # Errors
/// A file that can't be read, is larger, or is no text.
pub fn read(path: &Path, largest: u64, such: &'static str, shorter: &'static str) -> Result<String, Wrong> {
    let whole = |what: &str, remedy| Wrong::new((1, 1), what.to_string(), such, remedy);
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
        .and_then(|file| file.take(largest + 1).read_to_end(&mut bytes))
        .map_err(unreadable)?;
    if bytes.len() as u64 > largest {
        return Err(whole(&format!("it is larger than {} MiB", largest >> 20), shorter));
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
        let line = good.matches('\n').count() + 1;
        let column = good.rsplit('\n').next().map_or(1, |last| last.chars().count() + 1);
        Wrong::new(
            (line, column),
            "not UTF-8 text".to_string(),
            such,
            "save the file as UTF-8",
        )
    })
}

/// What stands in the file, fit for a message.
pub fn shown(text: &str) -> String {
    text.trim().chars().filter(|c| !c.is_control()).take(40).collect()
}

/// Whether the first line is the header.
///
/// # Errors
/// Another one, or none.
pub fn header(line: &str, wanted: &str, allowed: &'static str) -> Result<(), Wrong> {
    if line.trim() == wanted {
        return Ok(());
    }
    let what = match shown(line).as_str() {
        "" => "there is no header".to_string(),
        header => format!("the header is `{header}`"),
    };
    Err(Wrong::new((1, 1), what, allowed, "write that as the first line"))
}

/// The number in a cell that begins at this line and column.
///
/// # Errors
/// None there, or one out of range: told at the value itself, past the blanks before it.
pub fn number(
    text: &str,
    (line, column): (usize, usize),
    range: RangeInclusive<f64>,
    allowed: &'static str,
) -> Result<f64, Wrong> {
    let blanks = text.chars().count() - text.trim_start().chars().count();
    let wrong = |what, remedy| Wrong::new((line, column + blanks), what, allowed, remedy);
    match text.trim().parse::<f64>() {
        Ok(value) if range.contains(&value) => Ok(value),
        Ok(value) if value.is_finite() => Err(wrong(
            format!("{} is out of range", shown(text)),
            "choose a value within",
        )),
        _ if text.trim().is_empty() => Err(wrong(
            "a value is missing".to_string(),
            "write it, or leave the row out",
        )),
        _ => Err(wrong(format!("`{}` is no number", shown(text)), "write a plain number")),
    }
}
