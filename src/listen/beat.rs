//! Two reeds nearly in unison: each harmonic is two lines, apart by the beat times its number. Vibrato makes lines too, but on
//! both sides and equally far from every harmonic.

use std::f64::consts::{PI, TAU};

use realfft::num_complex::Complex;
use serde::Serialize;

use super::estimate::Estimate;
use super::track::{Harmonic, Track};
use super::two_lines::{TwoLines, two_lines};

/// Harmonics that are looked at, the strongest.
const HARMONICS: usize = 5;
/// A weaker line on the other side, larger than this share of the one, is the sign of vibrato.
const MIRRORED: f64 = 0.4;
/// How far beats of two harmonics may differ, each divided by its number.
const AGREE: f64 = 0.06;
/// Weakest second reed, by its amplitude (30 dB).
const WEAKEST: f64 = 0.03;

/// Two reeds heard as one that beats.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Beat {
    /// Beats a second at the fundamental (Hz).
    pub rate_hz: Estimate,
    /// How much louder it is at its loudest than at its softest, in the harmonic with the clearest beat (dB).
    pub depth_db: f64,
    /// The louder reed (Hz).
    pub louder_hz: Estimate,
    /// The softer reed (Hz).
    pub softer_hz: Estimate,
    /// How much louder (dB).
    pub difference_db: f64,
}

/// Looks for a beat in the harmonics of a track.
pub(super) fn beat(track: &Track) -> Option<Beat> {
    let mut strongest: Vec<&Harmonic> = track.harmonics.iter().collect();
    strongest.sort_by(|a, b| b.power().total_cmp(&a.power()));
    strongest.truncate(HARMONICS);
    let found: Vec<(f64, TwoLines)> = strongest
        .iter()
        .filter_map(|harmonic| Some((harmonic.number as f64, two_lines(&harmonic.z, track.step_s)?)))
        .filter(|(_, lines)| lines.ratio() >= WEAKEST && lines.mirrored <= MIRRORED)
        .collect();
    // The clearest, and those that agree with it.
    let clear = |(number, lines): &(f64, TwoLines)| lines.beat_error_hz / number;
    let (number, best) = found.iter().min_by(|a, b| clear(a).total_cmp(&clear(b)))?;
    let rate = best.beat_hz() / number;
    let agree = |(n, lines): &&(f64, TwoLines)| {
        let allowed = AGREE * rate.abs() + 3.0 * (lines.beat_error_hz / n + best.beat_error_hz / number);
        (lines.beat_hz() / n - rate).abs() <= allowed || (lines.beat_hz() / n + rate).abs() <= allowed
    };
    let agreeing = found.iter().filter(agree).count();
    let needed = if track.harmonics.len() == 1 { 1 } else { 2 };
    if agreeing < needed || 2 * agreeing < found.len() {
        return None;
    }
    Some(Beat::of(track, *number, best))
}

impl Beat {
    fn of(track: &Track, number: f64, lines: &TwoLines) -> Self {
        let freedom = lines.freedom;
        let of = |hz: f64, error: f64| Estimate::new(track.hz + hz / number, error / number, freedom);
        // What the window lets through of a line beside its middle.
        let window = |hz: f64| {
            let x = 2.0 * track.step_s * hz;
            if x.abs() < 1e-6 { 1.0 } else { (PI * x).sin() / (PI * x) / (1.0 - x * x) }
        };
        let sizes = [0, 1].map(|k| lines.amplitude[k].norm() / window(lines.hz[k]).abs().max(0.05));
        let (louder, softer) = if sizes[0] >= sizes[1] { (0, 1) } else { (1, 0) };
        let (large, small) = (sizes[louder], sizes[softer]);
        Self {
            rate_hz: Estimate::new(lines.beat_hz().abs() / number, lines.beat_error_hz / number, freedom),
            depth_db: 20.0 * ((large + small) / (large - small).max(1e-3 * large)).log10(),
            louder_hz: of(lines.hz[louder], lines.error_hz[louder]),
            softer_hz: of(lines.hz[softer], lines.error_hz[softer]),
            difference_db: 20.0 * (large / small).log10(),
        }
    }
}

/// `exp(i 2 pi f t)` at the frames.
pub(super) fn phasors(hz: f64, step_s: f64, count: usize) -> impl Iterator<Item = Complex<f64>> {
    (0..count).map(move |k| Complex::from_polar(1.0, TAU * (hz * step_s * k as f64).fract()))
}
