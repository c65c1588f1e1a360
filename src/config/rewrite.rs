//! Puts new numbers into a model's file and leaves everything else as it is: comments, order and layout.
//!
//! This is how a calibration hands over its result, so that the files stay the one place where constants are written; and how a
//! strategy is read with other values of its parameters.

use std::ops::Range;

/// A number that was to be written where the file has none.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("there is no line `{key} = …` under [{group}] to write to; add one with its comment")]
pub struct NotThere {
    /// The table.
    pub group: String,
    /// The key.
    pub key: String,
}

/// The text with each `(group, key, value)` written in place, rounded to four significant digits; an empty group means the
/// top of the file.
///
/// # Errors
/// A key that the text doesn't hold on a line of its own.
pub fn rewrite(text: &str, values: &[(&str, &str, f64)]) -> Result<String, NotThere> {
    let mut lines: Vec<String> = text.split('\n').map(str::to_string).collect();
    for &(group, key, value) in values {
        let mut current = "";
        let found = text.split('\n').position(|line| {
            if let Some(name) = line.trim().strip_prefix('[').and_then(|rest| rest.split(']').next()) {
                current = name.trim();
            }
            current == group && line.split_once('=').is_some_and(|(name, _)| name.trim() == key)
        });
        let Some(index) = found else {
            return Err(NotThere {
                group: group.to_string(),
                key: key.to_string(),
            });
        };
        lines[index] = with_value(&lines[index], value);
    }
    Ok(lines.join("\n"))
}

/// The text with each number written in the place of the bytes before it, to its last digit. Places are those of a reader of the same
/// text, in any order, none of them twice.
pub fn rewrite_at(text: &str, numbers: &[(Range<usize>, f64)]) -> String {
    let mut numbers: Vec<&(Range<usize>, f64)> = numbers.iter().collect();
    numbers.sort_by_key(|(place, _)| place.start);
    let mut text = text.to_string();
    // From the end, so that what comes before stays where it is.
    for (place, number) in numbers.into_iter().rev() {
        text.replace_range(place.clone(), &number.to_string());
    }
    text
}

/// A line `key = value   # comment` with another value, the comment kept in its column where there is room.
fn with_value(line: &str, value: f64) -> String {
    let Some((name, rest)) = line.split_once('=') else {
        return line.to_string();
    };
    let head = format!("{name}= {}", four_digits(value));
    match rest.find('#') {
        Some(start) => {
            let column = (name.len() + 1 + start).max(head.len() + 1);
            format!("{head:column$}{}", &rest[start..])
        }
        None => head,
    }
}

/// The shortest decimal form of a number rounded to four significant digits.
fn four_digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.3e}").parse().unwrap_or(value);
    rounded.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::{built_in, schema::EngineModel, source::Source};

    const TEXT: &str = "name = \"a\"\n\n[one]\nx_mm = 1.5    # design: kept\ny = 2\n\n[two]\nx_mm = 3 # close\n";

    #[test]
    fn only_the_number_changes() {
        let text = rewrite(
            TEXT,
            &[("one", "x_mm", 2.0), ("two", "x_mm", 0.123456), ("one", "y", -12345.6)],
        )
        .unwrap();
        let expected =
            "name = \"a\"\n\n[one]\nx_mm = 2      # design: kept\ny = -12350\n\n[two]\nx_mm = 0.1235 # close\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn numbers_at_places_change_and_nothing_else() {
        let text = "a = { value = 1, low = 0 } # é\nb = 2.5\n";
        let place = |what: &str| text.find(what).map(|start| start..start + what.len()).unwrap();
        let changed = rewrite_at(text, &[(place("2.5"), 1e-7), (place("1"), -12.25)]);
        assert_eq!(changed, "a = { value = -12.25, low = 0 } # é\nb = 0.0000001\n");
    }

    #[test]
    fn a_key_that_is_not_there_is_an_error() {
        assert!(rewrite(TEXT, &[("two", "y", 1.0)]).is_err());
        assert!(rewrite(TEXT, &[("", "y", 1.0)]).is_err());
    }

    #[test]
    fn rewritten_built_in_files_read_back_as_the_new_values() {
        let engine = built_in::ENGINES[0];
        let changes = [
            ("geometry", "compression_ratio", 9.876543),
            ("reference", "high_turns", 3.21),
        ];
        let text = rewrite(engine.text, &changes).unwrap();
        let model = EngineModel::read(&Source::new("a.toml", &text)).unwrap();
        assert_eq!(
            (model.params.geometry.compression_ratio, model.reference.high_turns),
            (9.877, 3.21)
        );
        assert_eq!(text.matches('#').count(), engine.text.matches('#').count());
    }
}
