//! Loss and leak that explain best what was measured: Gauss and Newton's method with the information matrix beside it.
//!
//! The unknowns are `y = ln Q` of the set, one departure `d` from it for each tongue in its fastening, one stray leak `a`
//! for each reed. With residuals `r` in units of their doubt and `J` the derivatives of the model, a step solves
//! `(J'J + P) step = J'r + P (assumed - x)`. `P` holds what is assumed: `y` near what the sheet assumes, within the plausible
//! range four times in five; every `d` within the scatter; every `a` near what was stated, within [`LEAK_DOUBT_M2`]. The
//! scatter is found from the data with [`SCATTER`] counting like [`SCATTER_WEIGHT`] reeds (expectation and maximisation).
//! A leak is never below zero: one that wants to be is held there.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use rayon::prelude::*;

use super::blow::{BlowGroup, OnsetOf};
use super::evidence::Evidence;
use crate::physics::coefficients::PLAUSIBLE_SHARES;

/// How far a stray leak that nobody measured may lie from what was stated (m2; assumed).
pub const LEAK_DOUBT_M2: f64 = 0.5e-6;
/// Scatter of loss from reed to reed, of the logarithm of the quality factor (assumed until ring-downs tell).
pub const SCATTER: f64 = 0.25;
/// As how many reeds that assumption counts.
pub const SCATTER_WEIGHT: f64 = 6.0;
/// Standard deviations of a normal distribution that hold four of five.
pub const FOUR_OF_FIVE: f64 = 1.281_551_565_544_600_4;

const MOST_STEPS: usize = 60;
const MOST_HALVINGS: usize = 12;
/// Accuracy of logarithms, and of leaks in mm2, at which the steps end.
const ACCURACY: f64 = 1e-5;
/// Relative accuracy of the scatter, which comes nearer by some tenfold with each step.
const SCATTER_ACCURACY: f64 = 1e-3;
/// Round-off of the sum of squares: onsets are known to 1e-7, in units of a doubt of some hundredths.
const ROUND_OFF: f64 = 1e-5;
/// Leaks are in mm2 here, so that all unknowns are of order one.
const MM2: f64 = 1e-6;
/// Doubt that is no knowledge at all, of logarithms and of leaks in mm2.
const NO_KNOWLEDGE: f64 = 100.0;

/// How far the assumed loss of a set may be off, of the logarithm of the quality factor.
pub(super) fn loss_doubt() -> f64 {
    let (low, high) = PLAUSIBLE_SHARES;
    0.5 * (high / low).ln() / FOUR_OF_FIVE
}

/// The unknowns found.
#[derive(Debug, Clone)]
pub(super) struct Solution {
    losses: usize,
    x: DVector<f64>,
    covariance: DMatrix<f64>,
    /// The same from the data and the scatter alone.
    by_data: DMatrix<f64>,
    pub(super) scatter: f64,
    pub(super) converged: bool,
    pub(super) steps: usize,
    pub(super) onsets: usize,
}

/// Residuals in units of their doubt, and the derivatives of the model.
struct Linear {
    residuals: DVector<f64>,
    jacobian: DMatrix<f64>,
}

struct Problem<'a> {
    evidence: &'a Evidence,
    assumed: DVector<f64>,
}

/// Fits.
pub(super) fn solve(evidence: &Evidence) -> Solution {
    let leaks = evidence.assumed_leak_m2.iter().map(|area| area / MM2);
    let head = std::iter::once(evidence.assumed_quality.ln()).chain(std::iter::repeat_n(0.0, evidence.losses));
    let assumed = DVector::from_iterator(1 + evidence.losses + evidence.assumed_leak_m2.len(), head.chain(leaks));
    Problem { evidence, assumed }.solve()
}

