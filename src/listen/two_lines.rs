//! Two sinusoids in one slow complex signal, by least squares.

use std::f64::consts::TAU;

use realfft::num_complex::Complex;

use super::beat::phasors;
use super::spectrum::hann;

/// Fewest frames in which two lines can be told.
const FEWEST: usize = 12;
/// Two lines are at least so many widths of a line apart to be told from one that wanders.
const APART: f64 = 1.5;
/// Points of the search in a width of a line.
const FINE: usize = 3;
/// Steps of Gauss and Newton.
const STEPS: usize = 8;
/// The second line has so many times the power that noise would give it.
const STANDS_OUT: f64 = 25.0;
/// Two lines leave less than this share of the power of the second, or what noise leaves of a clear first (24 dB below it).
const LEFT: f64 = 0.3;
const NOISY: f64 = 0.004;
/// Variance that overlapping windows add to a frequency: the noise of neighbours is correlated by 1/6.
const OVERLAP: f64 = 4.0 / 3.0;
/// Unknowns: two frequencies, two complex amplitudes.
const UNKNOWNS: usize = 6;

/// Two lines, the stronger first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TwoLines {
    pub(super) hz: [f64; 2],
    pub(super) amplitude: [Complex<f64>; 2],
    /// Standard errors of the frequencies.
    pub(super) error_hz: [f64; 2],
    /// That of their difference.
    pub(super) beat_error_hz: f64,
    /// Size of what lies as far on the other side of the first as the second does on its, against the second.
    pub(super) mirrored: f64,
    pub(super) freedom: f64,
    /// Frames in which they were found.
    pub(super) count: usize,
}

impl TwoLines {
    pub(super) fn beat_hz(&self) -> f64 {
        self.hz[1] - self.hz[0]
    }

    pub(super) fn ratio(&self) -> f64 {
        self.amplitude[1].norm() / self.amplitude[0].norm()
    }
}

/// Finds two lines, where a second one stands out of what the first leaves.
pub(super) fn two_lines(z: &[Complex<f64>], step_s: f64) -> Option<TwoLines> {
    let count = z.len();
    if count < FEWEST {
        return None;
    }
    let width_hz = 1.0 / (count as f64 * step_s);
    let first = strongest(z, step_s, |_| true)?;
    let left = without(z, step_s, first);
    let second = strongest(&left, step_s, |hz| (hz - first).abs() >= APART * width_hz)?;
    let mut hz = [first, second];
    let mut fit = Fit::of(z, step_s, hz)?;
    for _ in 0..STEPS {
        let next = [hz[0] + fit.shift_hz[0], hz[1] + fit.shift_hz[1]];
        if (next[0] - next[1]).abs() < 0.5 * APART * width_hz {
            return None;
        }
        hz = next;
        fit = Fit::of(z, step_s, hz)?;
    }
    let stands_out = fit.amplitude[1].norm_sqr() * count as f64 > STANDS_OUT * fit.variance;
    let converged = fit.shift_hz.iter().all(|shift| shift.abs() < 0.1 * width_hz);
    // What is left is less than the second line: else there are more lines than two, as of wide vibrato.
    let explains = fit.variance < LEFT * fit.amplitude[1].norm_sqr() + NOISY * fit.amplitude[0].norm_sqr();
    if !(stands_out && converged && explains) || fit.amplitude[1].norm() > fit.amplitude[0].norm() * 1.5 {
        return None;
    }
    let mirror = amplitude(&fit.left, step_s, 2.0 * hz[0] - hz[1]).norm();
    let mirrored = mirror / fit.amplitude[1].norm();
    let Fit { amplitude, error_hz, beat_error_hz, .. } = fit;
    Some(TwoLines { hz, amplitude, error_hz, beat_error_hz, mirrored, freedom: 2.0 * count as f64 - 6.0, count })
}

/// The mean of the signal against a phasor.
fn amplitude(z: &[Complex<f64>], step_s: f64, hz: f64) -> Complex<f64> {
    z.iter().zip(phasors(hz, step_s, z.len())).map(|(z, phasor)| z * phasor.conj()).sum::<Complex<f64>>()
        / z.len() as f64
}

fn without(z: &[Complex<f64>], step_s: f64, hz: f64) -> Vec<Complex<f64>> {
    let line = amplitude(z, step_s, hz);
    z.iter().zip(phasors(hz, step_s, z.len())).map(|(z, phasor)| z - line * phasor).collect()
}

