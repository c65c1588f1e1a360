//! FNV-1a over the bits of numbers, 64 bit. A digest is equal only where every number is, to the bit; `-0` and `0` differ.

/// A digest in the making.
#[derive(Clone, Copy, Debug)]
pub struct Digest(u64);

impl Digest {
    pub fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    fn byte(&mut self, byte: u8) {
        self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }

    pub fn number(&mut self, value: f64) {
        value.to_bits().to_le_bytes().into_iter().for_each(|b| self.byte(b));
    }

    pub fn numbers(&mut self, values: &[f64]) {
        values.iter().for_each(|v| self.number(*v));
    }

    /// A number that may be missing: a mark for each of the two, then the number.
    pub fn maybe(&mut self, value: Option<f64>) {
        self.byte(u8::from(value.is_some()));
        if let Some(value) = value {
            self.number(value);
        }
    }

    /// A stable name, ended so that two names are not one.
    pub fn name(&mut self, name: &str) {
        name.bytes().for_each(|b| self.byte(b));
        self.byte(0);
    }

    pub fn value(self) -> u64 {
        self.0
    }
}
