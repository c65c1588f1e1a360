//! Samples as a WAV file: one channel of 16-bit PCM, kept in memory until it is whole.

use std::io::Cursor;

use thiserror::Error;

/// Why samples don't become a WAV file: the format counts its bytes in 32 bits.
#[derive(Debug, Error)]
#[error("it does not become a WAV file ({0}); make it shorter than 12 hours")]
pub struct WavError(#[from] hound::Error);

/// A WAV file on its way.
#[derive(Clone, Debug, Default)]
pub struct Wav {
    samples: Vec<i16>,
}

impl Wav {
    /// Adds samples within -1..1.
    pub fn add(&mut self, samples: &[f32]) {
        let whole = |x: &f32| (x * f32::from(i16::MAX)).round() as i16;
        self.samples.extend(samples.iter().map(whole));
    }

    /// The bytes of the file.
    ///
    /// # Errors
    /// More than the format can count.
    pub fn bytes(&self, rate_hz: u32) -> Result<Vec<u8>, WavError> {
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: rate_hz,
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        let mut bytes = Vec::with_capacity(44 + 2 * self.samples.len());
        let mut writer = hound::WavWriter::new(Cursor::new(&mut bytes), spec)?;
        for sample in &self.samples {
            writer.write_sample(*sample)?;
        }
        writer.finalize()?;
        Ok(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let samples = [0.0, 0.5, -0.5, 0.999, -0.999];
        let mut wav = Wav::default();
        wav.add(&samples[..2]);
        wav.add(&samples[2..]);
        let bytes = wav.bytes(48_000).unwrap();
        let reader = hound::WavReader::new(&bytes[..]).unwrap();
        assert_eq!((reader.spec().channels, reader.spec().sample_rate), (1, 48_000));
        let back: Vec<i16> = reader.into_samples().map(Result::unwrap).collect();
        let asked: Vec<i16> = samples.iter().map(|x| (x * 32_767.0_f32).round() as i16).collect();
        assert_eq!(back, asked);
    }
}
