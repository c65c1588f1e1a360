//! A day's weather in a file: a CSV of times, temperatures, pressures and humidities, read within bounds. What is wrong is told at its line.

use std::path::Path;

use needlebench::fluids::air::Weather;

use crate::cli::Failure;
use crate::cli::csv_text::{self, Wrong};

/// The first line.
pub const HEADER: &str = "time,temperature_c,pressure_hpa,humidity_percent";
/// Most rows: an hour every half hour.
const MOST: usize = 48;
/// Longest gap between rows, minutes: beyond it nobody knows what the weather did.
const LONGEST_GAP: u32 = 240;
/// What such a file is.
const A_DAY: &str = "a CSV file of at most 1 MiB with the header `time,temperature_c,pressure_hpa,humidity_percent`";

/// An hour of the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Minutes after midnight.
    pub minutes: u32,
    /// The weather.
    pub weather: Weather,
}

impl Row {
    /// As it stands in the file.
    pub fn time(&self) -> String {
        format!("{:02}:{:02}", self.minutes / 60, self.minutes % 60)
    }
}

/// Reads a day.
///
/// # Errors
/// A file that can't be read, another header, a value that is missing, no number or out of range, times that don't rise, a gap.
pub fn read(path: &Path) -> Result<Vec<Row>, Failure> {
    let text = csv_text::read(path, 1 << 20, A_DAY, "leave out rows: one for each half hour is enough");
    text.and_then(|text| rows(&text)).map_err(|wrong| wrong.at(path))
}

fn rows(text: &str) -> Result<Vec<Row>, Wrong> {
    let mut lines = (1..).zip(text.trim_start_matches('\u{feff}').lines());
    let header = lines.next().map_or("", |(_, line)| line);
    csv_text::header(
        header,
        HEADER,
        "the header `time,temperature_c,pressure_hpa,humidity_percent`",
    )?;
    let mut rows: Vec<Row> = Vec::new();
    for (line, text) in lines {
        if text.trim().is_empty() {
            continue;
        }
        let cells: Vec<&str> = text.split(',').collect();
        let [time, temperature, pressure, humidity] = cells[..] else {
            return Err(Wrong::new(
                (line, 1),
                format!("{} values instead of four", cells.len()),
                "`time,temperature_c,pressure_hpa,humidity_percent`",
                "write four, with points for decimals; leave the row out where one was not read",
            ));
        };
        let column = |k: usize| 1 + cells[..k].iter().map(|cell| cell.chars().count() + 1).sum::<usize>();
        let number = |k: usize, text: &str, range: std::ops::RangeInclusive<f64>, allowed| {
            csv_text::number(text, (line, column(k)), range, allowed)
        };
        let row = Row {
            minutes: minutes(time).ok_or_else(|| {
                Wrong::new(
                    (line, 1),
                    format!("`{}` is no time", csv_text::shown(time)),
                    "00:00 to 23:59",
                    "write hours and minutes, such as 09:30",
                )
            })?,
            weather: Weather {
                temperature_c: number(1, temperature, Weather::TEMPERATURE_C, "temperature_c: -30 to 55 °C")?,
                pressure_hpa: number(
                    2,
                    pressure,
                    Weather::PRESSURE_HPA,
                    "pressure_hpa: 500 to 1100 hPa, station pressure",
                )?,
                humidity_percent: number(
                    3,
                    humidity,
                    Weather::HUMIDITY_PERCENT,
                    "humidity_percent: 0 to 100 percent",
                )?,
            },
        };
        if let Some(before) = rows.last() {
            if row.minutes <= before.minutes {
                return Err(Wrong::new(
                    (line, 1),
                    format!(
                        "the time {} doesn't rise: the row before has {}",
                        row.time(),
                        before.time()
                    ),
                    "later than the row before, within one day",
                    "sort the rows by time, one day a file",
                ));
            }
            if row.minutes - before.minutes > LONGEST_GAP {
                return Err(Wrong::new(
                    (line, 1),
                    format!("a gap from {} to {}", before.time(), row.time()),
                    "at most 4 hours between rows",
                    "add a row between, read or forecast",
                ));
            }
        }
        if rows.len() == MOST {
            return Err(Wrong::new(
                (line, 1),
                format!("more than {MOST} rows"),
                "at most 48 rows",
                "leave some out",
            ));
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return Err(Wrong::new(
            (2, 1),
            "no rows".to_string(),
            "at least one row",
            "add rows such as `09:00,18,1013,55`",
        ));
    }
    Ok(rows)
}

/// Minutes after midnight of `9:30`.
fn minutes(text: &str) -> Option<u32> {
    let (hours, minutes) = text.trim().split_once(':')?;
    let whole = |text: &str| -> Option<u32> {
        let digits = (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| text.parse().ok())?
    };
    let (hours, minutes) = (whole(hours)?, whole(minutes).filter(|_| minutes.len() == 2)?);
    (hours < 24 && minutes < 60).then_some(60 * hours + minutes)
}