impl Problem<'_> {
    fn solve(&self) -> Solution {
        let (mut x, mut scatter) = (self.assumed.clone(), SCATTER);
        // From where every reed of the model speaks.
        x[0] = self.evidence.blows.iter().map(|group| group.speaks_with).fold(x[0], f64::max);
        let (mut steps, mut onsets, mut converged) = (0, 0, false);
        let mut here = self.linear(&x, &mut onsets);
        while let (Some(linear), false, true) = (&here, converged, steps < MOST_STEPS) {
            steps += 1;
            let precision = self.precision(scatter, false);
            let (next, moved, next_linear) = self.step(&x, linear, &precision, &mut onsets);
            x = next;
            let next_scatter =
                next_linear.as_ref().map_or(scatter, |linear| self.scatter(&x, linear, &precision, scatter));
            converged = moved < ACCURACY && (next_scatter / scatter - 1.0).abs() < SCATTER_ACCURACY;
            scatter = next_scatter;
            here = next_linear;
        }
        let information =
            here.map_or_else(|| DMatrix::zeros(x.len(), x.len()), |linear| linear.jacobian.tr_mul(&linear.jacobian));
        let inverse = |weak: bool| inverse(&information + DMatrix::from_diagonal(&self.precision(scatter, weak)));
        let losses = self.evidence.losses;
        Solution { losses, covariance: inverse(false), by_data: inverse(true), x, scatter, converged, steps, onsets }
    }

    /// One step, halved until it is downhill: where it leads, how far, and the model there.
    fn step(
        &self,
        x: &DVector<f64>,
        linear: &Linear,
        precision: &DVector<f64>,
        onsets: &mut usize,
    ) -> (DVector<f64>, f64, Option<Linear>) {
        let pull = linear.jacobian.tr_mul(&linear.residuals) + precision.component_mul(&(&self.assumed - x));
        let mut matrix = linear.jacobian.tr_mul(&linear.jacobian) + DMatrix::from_diagonal(precision);
        let mut right = pull.clone();
        let is_leak = |k: usize| k > self.evidence.losses;
        for k in (0..x.len()).filter(|&k| is_leak(k) && x[k] <= 0.0 && pull[k] <= 0.0) {
            matrix.row_mut(k).fill(0.0);
            matrix.column_mut(k).fill(0.0);
            (matrix[(k, k)], right[k]) = (1.0, 0.0);
        }
        let Some(full) = Cholesky::new(matrix).map(|factor| factor.solve(&right)) else {
            return (x.clone(), 0.0, None);
        };
        let cost = |x: &DVector<f64>, linear: &Linear| {
            let off = x - &self.assumed;
            linear.residuals.norm_squared() + precision.component_mul(&off).dot(&off)
        };
        let before = cost(x, linear);
        let mut share = 1.0;
        for _ in 0..MOST_HALVINGS {
            let mut next = x + share * &full;
            (0..next.len()).filter(|&k| is_leak(k)).for_each(|k| next[k] = next[k].max(0.0));
            let found =
                self.linear(&next, onsets).filter(|linear| cost(&next, linear) <= before + ROUND_OFF * (1.0 + before));
            if let Some(found) = found {
                let moved = (&next - x).amax();
                return (next, moved, Some(found));
            }
            share *= 0.5;
        }
        (x.clone(), 0.0, Some(Linear { residuals: linear.residuals.clone(), jacobian: linear.jacobian.clone() }))
    }

    /// What is assumed, as a diagonal of precisions; weak: of the scatter only.
    fn precision(&self, scatter: f64, weak: bool) -> DVector<f64> {
        let losses = self.evidence.losses;
        let doubt = |k: usize| match k {
            _ if (1..=losses).contains(&k) => scatter,
            _ if weak => NO_KNOWLEDGE,
            0 => loss_doubt(),
            _ => LEAK_DOUBT_M2 / MM2,
        };
        DVector::from_fn(self.assumed.len(), |k, _| doubt(k).powi(-2))
    }

    fn scatter(&self, x: &DVector<f64>, linear: &Linear, precision: &DVector<f64>, before: f64) -> f64 {
        let covariance = inverse(linear.jacobian.tr_mul(&linear.jacobian) + DMatrix::from_diagonal(precision));
        let losses = self.evidence.losses;
        let squares: f64 = (1..=losses).map(|k| x[k] * x[k] + covariance[(k, k)]).sum();
        let found = ((SCATTER_WEIGHT * SCATTER * SCATTER + squares) / (SCATTER_WEIGHT + losses as f64)).sqrt();
        if found.is_finite() { found } else { before }
    }

    /// The model at `x`; nothing where a reed of it does not speak there.
    fn linear(&self, x: &DVector<f64>, onsets: &mut usize) -> Option<Linear> {
        let evidence = self.evidence;
        let groups: Vec<Option<Linear>> = evidence.blows.par_iter().map(|group| self.of_blows(group, x)).collect();
        *onsets += OnsetOf::SLOPES * evidence.blows.iter().map(|group| group.blows.len()).sum::<usize>();
        let mut parts = groups.into_iter().collect::<Option<Vec<Linear>>>()?;
        parts.push(self.of_the_rest(x));
        let rows = parts.iter().map(|part| part.residuals.len()).sum();
        let (mut residuals, mut jacobian) = (DVector::zeros(rows), DMatrix::zeros(rows, x.len()));
        let mut from = 0;
        for part in &parts {
            let count = part.residuals.len();
            residuals.rows_mut(from, count).copy_from(&part.residuals);
            jacobian.rows_mut(from, count).copy_from(&part.jacobian);
            from += count;
        }
        Some(Linear { residuals, jacobian })
    }

    fn of_blows(&self, group: &BlowGroup, x: &DVector<f64>) -> Option<Linear> {
        let count = group.blows.len();
        let (mut off, mut jacobian) = (group.measured(), DMatrix::zeros(count, x.len()));
        for (k, blow) in group.blows.iter().enumerate() {
            let (loss, leak) = (1 + blow.loss, 1 + self.evidence.losses + blow.leak);
            let [ln_onset, by_quality, by_leak] = blow.reed.slopes(x[0] + x[loss], x[leak] * MM2)?;
            off[k] -= ln_onset;
            (jacobian[(k, 0)], jacobian[(k, loss)], jacobian[(k, leak)]) = (by_quality, by_quality, by_leak * MM2);
        }
        let off = DMatrix::from_column_slice(count, 1, off.as_slice());
        Some(Linear { residuals: group.whitened(&off).column(0).into_owned(), jacobian: group.whitened(&jacobian) })
    }

    /// Ring-downs and leak tests.
    fn of_the_rest(&self, x: &DVector<f64>) -> Linear {
        let (rings, tests) = (&self.evidence.rings, &self.evidence.leak_tests);
        let rows = rings.len() + tests.len();
        let (mut residuals, mut jacobian) = (DVector::zeros(rows), DMatrix::zeros(rows, x.len()));
        for (k, ring) in rings.iter().enumerate() {
            let quality = (x[0] + x[1 + ring.loss]).exp();
            residuals[k] = (ring.quality_factor - quality) / ring.tolerance;
            jacobian[(k, 0)] = quality / ring.tolerance;
            jacobian[(k, 1 + ring.loss)] = quality / ring.tolerance;
        }
        for (k, test) in tests.iter().enumerate() {
            let (k, leak) = (rings.len() + k, 1 + self.evidence.losses + test.leak);
            residuals[k] = (test.area_m2 - x[leak] * MM2) / test.tolerance_m2;
            jacobian[(k, leak)] = MM2 / test.tolerance_m2;
        }
        Linear { residuals, jacobian }
    }
}

