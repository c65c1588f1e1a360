//! Text into lines of a width, by words; what follows in a paragraph hangs under its beginning.

use ratatui::text::Span;

fn width(text: &str) -> usize {
    Span::raw(text).width()
}

/// Where a paragraph may be parted: a row of short fields, held apart by runs of spaces, between them; anything else between words.
fn parts(paragraph: &str, columns: usize) -> Vec<&str> {
    let fields: Vec<&str> = paragraph.split_inclusive("  ").collect();
    if fields.len() > 2 && fields.iter().all(|field| 3 * width(field.trim()) <= columns) {
        fields
    } else {
        paragraph.split_inclusive(' ').collect()
    }
}

/// `text` in lines at most `columns` wide, each paragraph's further lines indented as its first plus `hang`.
pub fn wrap(text: &str, columns: usize, hang: usize) -> Vec<String> {
    let columns = columns.max(8);
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let indent = paragraph.len() - paragraph.trim_start_matches(' ').len();
        if width(paragraph) <= columns {
            lines.push(paragraph.to_string());
            continue;
        }
        let mut line = " ".repeat(indent);
        let mut empty = true;
        // Runs of spaces hold columns together, so they are kept within a line.
        for word in parts(paragraph.trim_start_matches(' '), columns) {
            if !empty && width(&line) + width(word.trim_end()) > columns {
                lines.push(line.trim_end().to_string());
                line = " ".repeat((indent + hang).min(columns / 2));
            }
            if word.trim().is_empty() && line.trim().is_empty() {
                continue;
            }
            for letter in word.chars() {
                // A word longer than a line is broken.
                if width(&line) + width(letter.encode_utf8(&mut [0; 4])) > columns && letter != ' ' {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(letter);
            }
            empty = false;
        }
        lines.push(line.trim_end().to_string());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_kept_whole_and_hang() {
        assert_eq!(wrap("  one two three", 10, 2), ["  one two", "    three"]);
        assert_eq!(wrap("a\n\nb", 10, 2), ["a", "", "b"]);
    }

    #[test]
    fn a_row_of_short_fields_is_parted_between_them() {
        assert_eq!(wrap("[1] a  bc 2  d 10 %  e", 18, 2), ["[1] a  bc 2", "  d 10 %  e"]);
    }

    proptest::proptest! {
        #[test]
        fn no_line_is_wider_and_no_letter_is_lost(text in "[a-zäöü° ]{0,200}", columns in 8_usize..60) {
            let lines = wrap(&text, columns, 2);
            for line in &lines {
                proptest::prop_assert!(width(line.trim_end()) <= columns, "{line:?}");
            }
            let letters = |t: &str| t.chars().filter(|c| *c != ' ').collect::<String>();
            proptest::prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }
    }
}
