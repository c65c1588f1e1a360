//! What one page is told: lines of JSON, those of a kind only when they have changed, and numbered blocks of sound. A page that doesn't take
//! them in time loses some; it never makes anybody wait.

use std::collections::HashMap;

use serde_json::{Value, json};
use tokio::sync::mpsc::Sender;

/// Something goes out.
#[derive(Debug)]
pub enum Out {
    /// A line of JSON.
    Line(String),
    /// A block of sound.
    Sound(Vec<u8>),
}

/// A page that is told things.
pub struct Page {
    out: Option<Sender<Out>>,
    /// What it was told last of each kind.
    last: HashMap<&'static str, String>,
    block: u32,
    /// Sound follows.
    flows: bool,
}

impl Page {
    /// A page that takes what it is told there.
    pub fn new(out: Sender<Out>) -> Self {
        Self {
            out: Some(out),
            last: HashMap::new(),
            block: 0,
            flows: false,
        }
    }

    /// It comes anew, and knows nothing.
    pub fn attach(&mut self, out: Sender<Out>) {
        self.out = Some(out);
        self.forget();
    }

    /// Its line was cut, unless a later one has taken its place already; whether it was.
    pub fn cut(&mut self) -> bool {
        let cut = self.out.as_ref().is_none_or(Sender::is_closed);
        if cut {
            self.out = None;
        }
        cut
    }

    /// It is there.
    pub fn there(&self) -> bool {
        self.out.is_some()
    }

    /// Whatever it was told is news again.
    pub fn forget(&mut self) {
        self.last.clear();
    }

    /// Whether it knows something of this kind.
    pub fn knows(&self, told: &str) -> bool {
        self.last.contains_key(told)
    }

    fn send(&self, out: Out) {
        if let Some(page) = &self.out {
            // Full: it doesn't take what it is told; gone: its line says so.
            let _ = page.try_send(out);
        }
    }

    /// Tells it something.
    pub fn tell(&self, told: &Value) {
        self.send(Out::Line(told.to_string()));
    }

    /// Says something.
    pub fn say(&self, text: &str) {
        self.tell(&json!({"told": "say", "text": text}));
    }

    /// Tells it of trouble.
    pub fn trouble(&self, text: &str) {
        self.tell(&json!({"told": "trouble", "text": text}));
    }

    /// Tells it something that is told whenever it has changed.
    pub fn news(&mut self, told: &'static str, value: &impl serde::Serialize) {
        if let Some(line) = news(told, value, self.last.entry(told).or_default()) {
            self.send(Out::Line(line));
        }
    }

    /// Sends what can be played, or a word if no more follows.
    pub fn sound(&mut self, n: u32, flows: bool, samples: &[f32]) {
        if !samples.is_empty() || flows != self.flows {
            self.flows = flows;
            let block = block(self.block, n, flows, samples);
            self.block = self.block.wrapping_add(1);
            self.send(Out::Sound(block));
        }
    }
}

/// A line of what has changed since it was told last.
fn news(told: &str, value: &impl serde::Serialize, last: &mut String) -> Option<String> {
    let now = serde_json::to_string(value).ok().filter(|now| now != last)?;
    *last = now;
    // Every one of these is an object.
    Some(format!("{{\"told\":\"{told}\",{}", last.strip_prefix('{')?))
}

/// A block of sound: its number, the input that it answers, whether more follows at once, and its samples, little-endian.
fn block(number: u32, n: u32, flows: bool, samples: &[f32]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(12 + 2 * samples.len());
    for word in [number, n, u32::from(flows)] {
        bytes.extend(word.to_le_bytes());
    }
    for sample in samples {
        let whole = (sample.clamp(-1.0, 1.0) * f32::from(i16::MAX)).round() as i16;
        bytes.extend(whole.to_le_bytes());
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_says_its_number_the_input_and_every_sample() {
        let bytes = block(7, 258, true, &[0.0, 1.0, -1.0, 2.0, f32::NAN]);
        assert_eq!(bytes[..12], [7, 0, 0, 0, 2, 1, 0, 0, 1, 0, 0, 0]);
        let samples: Vec<i16> = bytes[12..]
            .chunks(2)
            .map(|pair| i16::from_le_bytes([pair[0], pair[1]]))
            .collect();
        assert_eq!(samples, [0, 32767, -32767, 32767, 0]);
    }

    #[test]
    fn what_has_not_changed_is_not_told_again() {
        let mut last = String::new();
        let value = json!({"a": 1});
        assert_eq!(news("state", &value, &mut last).unwrap(), r#"{"told":"state","a":1}"#);
        assert_eq!(news("state", &value, &mut last), None);
    }
}