fn inverse(matrix: DMatrix<f64>) -> DMatrix<f64> {
    let size = matrix.nrows();
    // What is assumed makes it positive; round-off alone could deny it, and then nothing is known.
    let unknown = || DMatrix::identity(size, size) * NO_KNOWLEDGE * NO_KNOWLEDGE;
    Cholesky::<f64, Dyn>::new(matrix).map_or_else(unknown, |factor| factor.inverse())
}

/// A value with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub(super) value: f64,
    pub(super) error: f64,
}

/// How loss and leak of one reed hang together.
#[derive(Debug, Clone, Copy)]
pub(super) struct Both {
    /// Covariance of the logarithm of the quality factor and of the stray leak (m2).
    pub(super) covariance_m2: f64,
    /// Covariance from the data alone, loss and leak each in units of the doubt assumed: a nearly null direction of the
    /// information has a variance above one.
    pub(super) by_data: [[f64; 2]; 2],
}

impl Solution {
    /// Logarithm of the quality factor of the set.
    pub(super) fn common(&self) -> Found {
        Found { value: self.x[0], error: self.covariance[(0, 0)].sqrt() }
    }

    /// Logarithm of the quality factor of a tongue; of none in particular where nothing was measured of it.
    pub(super) fn ln_quality(&self, loss: Option<usize>) -> Found {
        let Some(loss) = loss.map(|loss| 1 + loss) else {
            let common = self.common();
            return Found { error: common.error.hypot(self.scatter), ..common };
        };
        let error = variance(&self.covariance, &[0, loss], &[0, loss]).max(0.0).sqrt();
        Found { value: self.x[0] + self.x[loss], error }
    }

    /// Stray leak (m2).
    pub(super) fn leak_m2(&self, leak: usize) -> Found {
        let k = 1 + self.losses + leak;
        Found { value: MM2 * self.x[k], error: MM2 * self.covariance[(k, k)].sqrt() }
    }

    /// Loss and leak together.
    pub(super) fn both(&self, loss: usize, leak: usize) -> Both {
        let (of_loss, of_leak) = ([0, 1 + loss], [1 + self.losses + leak]);
        let (loss_unit, leak_unit) = (loss_doubt(), LEAK_DOUBT_M2 / MM2);
        let data = |a: &[usize], b: &[usize], unit: f64| variance(&self.by_data, a, b) / unit;
        let mixed = data(&of_loss, &of_leak, loss_unit * leak_unit);
        Both {
            covariance_m2: MM2 * variance(&self.covariance, &of_loss, &of_leak),
            by_data: [
                [data(&of_loss, &of_loss, loss_unit * loss_unit), mixed],
                [mixed, data(&of_leak, &of_leak, leak_unit * leak_unit)],
            ],
        }
    }
}

/// Covariance of two sums of unknowns.
fn variance(covariance: &DMatrix<f64>, a: &[usize], b: &[usize]) -> f64 {
    a.iter().flat_map(|&i| b.iter().map(move |&j| covariance[(i, j)])).sum()
}
