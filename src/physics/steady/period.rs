//! One period of the motion, with its derivatives: an implicit step that the stiff air cannot upset.

use nalgebra::{SMatrix, SVector};

use crate::physics::aperture::MODES;
use crate::physics::model::{ReedModel, STATES, State};

pub(super) type Vector = SVector<f64, STATES>;
pub(super) type Matrix = SMatrix<f64, STATES, STATES>;
type Stages = SVector<f64, { 2 * STATES }>;
type StageMatrix = SMatrix<f64, { 2 * STATES }, { 2 * STATES }>;
/// Derivatives by the first state, by the period and by the pressure.
pub(super) type Sensitivity = SMatrix<f64, STATES, { STATES + 2 }>;
type StageSensitivity = SMatrix<f64, { 2 * STATES }, { STATES + 2 }>;

/// Columns of [`Sensitivity`].
pub(super) const BY_PERIOD: usize = STATES;
/// See [`BY_PERIOD`].
pub(super) const BY_PRESSURE: usize = STATES + 1;

/// Two-stage Radau IIA: order three, damps what is too fast for the step, and adds no loss to the slow reed worth naming
/// (E. Hairer and G. Wanner, *Solving Ordinary Differential Equations II*, table 5.5).
const RADAU: [[f64; 2]; 2] = [[5.0 / 12.0, -1.0 / 12.0], [3.0 / 4.0, 1.0 / 4.0]];

/// The autonomous equations under a steady pressure, with every state in units that make it of order one.
pub(super) struct Motion<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) units: Vector,
    /// Evaluations of the equations and their derivatives so far.
    pub(super) evaluations: usize,
}

/// A state under way, with its rates where they are known already.
struct Here {
    state: Vector,
    slope: Option<Vector>,
}

/// A share of a period under a pressure.
#[derive(Clone, Copy)]
struct Stride {
    period_s: f64,
    pressure_pa: f64,
    share: f64,
}

/// A period walked through.
pub(super) struct Walk {
    /// The state at the start and after every step, in units.
    pub(super) states: Vec<Vector>,
    /// Derivatives of the last state.
    pub(super) sensitivity: Sensitivity,
}

impl Motion<'_> {
    pub(super) fn to_units(&self, state: &State) -> Vector {
        let (q, v) = (state.tip_m, state.speed_m_s);
        let si = [q[0], q[1], v[0], v[1], state.pressure_pa, state.channel_m3_s, state.mouth_pa];
        Vector::from(si).component_div(&self.units)
    }

    pub(super) fn to_state(&self, x: &Vector) -> State {
        let x = x.component_mul(&self.units);
        State { tip_m: [x[0], x[1]], speed_m_s: [x[2], x[3]], pressure_pa: x[4], channel_m3_s: x[5], mouth_pa: x[6] }
    }

    /// Rates and their derivatives by the states and by the pressure. Without a player the mouth pressure decays towards
    /// the pressure, so that every state has a way home.
    fn rates(&mut self, x: &Vector, pressure_pa: f64) -> (Vector, Matrix, Vector) {
        self.evaluations += 1;
        let state = self.to_state(x);
        let mut rates = self.to_units(&self.model.rates(&state, pressure_pa));
        let mut jacobian = self.model.jacobian(&state);
        let last = STATES - 1;
        let home = match &self.model.mouth {
            Some(player) => 1.0 / (player.resistance * player.compliance),
            None => {
                let rate = self.model.modes()[0].angular_frequency();
                rates[last] = rate * (pressure_pa / self.units[last] - x[last]);
                jacobian[(last, last)] = -rate;
                rate
            }
        };
        for i in 0..STATES {
            for j in 0..STATES {
                jacobian[(i, j)] *= self.units[j] / self.units[i];
            }
        }
        let mut by_pressure = Vector::zeros();
        by_pressure[last] = home / self.units[last];
        (rates, jacobian, by_pressure)
    }

    /// Walks one period in `steps` even steps; nothing where a step finds no solution.
    pub(super) fn walk(&mut self, from: &Vector, period_s: f64, pressure_pa: f64, steps: usize) -> Option<Walk> {
        let mut states = Vec::with_capacity(steps + 1);
        states.push(*from);
        let mut sensitivity = Sensitivity::zeros();
        sensitivity.fixed_view_mut::<STATES, STATES>(0, 0).copy_from(&Matrix::identity());
        let mut slope = None;
        for _ in 0..steps {
            let here = Here { state: states[states.len() - 1], slope };
            let next =
                self.advance(&here, Stride { period_s, pressure_pa, share: 1.0 / steps as f64 }, &mut sensitivity)?;
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
        let (from, pressure_pa, h) = (&here.state, stride.pressure_pa, stride.period_s * stride.share);
        let mut slope = here.slope.unwrap_or_else(|| self.rates(from, pressure_pa).0);
        // The reed goes on as it goes; the air is too fast to be foretold from its rate.
        slope.fixed_rows_mut::<{ STATES - 2 * MODES }>(2 * MODES).fill(0.0);
        let mut stages = [from + slope * (h / 3.0), from + slope * h];
        for round in 0..30 {
            let found = stages.map(|stage| self.rates(&stage, pressure_pa));
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

/// Implicit differentiation of the step: the same matrix, with the start, the period and the pressure on the right.
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
        let by_pressure = (found[0].2 * row[0] + found[1].2 * row[1]) * (stride.period_s * stride.share);
        let mut column = part.column_mut(BY_PERIOD);
        column += by_period;
        let mut column = part.column_mut(BY_PRESSURE);
        column += by_pressure;
        right.fixed_rows_mut::<STATES>(i * STATES).copy_from(&part);
    }
    if let Some(both) = lu.solve(&right) {
        sensitivity.copy_from(&both.fixed_rows::<STATES>(STATES));
    }
}