/// The frequency of the strongest line under a Hann window, among those that are allowed.
fn strongest(z: &[Complex<f64>], step_s: f64, allowed: impl Fn(f64) -> bool) -> Option<f64> {
    let count = z.len();
    let windowed: Vec<Complex<f64>> = z.iter().enumerate().map(|(k, z)| z * hann(k, count)).collect();
    let grid = FINE * count;
    let frequency = |k: usize| (k as f64 / grid as f64 - 0.5) / step_s;
    // Nearer to the edges a line could be the image of one beyond.
    let inner = (grid / 10..grid - grid / 10).map(frequency).filter(|&hz| allowed(hz));
    let size = |hz: f64| {
        let turn = Complex::from_polar(1.0, -TAU * hz * step_s);
        let add = |(sum, phasor): (Complex<f64>, Complex<f64>), z: &Complex<f64>| (sum + z * phasor, phasor * turn);
        windowed.iter().fold((Complex::new(0.0, 0.0), Complex::new(1.0, 0.0)), add).0.norm_sqr()
    };
    inner.map(|hz| (hz, size(hz))).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(hz, _)| hz)
}

/// One step of least squares about two frequencies.
struct Fit {
    amplitude: [Complex<f64>; 2],
    shift_hz: [f64; 2],
    error_hz: [f64; 2],
    beat_error_hz: f64,
    /// Mean power of what is left.
    variance: f64,
    left: Vec<Complex<f64>>,
}

impl Fit {
    fn of(z: &[Complex<f64>], step_s: f64, hz: [f64; 2]) -> Option<Self> {
        let lines = hz.map(|hz| phasors(hz, step_s, z.len()).collect::<Vec<_>>());
        let amplitude = amplitudes(z, &lines)?;
        let left: Vec<Complex<f64>> =
            (0..z.len()).map(|k| z[k] - amplitude[0] * lines[0][k] - amplitude[1] * lines[1][k]).collect();
        let (mut normal, mut right) = ([[0.0; UNKNOWNS]; UNKNOWNS], [0.0; UNKNOWNS]);
        let i = Complex::new(0.0, 1.0);
        let middle = 0.5 * (z.len() - 1) as f64;
        for k in 0..z.len() {
            let t = (k as f64 - middle) * step_s;
            let [a, b] = [lines[0][k], lines[1][k]];
            let row = [amplitude[0] * a * i * TAU * t, amplitude[1] * b * i * TAU * t, a, a * i, b, b * i];
            for m in 0..UNKNOWNS {
                right[m] += (row[m].conj() * left[k]).re;
                for n in 0..UNKNOWNS {
                    normal[m][n] += (row[m].conj() * row[n]).re;
                }
            }
        }
        let variance = left.iter().map(Complex::norm_sqr).sum::<f64>() / (z.len() as f64 - 3.0);
        let shift = solved(normal, right)?;
        // The covariance of the frequencies is the inverse of the normal matrix times the variance of one part of the noise.
        let column = |n: usize| solved(normal, std::array::from_fn(|m| if m == n { 1.0 } else { 0.0 }));
        let (first, second) = (column(0)?, column(1)?);
        let error = |inverse: f64| (0.5 * OVERLAP * variance * inverse).max(0.0).sqrt();
        Some(Self {
            amplitude,
            shift_hz: [shift[0], shift[1]],
            error_hz: [error(first[0]), error(second[1])],
            beat_error_hz: error(first[0] + second[1] - 2.0 * first[1]),
            variance,
            left,
        })
    }
}

/// The amplitudes of two lines of known frequencies.
fn amplitudes(z: &[Complex<f64>], lines: &[Vec<Complex<f64>>; 2]) -> Option<[Complex<f64>; 2]> {
    let count = z.len() as f64;
    let against = |k: usize| lines[k].iter().zip(z).map(|(line, z)| line.conj() * z).sum::<Complex<f64>>();
    let cross: Complex<f64> = lines[0].iter().zip(&lines[1]).map(|(a, b)| a.conj() * b).sum();
    let [a, b] = [against(0), against(1)];
    let determinant = count * count - cross.norm_sqr();
    let solution = [(a * count - cross * b) / determinant, (b * count - cross.conj() * a) / determinant];
    (determinant > 1e-6 * count * count).then_some(solution)
}

/// Gauss's elimination with the largest pivot.
fn solved(mut matrix: [[f64; UNKNOWNS]; UNKNOWNS], mut right: [f64; UNKNOWNS]) -> Option<[f64; UNKNOWNS]> {
    for column in 0..UNKNOWNS {
        let pivot = (column..UNKNOWNS).max_by(|&a, &b| matrix[a][column].abs().total_cmp(&matrix[b][column].abs()))?;
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        if matrix[column][column] == 0.0 || !matrix[column][column].is_finite() {
            return None;
        }
        for row in column + 1..UNKNOWNS {
            let factor = matrix[row][column] / matrix[column][column];
            #[allow(clippy::needless_range_loop)] // One row is changed by another of the same matrix.
            for k in column..UNKNOWNS {
                matrix[row][k] -= factor * matrix[column][k];
            }
            right[row] -= factor * right[column];
        }
    }
    for row in (0..UNKNOWNS).rev() {
        let known: f64 = (row + 1..UNKNOWNS).map(|k| matrix[row][k] * right[k]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    Some(right)
}
