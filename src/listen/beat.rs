//! Two reeds nearly in unison: each harmonic is two lines, apart by the beat times its number. Vibrato makes lines too, but on
//! both sides and equally far from every harmonic.

use std::f64::consts::{PI, TAU};

use realfft::num_complex::Complex;
use serde::Serialize;

use super::estimate::Estimate;
use super::track::{Harmonic, Track};
use super::two_lines::{TwoLines, two_lines};

/// Harmonics that are looked at, the strongest.
const HARMONICS: usize = 6;
/// A weaker line on the other side, larger than this share of the one, is the sign of vibrato.
const MIRRORED: f64 = 0.4;
/// How far beats of two harmonics may differ, each divided by its number.
const AGREE: f64 = 0.06;
/// Beats in the stretch from which on two lines are seen as two.
const RESOLVED: f64 = 2.0;
/// Beats from frame to frame beyond which the window hides the second line.
const FASTEST: f64 = 0.35;
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

/// Two reeds in the harmonics of one note.
pub(super) enum Two {
    /// Nearly in unison: every harmonic beats.
    Unison(Beat),
    /// The second is higher by a whole ratio: every so many-th harmonic beats, and no other.
    Above {
        /// The ratio.
        number: usize,
        /// The harmonics that beat, the lowest first.
        beating: Vec<Beating>,
    },
}

/// A harmonic that is two lines.
#[derive(Clone)]
pub(super) struct Beating {
    pub(super) number: usize,
    pub(super) lines: TwoLines,
}

/// Looks for a second reed in the harmonics of a track.
pub(super) fn two(track: &Track) -> Option<Two> {
    let mut strongest: Vec<&Harmonic> = track.harmonics.iter().collect();
    strongest.sort_by(|a, b| b.power().total_cmp(&a.power()));
    strongest.truncate(HARMONICS);
    let found: Vec<Beating> = strongest
        .iter()
        .filter_map(|harmonic| Some(Beating { number: harmonic.number, lines: two_lines(&harmonic.z, track.step_s)? }))
        .filter(|beating| beating.lines.ratio() >= WEAKEST && beating.lines.mirrored <= MIRRORED)
        .collect();
    // The clearest, and those that agree with it.
    let rate = |beating: &Beating| (beating.lines.beat_hz() / beating.number as f64).abs();
    let error = |beating: &Beating| beating.lines.beat_error_hz / beating.number as f64;
    let best = found.iter().min_by(|a, b| error(a).total_cmp(&error(b)))?;
    let agrees = |beating: &&Beating| {
        (rate(beating) - rate(best)).abs() <= AGREE * rate(best) + 3.0 * (error(beating) + error(best))
    };
    let agreeing: Vec<&Beating> = found.iter().filter(agrees).collect();
    let whole_s = best.lines.count as f64 * track.step_s;
    let silent = |harmonic: &&&Harmonic| {
        let beats = harmonic.number as f64 * rate(best);
        let seen = beats * whole_s > RESOLVED && beats * track.step_s < FASTEST;
        seen && agreeing.iter().all(|beating| beating.number != harmonic.number)
    };
    let others: Vec<usize> = strongest.iter().filter(silent).map(|harmonic| harmonic.number).collect();
    let needed = track.harmonics.len().min(2);
    if agreeing.len() >= needed && 4 * others.len() <= agreeing.len() {
        return Some(Two::Unison(Beat::of(track, best.number as f64, &best.lines)));
    }
    above(&agreeing, &others)
}

/// A second reed whose harmonics are every second or third of the first's.
fn above(agreeing: &[&Beating], others: &[usize]) -> Option<Two> {
    let every = |number: &usize| {
        agreeing.iter().all(|beating| beating.number % number == 0) && others.iter().all(|other| other % number != 0)
    };
    let number = (2..=4).find(every).filter(|_| agreeing.len() >= 2 && !others.is_empty())?;
    let mut beating: Vec<Beating> = agreeing.iter().map(|beating| (*beating).clone()).collect();
    beating.sort_by_key(|beating| beating.number);
    Some(Two::Above { number, beating })
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
