//! The partials in a stretch of sound: peaks of its spectrum that stand out of the noise beside them.

use std::f64::consts::PI;

use realfft::{RealFftPlanner, num_complex::Complex};

/// A peak stands so much above the middle of its neighbourhood (dB).
const STANDS_OUT_DB: f64 = 14.0;
/// What is further below the strongest is no partial that could be told from leakage (dB).
const REACH_DB: f64 = 66.0;
/// The neighbourhood, in widths of a line to either side.
const NEIGHBOURHOOD: usize = 24;
/// Most peaks that are kept, the strongest.
const MOST: usize = 60;
/// Longest stretch that is transformed (samples).
const LONGEST: usize = 1 << 17;
/// Lowest frequency that is looked at (Hz).
pub(super) const LOWEST_HZ: f64 = 50.0;

/// A partial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Peak {
    pub(super) hz: f64,
    /// Amplitude of the sinusoid.
    pub(super) amplitude: f64,
}

/// The partials of a stretch of sound.
#[derive(Debug, Clone, Default)]
pub(super) struct Peaks {
    /// By frequency.
    pub(super) peaks: Vec<Peak>,
    /// How far apart two partials must be to be seen as two (Hz).
    pub(super) resolution_hz: f64,
    /// Share of the energy that lies in the peaks, of all above [`LOWEST_HZ`].
    pub(super) share: f64,
    /// Points that were transformed.
    pub(super) work: u64,
}

/// Finds them under a Hann window: a line is four bins of the unpadded transform wide.
pub(super) fn peaks(samples: &[f64], rate_hz: f64) -> Peaks {
    let samples = &samples[..samples.len().min(LONGEST)];
    let length = samples.len();
    if length < 32 {
        return Peaks::default();
    }
    let size = (2 * length).next_power_of_two();
    let power = powers(samples, size);
    let bin_hz = rate_hz / size as f64;
    let width = 2 * size / length;
    let lowest = ((LOWEST_HZ / bin_hz) as usize).max(width);
    let floor = floors(&power, NEIGHBOURHOOD * width);
    let strongest = power[lowest.min(power.len() - 1)..].iter().copied().fold(0.0, f64::max);
    let least = strongest * 10f64.powf(-REACH_DB / 10.0);
    let above = 10f64.powf(STANDS_OUT_DB / 10.0);
    let mut found = Vec::new();
    let mut in_peaks = 0.0;
    for k in lowest..power.len() - 1 {
        let is_peak = power[k] > power[k - 1] && power[k] >= power[k + 1];
        if is_peak && power[k] > least && power[k] > above * floor[k] {
            let beside = k.saturating_sub(width)..(k + width).min(power.len());
            // A side lobe of a neighbour is no partial: Hann's first is 31 dB down.
            if power[beside.clone()].iter().all(|&other| other <= power[k] * 700.0) {
                found.push(at(&power, k, bin_hz, length));
            }
            in_peaks += power[k.saturating_sub(width / 2)..(k + width / 2).min(power.len())].iter().sum::<f64>();
        }
    }
    found.sort_by(|a, b| b.amplitude.total_cmp(&a.amplitude));
    found.truncate(MOST);
    found.sort_by(|a, b| a.hz.total_cmp(&b.hz));
    let all: f64 = power[lowest..].iter().sum();
    let share = if all > 0.0 { (in_peaks / all).min(1.0) } else { 0.0 };
    Peaks { peaks: found, resolution_hz: 2.0 * rate_hz / length as f64, share, work: size as u64 }
}

fn powers(samples: &[f64], size: usize) -> Vec<f64> {
    let forward = RealFftPlanner::<f64>::new().plan_fft_forward(size);
    let mut input = forward.make_input_vec();
    // Hann's window by a turning phasor: a sine for each sample would take longer than the transform.
    let turn = Complex::from_polar(1.0, 2.0 * PI / samples.len() as f64);
    let mut phasor = Complex::from_polar(1.0, PI / samples.len() as f64);
    for (slot, &sample) in input.iter_mut().zip(samples) {
        *slot = sample * 0.5 * (1.0 - phasor.re);
        phasor *= turn;
    }
    let mut output = forward.make_output_vec();
    forward.process(&mut input, &mut output).expect("the lengths are the plan's own");
    output.iter().map(|bin| bin.norm_sqr()).collect()
}

/// Hann's window, `sin^2(pi (k + 1/2)/n)`: its sum is `n/2`.
pub(super) fn hann(k: usize, length: usize) -> f64 {
    let sine = (PI * (k as f64 + 0.5) / length as f64).sin();
    sine * sine
}

/// The middle of the powers around each bin, sampled on a grid: the noise there.
fn floors(power: &[f64], reach: usize) -> Vec<f64> {
    let step = (reach / 2).max(1);
    let mut grid = Vec::new();
    for centre in (0..power.len()).step_by(step) {
        let around = &power[centre.saturating_sub(reach)..(centre + reach).min(power.len())];
        // Every few bins are enough for a median.
        let mut some: Vec<f64> = around.iter().copied().step_by((around.len() / 64).max(1)).collect();
        let middle = some.len() / 2;
        grid.push(*some.select_nth_unstable_by(middle, f64::total_cmp).1);
    }
    (0..power.len()).map(|k| grid[k / step]).collect()
}

/// The top of a peak by a parabola through the logarithms of three bins (J. O. Smith, *Spectral Audio Signal Processing*,
/// "Quadratic Interpolation of Spectral Peaks"; from memory).
fn at(power: &[f64], k: usize, bin_hz: f64, length: usize) -> Peak {
    let [a, b, c] = [k - 1, k, k + 1].map(|k| power[k].max(f64::MIN_POSITIVE).ln());
    let bend = a - 2.0 * b + c;
    let shift = if bend < 0.0 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 };
    let top = (b - 0.25 * (a - c) * shift).exp().sqrt();
    // A sinusoid of amplitude A has A/2 times the sum of the window, n/2, at its frequency.
    Peak { hz: (k as f64 + shift) * bin_hz, amplitude: 4.0 * top / length as f64 }
}
