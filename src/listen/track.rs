//! The harmonics of a note over time: each one's amplitude and phase, frame by frame, against a steady sinusoid at its place.

use std::f64::consts::{LN_2, TAU};

use realfft::num_complex::Complex;

use super::spectrum::hann;

/// Harmonics that are followed.
const HARMONICS: usize = 12;
/// Harmonics higher than this share of the sampling rate are in the filter of the sound card.
const HIGHEST_SHARE: f64 = 0.45;
/// Periods of the fundamental in a window, at least: neighbouring harmonics and the noise probes between them are then apart.
const FEWEST_PERIODS: f64 = 6.0;
/// Longest window (s), and the most periods in it: vibrato must be followed. One of 30 cents to either side turns the phase of
/// the fundamental by a seventh of a cycle from window to window.
const LONGEST_WINDOW_S: f64 = 0.05;
const MOST_PERIODS: f64 = 16.0;
/// Windows that a stretch is to hold.
const WINDOWS: f64 = 8.0;
/// Noise is probed in every so many frames.
const PROBED: usize = 4;
/// A harmonic is followed where its power is so many times that of the noise in its window.
const STANDS_OUT: f64 = 16.0;
/// Rounding leaves no less noise than this share of the strongest harmonic's power.
const LEAST_NOISE: f64 = 1e-13;

/// A harmonic.
#[derive(Debug, Clone)]
pub(super) struct Harmonic {
    /// 1 for the fundamental.
    pub(super) number: usize,
    /// Amplitude and phase, frame by frame.
    pub(super) z: Vec<Complex<f64>>,
    /// Mean power of the noise in a frame.
    pub(super) noise: f64,
}

impl Harmonic {
    /// Mean power, noise taken off.
    pub(super) fn power(&self) -> f64 {
        let mean = self.z.iter().map(Complex::norm_sqr).sum::<f64>() / self.z.len() as f64;
        (mean - self.noise).max(0.0)
    }
}

/// All harmonics that stand out of the noise.
#[derive(Debug, Clone)]
pub(super) struct Track {
    /// The fundamental against which phases are taken.
    pub(super) hz: f64,
    /// Time from frame to frame: half a window.
    pub(super) step_s: f64,
    /// By number.
    pub(super) harmonics: Vec<Harmonic>,
    /// Samples times sinusoids.
    pub(super) work: u64,
}

/// The window for one note in a stretch of sound.
pub(super) fn window_s(whole_s: f64, hz: f64) -> f64 {
    (whole_s / WINDOWS).min(LONGEST_WINDOW_S).min(MOST_PERIODS / hz).max(FEWEST_PERIODS / hz)
}

/// Follows the harmonics of a fundamental through a stretch of sound; those whose number `skip` refuses are left out.
pub(super) fn track(samples: &[f64], rate_hz: f64, hz: f64, window_s: f64, skip: impl Fn(usize) -> bool) -> Track {
    let half = (0.5 * window_s * rate_hz).round() as usize;
    let window: Vec<f64> = (0..2 * half).map(|k| hann(k, 2 * half) * 2.0 / half as f64).collect();
    let step_s = half as f64 / rate_hz;
    let mut work = 0;
    let mut against = |number: f64, every: usize| {
        let found = demodulated(samples, &window, number * hz / rate_hz, every);
        work += (found.len() * window.len()) as u64;
        found
    };
    let count = ((HIGHEST_SHARE * rate_hz / hz) as usize).min(HARMONICS);
    let probes: Vec<f64> = (0..=count).map(|number| noise(&against(number as f64 + 0.5, PROBED))).collect();
    let mut harmonics = Vec::new();
    for number in (1..=count).filter(|&number| !skip(number)) {
        // Below the fundamental lies rumble, which says nothing of its neighbourhood.
        let noise = if number == 1 { probes[1] } else { probes[number - 1].min(probes[number]) };
        harmonics.push(Harmonic { number, z: against(number as f64, 1), noise });
    }
    let strongest = harmonics.iter().map(Harmonic::power).fold(0.0, f64::max);
    for harmonic in &mut harmonics {
        harmonic.noise = harmonic.noise.max(LEAST_NOISE * strongest);
    }
    harmonics.retain(|harmonic| harmonic.power() > STANDS_OUT * harmonic.noise);
    Track { hz, step_s, harmonics, work }
}

/// The product with a turning phasor, summed over windows that overlap by half. Phases count from the first sample.
fn demodulated(samples: &[f64], window: &[f64], turns_per_sample: f64, every: usize) -> Vec<Complex<f64>> {
    let hop = every * window.len() / 2;
    let turn = Complex::from_polar(1.0, -TAU * turns_per_sample);
    // Four phasors at a time: one alone would wait for its own product.
    let turn4 = turn.powu(4);
    let mut found = Vec::new();
    let mut from = 0;
    while from + window.len() <= samples.len() {
        // The phase is taken at the middle of the window, without losing digits in long recordings.
        let start = Complex::from_polar(1.0, -TAU * (turns_per_sample * from as f64).fract());
        let mut phasors = [start, start * turn, start * turn * turn, start * turn * turn * turn];
        let mut sums = [Complex::new(0.0, 0.0); 4];
        let piece = samples[from..from + window.len()].chunks_exact(4).zip(window.chunks_exact(4));
        for (samples, window) in piece {
            for k in 0..4 {
                sums[k] += phasors[k] * (samples[k] * window[k]);
                phasors[k] *= turn4;
            }
        }
        found.push(sums.into_iter().sum());
        from += hop;
    }
    found
}

/// Mean power of noise by the median of its powers, of which a mean would be spoiled by a click: `ln 2` of the mean for an
/// exponential distribution.
fn noise(z: &[Complex<f64>]) -> f64 {
    let mut powers: Vec<f64> = z.iter().map(Complex::norm_sqr).collect();
    if powers.is_empty() {
        return 0.0;
    }
    let middle = powers.len() / 2;
    *powers.select_nth_unstable_by(middle, f64::total_cmp).1 / LN_2
}
