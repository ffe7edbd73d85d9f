//! A recording as it lies in a WAV file, read piece by piece: however long it is, little of it is in memory.

use std::io::{BufReader, Read, Seek};
use std::path::Path;

use hound::{SampleFormat, WavReader};

/// Slowest sampling at which the notes of reeds can be heard out.
const LOWEST_RATE_HZ: u32 = 4000;
/// Fastest sampling of any sound card.
const HIGHEST_RATE_HZ: u32 = 768_000;
/// Most channels of a recording.
const MOST_CHANNELS: u16 = 32;

/// Why nothing can be heard in a file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unreadable {
    /// The system does not give it.
    #[error("{file}: cannot be read: {why}; is the name right?")]
    File {
        /// The file.
        file: String,
        /// What the system said.
        why: String,
    },
    /// It is no WAV file, or a damaged one.
    #[error(
        "{file}: is no WAV file that can be read ({why}); open it in a sound editor and save it as WAV, PCM, 16 or 24 bit"
    )]
    Form {
        /// The file.
        file: String,
        /// What is wrong.
        why: String,
    },
    /// The header is that of a recording, and of none that can be used.
    #[error("{file}: {what} = {value}: allowed: {allowed}; record or export it otherwise")]
    Header {
        /// The file.
        file: String,
        /// Which entry.
        what: &'static str,
        /// Its value.
        value: u32,
        /// What would be allowed.
        allowed: &'static str,
    },
    /// There is no sound in it.
    #[error("{file}: {why}")]
    NoSound {
        /// The file.
        file: String,
        /// What is there instead, and what to try.
        why: String,
    },
}

trait Bytes: Read + Seek {}
impl<T: Read + Seek> Bytes for T {}

/// An open recording.
pub struct Recording {
    name: String,
    /// None once the bytes can no longer be read.
    reader: Option<WavReader<Box<dyn Bytes>>>,
    spec: hound::WavSpec,
    /// Frames (one sample of each channel) its header promises.
    promised: u64,
    /// Frames that are there, as far as is known.
    frames: u64,
}

impl Recording {
    /// Opens a WAV file: whole numbers of 8, 16, 24 or 32 bits or floating point of 32, any number of channels up to 32.
    ///
    /// # Errors
    /// A file that cannot be read, is no WAV file, or has a header with which nothing can be done.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, Unreadable> {
        let path = path.as_ref();
        let file = path.display().to_string();
        let opened =
            crate::files::open(path).map_err(|why| Unreadable::File { file: file.clone(), why: why.to_string() })?;
        Self::of(file, BufReader::with_capacity(1 << 16, opened))
    }

    /// A recording of any bytes; `name` stands in what is said of it.
    ///
    /// # Errors
    /// As [`Recording::open`].
    pub fn of(name: impl Into<String>, mut bytes: impl Read + Seek + 'static) -> Result<Self, Unreadable> {
        let name = name.into();
        let broken = |why: String| Unreadable::Form { file: name.clone(), why };
        let length = bytes.seek(std::io::SeekFrom::End(0)).and_then(|length| bytes.rewind().map(|()| length));
        let length = length.map_err(|why| broken(why.to_string()))?;
        if length == 0 {
            return Err(Unreadable::NoSound { file: name, why: "is empty; record again".to_owned() });
        }
        let boxed: Box<dyn Bytes> = Box::new(bytes);
        let reader = WavReader::new(boxed).map_err(|error| broken(cause(&error)))?;
        let spec = reader.spec();
        check(&name, &spec)?;
        let frames = u64::from(reader.duration());
        // A recorder that was switched off never wrote the length.
        if frames == 0 {
            let held = length / (u64::from(spec.channels) * u64::from(spec.bits_per_sample / 8));
            let why = match held > u64::from(spec.sample_rate / 10) {
                true => {
                    "its header was never finished and says that no sound follows; open it in a sound editor and save it"
                }
                false => "holds no sound; record again",
            };
            return Err(Unreadable::NoSound { file: name, why: why.to_owned() });
        }
        Ok(Self { name, reader: Some(reader), spec, promised: frames, frames })
    }

    /// The file's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Samples a second.
    pub fn rate_hz(&self) -> f64 {
        f64::from(self.spec.sample_rate)
    }

    /// Number of channels.
    pub fn channels(&self) -> usize {
        usize::from(self.spec.channels)
    }

    /// Frames its header promises.
    pub fn frames_promised(&self) -> u64 {
        self.promised
    }

    /// From which size on a sample is at the end of its scale.
    pub(super) fn full_scale(&self) -> f64 {
        match self.spec.sample_format {
            SampleFormat::Float => 0.9999,
            SampleFormat::Int => 1.0 - 1.5 / 2f64.powi(i32::from(self.spec.bits_per_sample) - 1),
        }
    }

    /// Hands every frame from `from` on, at most `count`, to `each`, and tells how many there were: fewer than asked where
    /// the file ends before its time.
    pub(super) fn each_frame(&mut self, from: u64, count: u64, mut each: impl FnMut(&[f64])) -> u64 {
        let count = count.min(self.frames.saturating_sub(from));
        let Some(reader) = self.reader.as_mut().filter(|_| count > 0) else { return 0 };
        // What is too far for the header's 32 bits is beyond its end.
        if reader.seek(u32::try_from(from).unwrap_or(u32::MAX)).is_err() {
            return 0;
        }
        let (channels, limit) = (usize::from(self.spec.channels), count as usize * usize::from(self.spec.channels));
        let read = match self.spec.sample_format {
            SampleFormat::Float => {
                let samples = reader.samples::<f32>().take(limit).map(|sample| sample.ok().map(f64::from));
                frames(samples, channels, &mut each)
            }
            SampleFormat::Int => {
                let unit = 1.0 / 2f64.powi(i32::from(self.spec.bits_per_sample) - 1);
                let scaled = |sample: hound::Result<i32>| sample.ok().map(|value| f64::from(value) * unit);
                frames(reader.samples::<i32>().take(limit).map(scaled), channels, &mut each)
            }
        };
        if read < count {
            self.ends_at(from + read);
        }
        read
    }

    /// Begins anew after a read that failed: the reader has lost its place.
    fn ends_at(&mut self, frame: u64) {
        self.frames = frame;
        let bytes = self.reader.take().map(WavReader::into_inner);
        self.reader = bytes.and_then(|mut bytes| bytes.rewind().ok().and_then(|()| WavReader::new(bytes).ok()));
    }

    /// The samples of one channel; what is no number is read as zero.
    pub(super) fn channel(&mut self, channel: usize, from: u64, count: u64) -> Vec<f64> {
        let mut samples = Vec::with_capacity(count.min(1 << 24) as usize);
        self.each_frame(from, count, |frame| {
            samples.push(if frame[channel].is_finite() { frame[channel] } else { 0.0 })
        });
        samples
    }
}

