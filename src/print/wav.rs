//! The model's sound as a WAV file.

/// Length of the sounds of a reed before and after a change (s).
pub const SOUND_S: f64 = 1.5;
/// Samples a second.
pub const WAV_RATE_HZ: u32 = 48_000;
/// Peak, as a share of full scale.
const PEAK: f64 = 0.7;

/// The factor that brings the peak of a sound to an even share of full scale; zero for silence.
pub fn scale_to_peak(samples: &[f64]) -> f64 {
    let peak = samples.iter().fold(0.0_f64, |peak, sample| peak.max(sample.abs()));
    if peak > 0.0 { PEAK / peak } else { 0.0 }
}

/// 16 bits, one channel. `scale` brings samples to shares of full scale; what is beyond it is cut off.
///
/// # Panics
/// Never: the file is written to memory.
pub fn wav(samples: &[f64], scale: f64) -> Vec<u8> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: WAV_RATE_HZ,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).expect("memory takes all");
    for sample in samples {
        writer.write_sample((sample * scale * f64::from(i16::MAX)).round() as i16).expect("memory takes all");
    }
    writer.finalize().expect("memory takes all");
    bytes.into_inner()
}

/// The same with a comment in the file that players and editors show (chunk LIST, INFO, ICMT of RIFF).
pub fn wav_with_comment(samples: &[f64], scale: f64, comment: &str) -> Vec<u8> {
    let mut bytes = wav(samples, scale);
    let mut text = comment.as_bytes().to_vec();
    // Ends with a zero byte; chunks are of even size.
    text.resize((text.len() + 2) & !1, 0);
    let length = |bytes: usize| u32::try_from(bytes).unwrap_or(u32::MAX).to_le_bytes();
    for part in [&b"LIST"[..], &length(12 + text.len()), b"INFOICMT", &length(text.len()), &text] {
        bytes.extend_from_slice(part);
    }
    let whole = length(bytes.len() - 8);
    bytes[4..8].copy_from_slice(&whole);
    bytes
}
