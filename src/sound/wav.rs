//! Samples as a WAV file: one channel of 16-bit PCM.

use std::io::Cursor;

use thiserror::Error;

/// Why samples don't become a WAV file.
#[derive(Debug, Error)]
pub enum WavError {
    /// The format counts bytes in 32 bits.
    #[error("a WAV file holds at most 4 GiB: {0}")]
    Size(#[from] hound::Error),
}

/// The bytes of a WAV file.
pub fn wav(samples: &[f32], rate_hz: u32) -> Result<Vec<u8>, WavError> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: rate_hz,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::with_capacity(44 + 2 * samples.len()));
    let mut writer = hound::WavWriter::new(&mut bytes, spec)?;
    for sample in samples {
        writer.write_sample((sample * f32::from(i16::MAX)).round() as i16)?;
    }
    writer.finalize()?;
    Ok(bytes.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let samples = [0.0, 0.5, -0.5, 0.999, -0.999];
        let bytes = wav(&samples, 48_000).unwrap();
        let reader = hound::WavReader::new(&bytes[..]).unwrap();
        assert_eq!((reader.spec().channels, reader.spec().sample_rate), (1, 48_000));
        let back: Vec<i16> = reader.into_samples().map(Result::unwrap).collect();
        let asked: Vec<i16> = samples.iter().map(|x| (x * 32_767.0_f32).round() as i16).collect();
        assert_eq!(back, asked);
    }
}
