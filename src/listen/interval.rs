//! Two notes at once: their pitches, apart, and how the interval between them beats.

use super::beat::Beating;
use super::comb::Comb;
use super::estimate::Estimate;
use super::heard::SecondNote;
use super::pitch::{Pitch, pitch};
use super::track::{Harmonic, Track, track};
use crate::sheet::notes::cents;

/// Intervals of small whole numbers within two octaves, upper over lower.
const RATIOS: [[u32; 2]; 16] = [
    [1, 1],
    [16, 15],
    [9, 8],
    [6, 5],
    [5, 4],
    [4, 3],
    [7, 5],
    [3, 2],
    [8, 5],
    [5, 3],
    [16, 9],
    [15, 8],
    [2, 1],
    [5, 2],
    [3, 1],
    [4, 1],
];
/// Widths of a window's line (one over its length) by which partials of two notes must be apart.
const APART: f64 = 3.0;
/// A stretch holds at least this many windows.
const WINDOWS: f64 = 3.5;
/// Harmonics of the other note that are kept away from.
const HARMONICS: usize = 24;

/// Both notes.
pub(super) struct Both {
    pub(super) first: Pitch,
    pub(super) track: Track,
    pub(super) second: SecondNote,
    pub(super) work: u64,
}

/// The pitches of two notes from the harmonics that they do not share. None where the stretch is too short to tell them apart.
pub(super) fn both(samples: &[f64], rate_hz: f64, combs: [Comb; 2]) -> Option<Both> {
    let [first, second] = combs.map(|comb| comb.hz);
    let whole_s = samples.len() as f64 / rate_hz;
    let window_s = (APART / (first - second).abs()).max(super::track::window_s(whole_s, first.min(second)));
    if WINDOWS * window_s > whole_s {
        return None;
    }
    let follow = |own: f64, other: f64| {
        track(samples, rate_hz, own, window_s, |number| {
            (1..=HARMONICS).any(|k| (number as f64 * own - k as f64 * other).abs() * window_s < APART)
        })
    };
    let (track, beside) = (follow(first, second), follow(second, first));
    let (first, second) = (pitch(&track, None)?, pitch(&beside, None)?);
    let power = |track: &Track| track.harmonics.iter().map(|harmonic| harmonic.power()).sum::<f64>();
    let softer_by_db = 10.0 * (power(&track) / power(&beside)).log10();
    let work = track.work + beside.work;
    Some(Both { first, second: SecondNote::of(first.hz, second.hz, softer_by_db), track, work })
}

/// A note and one above it by a whole ratio, as an octave: the harmonics that the upper has not tell of the lower alone; of the
/// two lines in each of the others the one that is not the lower's is the upper's.
pub(super) fn above(track: Track, number: usize, beating: &[Beating]) -> Option<(Pitch, SecondNote, Track)> {
    let own = |harmonic: &Harmonic| !harmonic.number.is_multiple_of(number);
    let lower = Track { harmonics: track.harmonics.into_iter().filter(own).collect(), ..track };
    let pitch = pitch(&lower, None)?;
    let shift = pitch.hz.value - lower.hz;
    let (mut power_below, mut power_above) = (lower.harmonics.iter().map(Harmonic::power).sum::<f64>(), 0.0);
    let mut upper_hz = None;
    for Beating { number: harmonic, lines } in beating {
        let off = |k: usize| (lines.hz[k] - *harmonic as f64 * shift).abs();
        let (mine, theirs) = if off(0) < off(1) { (0, 1) } else { (1, 0) };
        power_below += lines.amplitude[mine].norm_sqr();
        power_above += lines.amplitude[theirs].norm_sqr();
        let scale = number as f64 / *harmonic as f64;
        let hz = number as f64 * lower.hz + lines.hz[theirs] * scale;
        upper_hz = upper_hz.or(Some(Estimate::new(hz, lines.error_hz[theirs] * scale, lines.freedom)));
    }
    let softer_by_db = 10.0 * (power_below / power_above).log10();
    Some((pitch, SecondNote::of(pitch.hz, upper_hz?, softer_by_db), lower))
}

impl SecondNote {
    pub(super) fn of(first_hz: Estimate, second_hz: Estimate, softer_by_db: f64) -> Self {
        let (upper, lower) =
            if first_hz.value > second_hz.value { (first_hz, second_hz) } else { (second_hz, first_hz) };
        let wide = cents(upper.value, lower.value);
        let off = |ratio: &[u32; 2]| wide - cents(f64::from(ratio[0]), f64::from(ratio[1]));
        let ratio = RATIOS.into_iter().min_by(|a, b| off(a).abs().total_cmp(&off(b).abs())).unwrap_or([1, 1]);
        let relative = |hz: Estimate| hz.half_width() / hz.value;
        let half = cents(1.0 + relative(upper).hypot(relative(lower)), 1.0);
        let off = off(&ratio);
        // Harmonic `p` of the lower meets harmonic `q` of the upper at the ratio p/q.
        let [p, q] = ratio.map(f64::from);
        let beat = q * upper.value - p * lower.value;
        let half_hz = (q * upper.half_width()).hypot(p * lower.half_width());
        Self {
            pitch_hz: second_hz,
            softer_by_db,
            ratio,
            off_cents: Estimate { value: off, low: off - half, high: off + half },
            beat_hz: Estimate { value: beat.abs(), low: (beat.abs() - half_hz).max(0.0), high: beat.abs() + half_hz },
        }
    }
}
