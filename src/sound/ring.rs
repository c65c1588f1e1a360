//! Samples that wait to be taken: a ring of fixed length. When nobody takes them the oldest are let go, as sound is.

/// The ring.
#[derive(Clone, Debug)]
pub(super) struct Ring {
    samples: Box<[f32]>,
    /// Where the oldest lies.
    first: usize,
    ready: usize,
}

impl Ring {
    pub fn new(length: usize) -> Self {
        Self {
            samples: vec![0.0; length.max(1)].into_boxed_slice(),
            first: 0,
            ready: 0,
        }
    }

    pub fn ready(&self) -> usize {
        self.ready
    }

    #[inline(always)]
    pub fn push(&mut self, sample: f32) {
        let length = self.samples.len();
        let mut at = self.first + self.ready;
        if at >= length {
            at -= length;
        }
        self.samples[at] = sample;
        if self.ready < length {
            self.ready += 1;
        } else {
            self.first = if self.first + 1 == length { 0 } else { self.first + 1 };
        }
    }

    pub fn take(&mut self, out: &mut [f32]) -> usize {
        let count = self.ready.min(out.len());
        let ahead = count.min(self.samples.len() - self.first);
        out[..ahead].copy_from_slice(&self.samples[self.first..self.first + ahead]);
        out[ahead..count].copy_from_slice(&self.samples[..count - ahead]);
        self.first = (self.first + count) % self.samples.len();
        self.ready -= count;
        count
    }
}
