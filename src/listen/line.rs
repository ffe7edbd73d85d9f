//! A straight line through values at equal steps of time whose noise overlaps from one to the next, and how well its slope is
//! known: by the scatter of the values, or by their spectrum where they wander more slowly than
//! noise does.

use std::f64::consts::TAU;

use realfft::num_complex::Complex;

use super::estimate::Estimate;
use super::spectrum::hann;

/// Correlation of the noise in neighbouring Hann windows that overlap by half: `sum w(k) w(k + n/2)/sum w(k)^2 = 1/6` (F. J.
/// Harris, *Proc. IEEE* 66, 1978, table 1).
const OVERLAP: f64 = 1.0 / 6.0;
/// The frequencies, whole cycles in the stretch, whose power line and bend take off.
const SLOWEST: usize = 3;
/// Each of them tells its power with two degrees of freedom.
const FREEDOM_OF_WANDERING: f64 = 2.0 * SLOWEST as f64;
/// Fewest values of which anything can be told.
pub(super) const FEWEST: usize = 6;

/// A line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// Slope (1/s): of the values, weighted.
    pub(super) slope: Estimate,
    /// Standard deviation of the weighted times (s).
    pub(super) spread_s: f64,
    /// Twice the coefficient of the square (1/s2): how fast the slope changes.
    pub(super) bend: Estimate,
    /// Standard deviation of the slope about its drift (1/s), where the values wander more slowly than noise would.
    pub(super) wandering: Option<f64>,
}

/// Fits one to values at the times `k step_s` with weights (one over their variances, to a common factor). None for too few.
///
/// The bend is fitted beside the line: its variance must not count as noise, while the slope of the line alone is the mean
/// slope of the values.
pub(super) fn line(step_s: f64, values: &[f64], weights: &[f64]) -> Option<Line> {
    let n = values.len();
    let total: f64 = weights.iter().sum();
    if n < FEWEST || !(total > 0.0 && total.is_finite()) {
        return None;
    }
    let mean = |f: &dyn Fn(usize) -> f64| (0..n).map(|k| weights[k] * f(k)).sum::<f64>() / total;
    let centre = mean(&|k| k as f64);
    let x = |k: usize| (k as f64 - centre) * step_s;
    let spread = mean(&|k| x(k) * x(k));
    let middle = mean(&|k| values[k]);
    let slope = mean(&|k| x(k) * (values[k] - middle)) / spread;
    // The square made orthogonal to constant and line.
    let skew = mean(&|k| x(k).powi(3)) / spread;
    let square = |k: usize| x(k) * x(k) - spread - skew * x(k);
    let spread_of_square = mean(&|k| square(k).powi(2));
    let curve = mean(&|k| square(k) * (values[k] - middle)) / spread_of_square;
    let left: Vec<f64> = (0..n).map(|k| values[k] - middle - slope * x(k) - curve * square(k)).collect();
    let whitened: Vec<f64> = (0..n).map(|k| weights[k].sqrt() * left[k]).collect();
    let sum: f64 = whitened.iter().map(|r| r * r).sum();
    let excess = 1.0 + 2.0 * OVERLAP;
    let freedom = n as f64 - 3.0 * excess;
    let variance = sum / freedom;
    let error = |basis: &dyn Fn(usize) -> f64, spread: f64| {
        let neighbours: f64 = (1..n).map(|k| (weights[k] * weights[k - 1]).sqrt() * basis(k) * basis(k - 1)).sum();
        (variance * (1.0 + 2.0 * OVERLAP * neighbours / (total * spread)) / (total * spread)).sqrt()
    };
    let by_noise = error(&x, spread);
    let wanders = is_coloured(&whitened, sum);
    let mut of_slope = Estimate::new(slope, by_noise, freedom);
    if wanders {
        let basis: Vec<f64> = (0..n).map(|k| weights[k].sqrt() * x(k)).collect();
        let error = by_spectrum(&basis, &whitened, total * spread);
        of_slope = Estimate::new(slope, error.max(by_noise), FREEDOM_OF_WANDERING);
    }
    Some(Line {
        slope: of_slope,
        spread_s: spread.sqrt(),
        bend: Estimate::new(2.0 * curve, 2.0 * error(&square, spread_of_square), freedom),
        wandering: wanders.then(|| steepness(&left, step_s)),
    })
}

/// Root mean square of the slopes between values two steps apart.
fn steepness(left: &[f64], step_s: f64) -> f64 {
    let squares = left.windows(3).map(|three| ((three[2] - three[0]) / (2.0 * step_s)).powi(2));
    (squares.sum::<f64>() / (left.len() - 2) as f64).sqrt()
}

/// Whether neighbours are more alike than overlapping windows make them: the ratio of J. von Neumann (*Ann. Math. Statist.*
/// 12, 1941), 2 for independent values, with a standard deviation of about `2/sqrt(n)`.
fn is_coloured(whitened: &[f64], sum: f64) -> bool {
    let steps: f64 = whitened.windows(2).map(|pair| (pair[1] - pair[0]).powi(2)).sum();
    let expected = 2.0 * (1.0 - OVERLAP);
    sum > 0.0 && steps / sum < expected - 2.5 * 2.0 / (whitened.len() as f64).sqrt()
}

/// The standard error of the slope where the values wander: as of a random process with the spectrum of what line and bend
/// leave, `var = sum over i, j of x_i x_j c(i - j)/(sum of x^2)^2`, summed over frequencies. Vibrato is such a process: it
/// moves the mean pitch by the part of a swing that the stretch does not complete.
fn by_spectrum(x: &[f64], left: &[f64], total: f64) -> f64 {
    let n = left.len();
    let tapered: Vec<f64> = left.iter().enumerate().map(|(k, r)| r * hann(k, n)).collect();
    // The mean square of Hann's window is 3/8.
    let power = |k: usize| at(&tapered, k) / (0.375 * n as f64);
    let mut powers: Vec<f64> = (1..=n / 2).map(power).collect();
    // The slowest wandering looks like line and bend and was taken off with them; it is taken to be as strong as the next.
    let slowest = powers.iter().take(SLOWEST).copied().fold(0.0, f64::max);
    powers.iter_mut().take(SLOWEST).for_each(|power| *power = slowest);
    let sum: f64 = powers.iter().enumerate().map(|(k, power)| 2.0 * power * at(x, k + 1)).sum();
    (sum / n as f64).sqrt() / total
}

/// Squared size of the Fourier sum at the `k`-th frequency.
fn at(values: &[f64], k: usize) -> f64 {
    let turn = Complex::from_polar(1.0, -TAU * k as f64 / values.len() as f64);
    let step = |(sum, phasor): (Complex<f64>, Complex<f64>), value: &f64| (sum + phasor * *value, phasor * turn);
    values.iter().fold((Complex::new(0.0, 0.0), Complex::new(1.0, 0.0)), step).0.norm_sqr()
}
