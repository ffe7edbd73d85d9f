//! Small motion about the static rest: growth rates and shapes.
//!
//! Coordinates are scaled so that half their squared length is energy (`sqrt(m_i) w_i q_i`, `sqrt(m_i) q_i'`, `sqrt(C) p`,
//! `sqrt(M) U_c`, `sqrt(C_m) p_m`) and time by the first frequency: the matrix is of order one and overlaps of its
//! eigenvectors mean shared energy.

use nalgebra::{Complex, ComplexField, SMatrix, SVector, Schur};

use super::aperture::MODES;
use super::equilibrium::Equilibrium;
use super::model::ReedModel;

const SIZE: usize = 7;
type Matrix = SMatrix<f64, SIZE, SIZE>;
type Vector = SVector<Complex<f64>, SIZE>;

/// One way the small motion grows or dies: `exp(growth t)` at a frequency.
#[derive(Debug, Clone, Copy)]
pub struct Eigenmode {
    /// Growth rate (1/s), positive where it grows.
    pub growth_per_s: f64,
    /// Frequency (Hz).
    pub frequency_hz: f64,
    /// Unit eigenvector in energy coordinates.
    vector: Vector,
}

impl Eigenmode {
    /// Share of the motion's energy in the reed's first bending mode, 0 to 1.
    pub fn first_mode_share(&self) -> f64 {
        self.vector[0].norm_sqr() + self.vector[MODES].norm_sqr()
    }

    /// Overlap with another, 0 to 1.
    pub fn overlap(&self, other: &Self) -> f64 {
        self.vector.dotc(&other.vector).norm()
    }
}

impl ReedModel {
    /// All oscillating modes of small motion about `rest`.
    pub fn eigenmodes(&self, rest: &Equilibrium) -> Vec<Eigenmode> {
        let unit = self.modes()[0].angular_frequency();
        let matrix = self.linear_matrix(rest) / unit;
        let Some(schur) = Schur::try_new(matrix, 1e-14, 10_000) else { return Vec::new() };
        let oscillating = schur.complex_eigenvalues();
        let modes = oscillating.iter().filter(|value| value.im > 0.0).map(|&value| {
            let (value, vector) = polish(&matrix, value);
            Eigenmode { growth_per_s: value.re * unit, frequency_hz: value.im * unit / std::f64::consts::TAU, vector }
        });
        modes.collect()
    }

    /// The matrix `A` of `x' = A x` in energy coordinates (1/s); exact derivatives of the equations of motion.
    ///
    /// Without a player the last row is a decaying bystander, uncoupled from the rest.
    fn linear_matrix(&self, rest: &Equilibrium) -> Matrix {
        let p = rest.pressure_pa;
        let slopes = self.aperture.slopes(rest.tip_m, p);
        let zeta = self.damping_ratio();
        let (root_c, root_m) = (self.compliance.sqrt(), self.inertance.sqrt());
        let (pressure, channel, mouth) = (2 * MODES, 2 * MODES + 1, 2 * MODES + 2);
        let mut a = Matrix::zeros();
        for i in 0..MODES {
            let (mode, w) = (&self.modes()[i], self.modes()[i].angular_frequency());
            let root = mode.modal_mass_kg.sqrt();
            let speed = MODES + i;
            a[(i, speed)] = w;
            a[(speed, i)] = -w;
            a[(speed, speed)] = -2.0 * zeta * w;
            for j in 0..MODES {
                let other = &self.modes()[j];
                let (other_root, other_w) = (other.modal_mass_kg.sqrt(), other.angular_frequency());
                a[(speed, j)] -= p * slopes.share_by_tip[j] * mode.swept_area_m2 / (root * other_root * other_w);
                a[(speed, MODES + j)] -= slopes.drag_by_speed[i][j] / (root * other_root);
            }
            let share = slopes.flow.share + p * slopes.share_by_pressure;
            a[(speed, pressure)] = -share * mode.swept_area_m2 / (root * root_c);
            a[(pressure, speed)] = mode.swept_area_m2 / (root * root_c);
            a[(pressure, i)] = -slopes.through_by_tip[i] / (root * w * root_c);
        }
        a[(pressure, pressure)] = -(slopes.through_by_pressure + self.leak_slope(p)) / self.compliance;
        a[(pressure, channel)] = 1.0 / (root_c * root_m);
        a[(channel, pressure)] = -1.0 / (root_c * root_m);
        a[(channel, channel)] = -2.0 * self.channel_loss * rest.flow_m3_s.abs() / self.inertance;
        match &self.mouth {
            None => a[(mouth, mouth)] = -self.modes()[0].angular_frequency(),
            Some(player) => {
                let root_mouth = player.compliance.sqrt();
                a[(channel, mouth)] = 1.0 / (root_m * root_mouth);
                a[(mouth, channel)] = -1.0 / (root_m * root_mouth);
                a[(mouth, mouth)] = -1.0 / (player.resistance * player.compliance);
            }
        }
        a
    }
}

/// Eigenvector by inverse iteration, and the eigenvalue improved by its Rayleigh quotient.
fn polish(matrix: &Matrix, value: Complex<f64>) -> (Complex<f64>, Vector) {
    let complex = matrix.map(|x| Complex::new(x, 0.0));
    // A shift off the eigenvalue by more than its own error keeps the solve regular.
    let shift = value + Complex::new(1e-9, 1e-9) * value.modulus();
    let lu = (complex - SMatrix::<Complex<f64>, SIZE, SIZE>::identity() * shift).lu();
    let mut vector = Vector::from_fn(|k, _| Complex::new(1.0, 0.3 * k as f64));
    for _ in 0..3 {
        match lu.solve(&vector) {
            Some(next) => vector = next.unscale(next.norm()),
            None => break,
        }
    }
    let product = complex * vector;
    (vector.dotc(&product), vector)
}
