//! A periodic orbit: Newton's iteration on the state at its start, its period and its parameter.

use nalgebra::{Const, LU, SMatrix, SVector};

use super::period::{BY_PARAMETER, BY_PERIOD, Equations, Matrix, STATES, Vector, Walk, Walker};
use crate::physics::condensed::SPEED;

const UNKNOWNS: usize = STATES + 2;
/// Start in units, logarithm of the period, logarithm of the parameter.
pub(super) type Unknowns = SVector<f64, UNKNOWNS>;
/// Derivatives of what has to close, taken apart.
pub(super) type Closing = LU<f64, Const<UNKNOWNS>, Const<UNKNOWNS>>;
/// Place of the logarithm of the period.
pub(super) const LN_PERIOD: usize = STATES;
/// Place of the logarithm of the parameter.
pub(super) const LN_PARAMETER: usize = STATES + 1;

/// What, besides closing upon itself, fixes an orbit: `row . unknowns = value`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Condition {
    pub(super) row: Unknowns,
    pub(super) value: f64,
}

impl Condition {
    /// One unknown has a given value.
    pub(super) fn fixed(place: usize, value: f64) -> Self {
        let mut row = Unknowns::zeros();
        row[place] = 1.0;
        Self { row, value }
    }
}

/// A closed orbit. It starts where the first mode turns round, furthest from the plate.
pub(super) struct Orbit {
    pub(super) unknowns: Unknowns,
    pub(super) walk: Walk,
    /// Newton's rounds it took.
    pub(super) rounds: usize,
}

impl Orbit {
    pub(super) fn period_s(&self) -> f64 {
        self.unknowns[LN_PERIOD].exp()
    }

    pub(super) fn parameter(&self) -> f64 {
        self.unknowns[LN_PARAMETER].exp()
    }

    /// Whether a small disturbance dies: every multiplier of the period is inside the unit circle, but for the one that
    /// only shifts the start.
    pub(super) fn is_stable(&self) -> bool {
        let monodromy: Matrix = self.walk.sensitivity.fixed_view::<STATES, STATES>(0, 0).into_owned();
        let multipliers = monodromy.complex_eigenvalues();
        let shift = (0..STATES).min_by(|&a, &b| {
            let off = |k: usize| (multipliers[k] - 1.0).norm();
            off(a).total_cmp(&off(b))
        });
        (0..STATES).filter(|&k| Some(k) != shift).all(|k| multipliers[k].norm() < 1.0)
    }
}

/// By how much a motion from a start to an end does not close, and how fast the first mode moves where it should turn round.
pub(super) fn unclosed(start: &Vector, end: &Vector) -> Unknowns {
    let mut residual = Unknowns::zeros();
    residual.fixed_rows_mut::<STATES>(0).copy_from(&(end - start));
    residual[STATES] = start[SPEED];
    residual
}

/// Derivatives of [`unclosed`] by the unknowns, and below them the condition.
pub(super) fn closing(walk: &Walk, at: &Unknowns, condition: &Condition) -> SMatrix<f64, UNKNOWNS, UNKNOWNS> {
    let (period, parameter) = (at[LN_PERIOD].exp(), at[LN_PARAMETER].exp());
    let mut matrix = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::zeros();
    matrix.fixed_view_mut::<STATES, UNKNOWNS>(0, 0).copy_from(&walk.sensitivity);
    for i in 0..STATES {
        matrix[(i, i)] -= 1.0;
        matrix[(i, BY_PERIOD)] *= period;
        matrix[(i, BY_PARAMETER)] *= parameter;
    }
    matrix[(STATES, SPEED)] = 1.0;
    matrix.row_mut(STATES + 1).copy_from(&condition.row.transpose());
    matrix
}

/// The unknowns of a start, a period (s) and a parameter.
pub(super) fn unknowns(start: &Vector, period_s: f64, parameter: f64) -> Unknowns {
    let mut all = Unknowns::zeros();
    all.fixed_rows_mut::<STATES>(0).copy_from(start);
    all[LN_PERIOD] = period_s.ln();
    all[LN_PARAMETER] = parameter.ln();
    all
}

impl<E: Equations> Walker<E> {
    /// The orbit near a guess that meets a condition; nothing where Newton's iteration does not find it.
    pub(super) fn orbit(&mut self, guess: &Unknowns, condition: &Condition, steps: usize) -> Option<Orbit> {
        const TOLERANCE: f64 = 1e-7;
        const LONGEST: f64 = 0.5;
        let mut z = *guess;
        for rounds in 1..=14 {
            let (period, parameter) = (z[LN_PERIOD].exp(), z[LN_PARAMETER].exp());
            let start: Vector = z.fixed_rows::<STATES>(0).into_owned();
            let walk = self.walk(&start, period, parameter, steps)?;
            let mut residual = unclosed(&start, &walk.states[steps]);
            residual[STATES + 1] = condition.row.dot(&z) - condition.value;
            let change = closing(&walk, &z, condition).lu().solve(&residual)?;
            let size = change[LN_PERIOD].abs().max(change[LN_PARAMETER].abs());
            let motion = change[0].abs() / walk.states.iter().map(|x| x[0].abs()).fold(1e-12, f64::max);
            if size.max(motion) < TOLERANCE {
                return Some(Orbit { unknowns: z, walk, rounds });
            }
            z -= change * (LONGEST / size.max(motion)).min(1.0);
            if !z.iter().all(|value| value.is_finite()) {
                return None;
            }
        }
        None
    }
}
