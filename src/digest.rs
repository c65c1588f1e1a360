//! A digest of 64 bits over words, numbers and text: equal where everything was equal, on every system. It finds what was changed
//! by accident, not what somebody wants to hide.

/// A digest in the making.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digest(u64);

/// Odd, with no pattern in its bits: 2^64 over the golden ratio.
const FACTOR: u64 = 0x9e37_79b9_7f4a_7c15;

impl Digest {
    /// One that goes on from another's value, or from any number.
    pub fn from(start: u64) -> Self {
        Self(start)
    }

    /// Takes in a word.
    pub fn word(&mut self, word: u64) {
        // Both steps can be undone, so two states stay two under the same words.
        let mixed = (self.0 ^ word).wrapping_mul(FACTOR);
        self.0 = mixed ^ (mixed >> 32) ^ FACTOR;
    }

    /// Takes in the bits of numbers.
    pub fn numbers(&mut self, numbers: impl IntoIterator<Item = f64>) {
        for number in numbers {
            self.word(number.to_bits());
        }
    }

    /// Takes in words.
    pub fn words(&mut self, words: impl IntoIterator<Item = u64>) {
        for word in words {
            self.word(word);
        }
    }

    /// Takes in a text, and where it ends.
    pub fn text(&mut self, text: &str) {
        let mut chunks = text.as_bytes().chunks_exact(8);
        for chunk in &mut chunks {
            self.word(chunk.iter().rev().fold(0, |word, byte| (word << 8) | u64::from(*byte)));
        }
        let rest = chunks.remainder().iter().rev();
        self.word(rest.fold(0, |word, byte| (word << 8) | u64::from(*byte)));
        self.word(text.len() as u64);
    }

    /// The digest of what was taken in.
    pub fn value(self) -> u64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> u64 {
        let mut digest = Digest::from(0);
        digest.text(text);
        digest.value()
    }

    #[test]
    fn every_letter_and_its_place_count() {
        let text = "{\"act\":{\"action\":{\"do\":\"turn\",\"turns\":-0.125}}}";
        let mut seen = vec![of(text), of(""), of("\0"), of("\0\0\0\0\0\0\0\0")];
        for at in 0..text.len() {
            // One letter left out, doubled, or another.
            seen.push(of(&format!("{}{}", &text[..at], &text[at + 1..])));
            seen.push(of(&format!("{}{}", &text[..=at], &text[at..])));
            seen.push(of(&format!("{}\u{7f}{}", &text[..at], &text[at + 1..])));
        }
        // Where two letters stand beside each other, leaving out either gives one text.
        let texts: std::collections::BTreeSet<u64> = seen.iter().copied().collect();
        let equal = text.as_bytes().windows(2).filter(|pair| pair[0] == pair[1]).count();
        assert_eq!(texts.len(), seen.len() - 2 * equal);
    }

    #[test]
    fn numbers_count_by_their_bits() {
        let of = |number: f64| {
            let mut digest = Digest::from(1);
            digest.numbers([number]);
            digest.value()
        };
        assert_ne!(of(0.1), of(f64::from_bits(0.1_f64.to_bits() + 1)));
        assert_ne!(of(0.0), of(-0.0));
    }
}
