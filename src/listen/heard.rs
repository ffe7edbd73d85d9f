//! What was heard, as values.

use serde::Serialize;

use super::attack::Rise;
use super::beat::Beat;
use super::decay::RingDown;
use super::estimate::Estimate;
use super::kind::Kind;

/// What was heard in a recording.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Heard {
    /// The file.
    pub file: String,
    /// Samples a second (Hz).
    pub rate_hz: f64,
    /// Number of channels.
    pub channels: usize,
    /// The channel that was measured, the louder one, counted from 1.
    pub channel: usize,
    /// How long it is (s).
    pub duration_s: f64,
    /// The notes, in their order.
    pub notes: Vec<HeardNote>,
    /// What sounded and was not measured.
    pub ignored: Vec<Ignored>,
    /// What a reader should know of the recording as a whole.
    pub remarks: Vec<String>,
    /// What it took.
    pub work: Work,
}

/// One note.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeardNote {
    /// When it begins (s).
    pub from_s: f64,
    /// When it ends (s).
    pub to_s: f64,
    /// How it was made.
    pub kind: Kind,
    /// Its pitch (Hz): of a note that wanders the mean over its sustained part, of a pluck weighted by its loudness. The clock
    /// of the sound card is taken as right: of two with crystals of 50 parts in a million each, one is up to 0.2 cents off.
    pub pitch_hz: Estimate,
    /// How fast the pitch drifts (cents/s).
    pub drift_cents_s: Estimate,
    /// How far the pitch wanders (vibrato, an unsteady breath): standard deviation about its drift (cents), 0 where it does so
    /// by no more than the noise explains.
    pub wander_cents: f64,
    /// Level of the measured part (dB below full scale, by the mean square).
    pub level_db: f64,
    /// Level relative to the loudest note of the recording (dB).
    pub relative_level_db: f64,
    /// Its harmonics as far as they stand out of the noise.
    pub harmonics: Vec<HarmonicLevel>,
    /// How it comes up: of a blow that begins in quiet.
    pub rise: Option<Rise>,
    /// How it rings down: of a pluck.
    pub ring_down: Option<RingDown>,
    /// The beat of two reeds nearly in unison.
    pub beat: Option<Beat>,
    /// A second note that sounds with it.
    pub second: Option<SecondNote>,
    /// What a reader should know.
    pub remarks: Vec<String>,
}

/// The level of a harmonic.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HarmonicLevel {
    /// 1 for the fundamental.
    pub number: usize,
    /// Level relative to the strongest harmonic (dB).
    pub level_db: f64,
}

/// A second note that sounds with the first.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SecondNote {
    /// Its pitch (Hz).
    pub pitch_hz: Estimate,
    /// How much softer it is than the first (dB), by the harmonics that can be told apart.
    pub softer_by_db: f64,
    /// The interval meant: the ratio of small whole numbers nearest to that of the pitches, upper over lower.
    pub ratio: [u32; 2],
    /// How far the interval lies from that ratio (cents; positive: too wide).
    pub off_cents: Estimate,
    /// Beats a second of the lowest harmonics that would coincide (Hz).
    pub beat_hz: Estimate,
}

/// What sounded and was not measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ignored {
    /// When it begins (s).
    pub from_s: f64,
    /// When it ends (s).
    pub to_s: f64,
    /// Why.
    pub why: &'static str,
}

/// What listening took: the same on every machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Work {
    /// Samples read.
    pub samples: u64,
    /// Points of Fourier transforms.
    pub transformed: u64,
    /// Samples multiplied with a sinusoid.
    pub products: u64,
}
