//! The name that was probably meant: used for keys, models and commands alike.

/// "; did you mean `x`?", or the list of all known names when none is near.
pub fn hint(given: &str, known: &[&str]) -> String {
    match nearest(given, known) {
        Some(name) => format!("; did you mean `{name}`?"),
        None if known.is_empty() => "; remove it".to_string(),
        None => format!("; there are: {}", known.join(", ")),
    }
}

/// The known name within a third of the given one's length in edits, if any.
pub fn nearest<'k>(given: &str, known: &[&'k str]) -> Option<&'k str> {
    // A name longer than any key is noise, and the distance takes time with its length.
    if given.chars().count() > 80 {
        return None;
    }
    let allowed = (given.chars().count() / 3).max(1);
    known
        .iter()
        .map(|name| (edits(given, name), *name))
        .filter(|(d, _)| *d <= allowed)
        .min()
        .map(|(_, name)| name)
}

/// Number of single-character insertions, deletions and replacements (Levenshtein 1966) between two words.
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(from != *to);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn textbook_distances() {
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("flaw", "lawn"), 2);
    }

    #[test]
    fn only_a_near_name_is_offered() {
        assert_eq!(nearest("medim", &["cold", "medium", "hot"]), Some("medium"));
        assert_eq!(nearest("lukewarm", &["cold", "medium", "hot"]), None);
        assert_eq!(nearest(&"m".repeat(1_000_000), &["medium"]), None);
    }
}
