//! One period of the motion, with its derivatives: an implicit step that the stiff air cannot upset.

use nalgebra::{SMatrix, SVector};

use crate::physics::aperture::MODES;
use crate::physics::model::State;

/// Values of a state.
pub(super) const STATES: usize = State::COUNT;

pub(super) type Vector = SVector<f64, STATES>;
pub(super) type Matrix = SMatrix<f64, STATES, STATES>;
type Stages = SVector<f64, { 2 * STATES }>;
type StageMatrix = SMatrix<f64, { 2 * STATES }, { 2 * STATES }>;
/// Derivatives by the first state, by the period and by the parameter.
pub(super) type Sensitivity = SMatrix<f64, STATES, { STATES + 2 }>;
type StageSensitivity = SMatrix<f64, { 2 * STATES }, { STATES + 2 }>;

/// Columns of [`Sensitivity`].
pub(super) const BY_PERIOD: usize = STATES;
/// See [`BY_PERIOD`].
pub(super) const BY_PARAMETER: usize = STATES + 1;

/// Two-stage Radau IIA: order three, damps what is too fast for the step, and adds no loss to the slow reed worth naming
/// (E. Hairer and G. Wanner, *Solving Ordinary Differential Equations II*, table 5.5).
const RADAU: [[f64; 2]; 2] = [[5.0 / 12.0, -1.0 / 12.0], [3.0 / 4.0, 1.0 / 4.0]];

/// Autonomous equations with one parameter above zero, every state in units that make it of order one.
pub(super) trait Equations {
    /// Rates, their derivatives by the states, and by the parameter.
    fn rates(&self, x: &Vector, parameter: f64) -> (Vector, Matrix, Vector);
}

/// Walks periods of the equations and counts the work.
pub(super) struct Walker<E> {
    pub(super) equations: E,
    /// Evaluations of the equations and their derivatives so far.
    pub(super) evaluations: usize,
}

/// A state under way, with its rates where they are known already.
struct Here {
    state: Vector,
    slope: Option<Vector>,
}

/// A share of a period.
#[derive(Clone, Copy)]
struct Stride {
    period_s: f64,
    parameter: f64,
    share: f64,
}

/// A period walked through.
pub(super) struct Walk {
    /// The state at the start and after every step, in units.
    pub(super) states: Vec<Vector>,
    /// Derivatives of the last state.
    pub(super) sensitivity: Sensitivity,
}

impl<E: Equations> Walker<E> {
    fn rates(&mut self, x: &Vector, parameter: f64) -> (Vector, Matrix, Vector) {
        self.evaluations += 1;
        self.equations.rates(x, parameter)
    }

    /// Walks one period in `steps` even steps; nothing where a step finds no solution.
    pub(super) fn walk(&mut self, from: &Vector, period_s: f64, parameter: f64, steps: usize) -> Option<Walk> {
        let mut states = Vec::with_capacity(steps + 1);
        states.push(*from);
        let mut sensitivity = Sensitivity::zeros();
        sensitivity.fixed_view_mut::<STATES, STATES>(0, 0).copy_from(&Matrix::identity());
        let mut slope = None;
        for _ in 0..steps {
            let here = Here { state: states[states.len() - 1], slope };
            let next =
                self.advance(&here, Stride { period_s, parameter, share: 1.0 / steps as f64 }, &mut sensitivity)?;
            slope = next.slope;
            states.push(next.state);
        }
        Some(Walk { states, sensitivity })
    }

    /// One step, cut in two where it finds no solution as a whole.
    fn advance(&mut self, here: &Here, stride: Stride, sensitivity: &mut Sensitivity) -> Option<Here> {
        const LEAST_SHARE: f64 = 1e-5;
        if let Some(next) = self.step(here, stride, sensitivity) {
            return Some(next);
        }
        let half = Stride { share: 0.5 * stride.share, ..stride };
        if half.share < LEAST_SHARE {
            return None;
        }
        let middle = self.advance(here, half, sensitivity)?;
        self.advance(&middle, half, sensitivity)
    }

    /// One step by Newton's iteration on both stages, and the sensitivities carried over it.
    fn step(&mut self, here: &Here, stride: Stride, sensitivity: &mut Sensitivity) -> Option<Here> {
        const TOLERANCE: f64 = 1e-9;
        let (from, parameter, h) = (&here.state, stride.parameter, stride.period_s * stride.share);
        let mut slope = here.slope.unwrap_or_else(|| self.rates(from, parameter).0);
        // The reed goes on as it goes; the air is too fast to be foretold from its rate.
        slope.fixed_rows_mut::<{ STATES - 2 * MODES }>(2 * MODES).fill(0.0);
        let mut stages = [from + slope * (h / 3.0), from + slope * h];
        for round in 0..30 {
            let found = stages.map(|stage| self.rates(&stage, parameter));
            let mut residual = Stages::zeros();
            let mut matrix = StageMatrix::identity();
            for (i, row) in RADAU.iter().enumerate() {
                let moved = (found[0].0 * row[0] + found[1].0 * row[1]) * h;
                residual.fixed_rows_mut::<STATES>(i * STATES).copy_from(&(stages[i] - from - moved));
                for (j, weight) in row.iter().enumerate() {
                    let mut block = matrix.fixed_view_mut::<STATES, STATES>(i * STATES, j * STATES);
                    block -= found[j].1 * (h * weight);
                }
            }
            let lu = matrix.lu();
            let change = lu.solve(&residual)?;
            // Far from the solution a full step can jump across a corner and back: half steps settle it.
            let share = if round < 12 { 1.0 } else { 0.5 };
            for (i, stage) in stages.iter_mut().enumerate() {
                *stage -= change.fixed_rows::<STATES>(i * STATES) * share;
            }
            if change.amax() < TOLERANCE {
                carry(sensitivity, &lu, &found, stride);
                return Some(Here { state: stages[1], slope: Some(found[1].0) });
            }
        }
        None
    }
}

/// Implicit differentiation of the step: the same matrix, with the start, the period and the parameter on the right.
fn carry(
    sensitivity: &mut Sensitivity,
    lu: &nalgebra::LU<f64, nalgebra::Const<{ 2 * STATES }>, nalgebra::Const<{ 2 * STATES }>>,
    found: &[(Vector, Matrix, Vector); 2],
    stride: Stride,
) {
    let mut right = StageSensitivity::zeros();
    for (i, row) in RADAU.iter().enumerate() {
        let mut part = *sensitivity;
        let by_period = (found[0].0 * row[0] + found[1].0 * row[1]) * stride.share;
        let by_parameter = (found[0].2 * row[0] + found[1].2 * row[1]) * (stride.period_s * stride.share);
        let mut column = part.column_mut(BY_PERIOD);
        column += by_period;
        let mut column = part.column_mut(BY_PARAMETER);
        column += by_parameter;
        right.fixed_rows_mut::<STATES>(i * STATES).copy_from(&part);
    }
    if let Some(both) = lu.solve(&right) {
        sensitivity.copy_from(&both.fixed_rows::<STATES>(STATES));
    }
}
