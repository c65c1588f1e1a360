//! Draws from a seed and an input's number, so that any input can be had again by its number alone; and mild changes to a text:
//! mostly its numbers, now and then a line or a letter.

use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// Numbers at which programs stumble.
const EDGES: &[&str] = &[
    "0",
    "-0",
    "-1",
    "1",
    "1e-320",
    "1e308",
    "-1e308",
    "1e309",
    "nan",
    "inf",
    "-inf",
    "4294967295",
    "4294967296",
    "18446744073709551615",
    "18446744073709551616",
    "9223372036854775808",
    "0.1e",
    "1_000",
    "٣",
    "0x10",
    "1,5",
    "",
    "00000000000000000000000000000000000000000000000000001",
    "3.141592653589793238462643383279502884197169399375105820974944",
];

/// Letters at which they do.
const LETTERS: &[char] = &[
    '\0',
    '\n',
    '\r',
    '\t',
    ' ',
    '"',
    '\'',
    '\\',
    '[',
    ']',
    '{',
    '}',
    '=',
    ',',
    '.',
    '-',
    '/',
    '#',
    '%',
    ':',
    '9',
    'e',
    'é',
    '°',
    '\u{feff}',
    '\u{202e}',
    '\u{1f525}',
    '\u{fffd}',
];

/// What is drawn for one input.
pub struct Draw(TestRng);

impl Draw {
    /// The draws of input `number` of a kind under a seed.
    pub fn new(seed: u64, kind: &str, number: u64) -> Self {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        key[8..16].copy_from_slice(&number.to_le_bytes());
        for (place, letter) in key[16..].iter_mut().zip(kind.bytes()) {
            *place = letter;
        }
        Self(TestRng::from_seed(RngAlgorithm::ChaCha, &key))
    }

    /// 0 to `count - 1`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.0.next_u64() % count.max(1) as u64) as usize
    }

    /// True once in so many times.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    /// 0 to 1.
    pub fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    /// Another number in the place of one: nearby mostly, else an edge.
    pub fn number_for(&mut self, old: &str) -> String {
        match (old.parse::<f64>(), self.below(10)) {
            (Ok(value), 0..=6) => {
                let near = value * (0.9 + 0.2 * self.unit());
                // As whole as it was.
                if old.contains('.') || near == 0.0 {
                    format!("{near:.4}")
                } else {
                    format!("{near:.0}")
                }
            }
            (Ok(value), 7) => format!("{}", value + 1.0),
            _ => (*self.pick(EDGES)).to_string(),
        }
    }

    /// The text with a few changes.
    pub fn change(&mut self, text: &str) -> String {
        let mut text = text.to_string();
        for _ in 0..=self.below(3) {
            text = match self.below(40) {
                0..=33 => self.change_number(text),
                34..=36 => self.change_line(&text),
                37 | 38 => self.change_letter(&text),
                _ => self.cut(&text),
            };
        }
        text
    }

    fn change_number(&mut self, text: String) -> String {
        let numbers = numbers(&text);
        if numbers.is_empty() {
            return text;
        }
        let (start, end) = *self.pick(&numbers);
        let new = self.number_for(&text[start..end]);
        format!("{}{new}{}", &text[..start], &text[end..])
    }

    /// A line left out, doubled or swapped with another.
    fn change_line(&mut self, text: &str) -> String {
        let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
        let at = self.below(lines.len());
        let other = self.below(lines.len());
        match self.below(3) {
            _ if lines.is_empty() => {}
            0 => drop(lines.remove(at)),
            1 => lines.insert(at, lines[other]),
            _ => lines.swap(at, other),
        }
        lines.concat()
    }

    /// A letter put in or in the place of another.
    fn change_letter(&mut self, text: &str) -> String {
        let mut letters: Vec<char> = text.chars().collect();
        let at = self.below(letters.len() + 1);
        let letter = *self.pick(LETTERS);
        if at < letters.len() && self.once_in(2) {
            letters[at] = letter;
        } else {
            letters.insert(at, letter);
        }
        letters.into_iter().collect()
    }

    /// The end cut off, or a piece out of the middle.
    fn cut(&mut self, text: &str) -> String {
        let letters: Vec<char> = text.chars().collect();
        let start = self.below(letters.len() + 1);
        let end = if self.once_in(3) {
            letters.len()
        } else {
            (start + self.below(30)).min(letters.len())
        };
        letters[..start].iter().chain(&letters[end..]).collect()
    }
}

/// Where the numbers of a text stand.
fn numbers(text: &str) -> Vec<(usize, usize)> {
    let bytes = text.as_bytes();
    let (mut found, mut at) = (Vec::new(), 0);
    while at < bytes.len() {
        let in_word = at > 0 && (bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'_');
        if bytes[at].is_ascii_digit() && !in_word {
            let start = at;
            while at < bytes.len() && (bytes[at].is_ascii_digit() || bytes[at] == b'.') {
                at += 1;
            }
            found.push((start, at));
        } else {
            at += 1;
        }
    }
    found
}
