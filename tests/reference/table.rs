//! A reader for the reference tables: comma-separated, one header line, no quotes, empty fields allowed.

use std::collections::HashMap;

/// One row, by column name; empty fields are left out.
pub struct Row {
    numbers: HashMap<String, f64>,
    words: HashMap<String, String>,
}

impl Row {
    /// The number in a column; the test fails where it is missing.
    pub fn get(&self, column: &str) -> f64 {
        self.find(column)
            .unwrap_or_else(|| panic!("no number in column {column}"))
    }

    /// The number in a column, if the field isn't empty.
    pub fn find(&self, column: &str) -> Option<f64> {
        self.numbers.get(column).copied()
    }

    /// The text in a column.
    pub fn text(&self, column: &str) -> &str {
        &self.words[column]
    }
}

/// All rows of a table in `tests/data`, of which there must be exactly `expected_rows`.
pub fn read(name: &str, expected_rows: usize) -> Vec<Row> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    let rows: Vec<Row> = lines.map(|line| row(&header, line)).collect();
    assert_eq!(rows.len(), expected_rows, "{name} has lost or gained rows");
    rows
}

fn row(header: &[&str], line: &str) -> Row {
    let fields: Vec<&str> = line.split(',').collect();
    assert_eq!(fields.len(), header.len(), "{line}");
    let words: HashMap<String, String> = header
        .iter()
        .zip(&fields)
        .map(|(name, field)| (name.to_string(), field.to_string()))
        .collect();
    let numbers = words
        .iter()
        .filter_map(|(name, field)| Some((name.clone(), field.parse().ok()?)))
        .collect();
    Row { numbers, words }
}

/// The largest deviation met, and where: prints nothing, asserts once at the end.
#[derive(Default)]
pub struct Worst {
    deviation: f64,
    place: String,
    count: usize,
}

impl Worst {
    /// Counts a relative deviation.
    pub fn relative(&mut self, found: f64, expected: f64, place: impl Fn() -> String) {
        self.count((found - expected).abs() / expected.abs(), found, expected, place);
    }

    /// Counts an absolute deviation.
    pub fn absolute(&mut self, found: f64, expected: f64, place: impl Fn() -> String) {
        self.count((found - expected).abs(), found, expected, place);
    }

    fn count(&mut self, deviation: f64, found: f64, expected: f64, place: impl Fn() -> String) {
        assert!(deviation.is_finite(), "{found} against {expected} at {}", place());
        self.count += 1;
        if deviation > self.deviation {
            self.deviation = deviation;
            self.place = format!("{} ({found} against {expected})", place());
        }
    }

    /// Fails unless `count` comparisons were made and none deviates by more than `bound`.
    #[track_caller]
    pub fn within(&self, bound: f64, count: usize) {
        println!(
            "worst {:.3e} (allowed {bound:.0e}) of {} at {}",
            self.deviation, self.count, self.place
        );
        assert_eq!(self.count, count, "number of comparisons");
        assert!(
            self.deviation <= bound,
            "{:e} exceeds {bound:e} at {}",
            self.deviation,
            self.place
        );
    }
}