/// Gathers samples into frames until one cannot be read.
fn frames(samples: impl Iterator<Item = Option<f64>>, channels: usize, each: &mut impl FnMut(&[f64])) -> u64 {
    let mut frame = Vec::with_capacity(channels);
    let mut read = 0;
    for sample in samples {
        let Some(sample) = sample else { break };
        frame.push(sample);
        if frame.len() == channels {
            each(&frame);
            frame.clear();
            read += 1;
        }
    }
    read
}

fn check(name: &str, spec: &hound::WavSpec) -> Result<(), Unreadable> {
    let wrong = |what, value, allowed| Err(Unreadable::Header { file: name.to_owned(), what, value, allowed });
    if !(LOWEST_RATE_HZ..=HIGHEST_RATE_HZ).contains(&spec.sample_rate) {
        return wrong("sample rate (Hz)", spec.sample_rate, "4000 to 768000");
    }
    if spec.channels > MOST_CHANNELS {
        return wrong("channels", u32::from(spec.channels), "1 to 32");
    }
    Ok(())
}

fn cause(error: &hound::Error) -> String {
    match error {
        hound::Error::FormatError(what) if what.contains("data chunk length") => {
            "its header was never finished: the length of the sound is wrong".to_owned()
        }
        hound::Error::FormatError(what) => (*what).to_owned(),
        hound::Error::Unsupported => "its kind of samples is not supported".to_owned(),
        hound::Error::IoError(_) => "it ends within its header".to_owned(),
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Files of every kind and what scipy 1.17 reads in them (`reference/wav.py`).
    #[test]
    fn samples_are_those_that_scipy_reads() {
        let files: [(&str, &[u8]); 5] = [
            ("u8_mono.wav", include_bytes!("reference/u8_mono.wav")),
            ("i16_stereo.wav", include_bytes!("reference/i16_stereo.wav")),
            ("i24_stereo.wav", include_bytes!("reference/i24_stereo.wav")),
            ("i32_mono.wav", include_bytes!("reference/i32_mono.wav")),
            ("f32_stereo.wav", include_bytes!("reference/f32_stereo.wav")),
        ];
        let mut compared = 0;
        for (name, bytes) in files {
            let mut recording = Recording::of(name, std::io::Cursor::new(bytes)).unwrap();
            for line in include_str!("reference/wav.csv").lines().filter(|line| line.starts_with(name)) {
                let cells: Vec<&str> = line.split(',').collect();
                let [frame, channel] = [cells[1], cells[2]].map(|cell| cell.parse::<usize>().unwrap());
                let expected: f64 = cells[3].parse().unwrap();
                let read = recording.channel(channel, frame as u64, 1);
                assert_eq!(read, [expected], "{name} {frame} {channel}");
                compared += 1;
            }
        }
        assert_eq!(compared, 40);
    }
}
