//! Small motion about the static rest: growth rates and shapes.
//!
//! Coordinates are scaled so that half their squared length is energy (`sqrt(m_i) w_i q_i`, `sqrt(m_i) q_i'`, `sqrt(C) p`,
//! `sqrt(M) U_c`, `sqrt(C_m) p_m`) and time by the first frequency: the matrix is of order one and overlaps of its
//! eigenvectors mean shared energy.

use nalgebra::{Complex, ComplexField, SMatrix, SVector, Schur};

use super::aperture::MODES;
use super::equilibrium::Equilibrium;
use super::model::{Jacobian, ReedModel, STATES, State};

type Vector = SVector<Complex<f64>, STATES>;

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

impl State {
    /// The same state, so many times as large.
    pub(super) fn times(&self, factor: f64) -> Self {
        Self {
            tip_m: self.tip_m.map(|q| q * factor),
            speed_m_s: self.speed_m_s.map(|v| v * factor),
            pressure_pa: self.pressure_pa * factor,
            channel_m3_s: self.channel_m3_s * factor,
            mouth_pa: self.mouth_pa * factor,
        }
    }
}

impl ReedModel {
    /// A mode as a state, at the instant when the first bending mode is furthest out, by one metre.
    pub(super) fn shape_of(&self, mode: &Eigenmode) -> State {
        let scale = self.energy_scale();
        let unit = mode.vector[0] / scale[0];
        let part = |k: usize| (mode.vector[k] / scale[k] / unit).re;
        State {
            tip_m: [part(0), part(1)],
            speed_m_s: [part(2), part(3)],
            pressure_pa: part(4),
            channel_m3_s: part(5),
            mouth_pa: part(6),
        }
    }

    /// All modes of small motion about `rest`: a pair that oscillates once, and each that only creeps, with no frequency.
    pub fn eigenmodes(&self, rest: &Equilibrium) -> Vec<Eigenmode> {
        let unit = self.modes()[0].angular_frequency();
        let matrix = self.linear_matrix(rest) / unit;
        let Some(schur) = Schur::try_new(matrix, 1e-14, 10_000) else { return Vec::new() };
        let values = schur.complex_eigenvalues();
        // The bystander's own eigenvalue is the unit of time itself, to round-off.
        let bystander =
            |value: &Complex<f64>| self.mouth.is_none() && value.im == 0.0 && (value.re + 1.0).abs() < 1e-12;
        let modes = values.iter().filter(|value| value.im >= 0.0 && !bystander(value)).map(|&value| {
            let creeps = value.im == 0.0;
            let (value, vector) = polish(&matrix, value);
            Eigenmode {
                growth_per_s: value.re * unit,
                frequency_hz: if creeps { 0.0 } else { value.im * unit / std::f64::consts::TAU },
                vector,
            }
        });
        modes.collect()
    }

    /// The matrix `A` of `x' = A x` in energy coordinates (1/s); exact derivatives of the equations of motion.
    ///
    /// Without a player the mouth pressure is a decaying bystander that nothing else moves.
    fn linear_matrix(&self, rest: &Equilibrium) -> Jacobian {
        let mut a = self.jacobian(&rest.state());
        let scale = self.energy_scale();
        for i in 0..STATES {
            for j in 0..STATES {
                a[(i, j)] *= scale[i] / scale[j];
            }
        }
        if self.mouth.is_none() {
            a[(STATES - 1, STATES - 1)] = -self.modes()[0].angular_frequency();
        }
        a
    }

    /// Energy coordinates per SI state.
    fn energy_scale(&self) -> [f64; STATES] {
        let root_mass = |i: usize| self.modes()[i].modal_mass_kg.sqrt();
        let stiff = |i: usize| root_mass(i) * self.modes()[i].angular_frequency();
        let mouth = self.mouth.map_or(self.compliance, |player| player.compliance).sqrt();
        [stiff(0), stiff(1), root_mass(0), root_mass(1), self.compliance.sqrt(), self.inertance.sqrt(), mouth]
    }
}

/// Eigenvector by inverse iteration, and the eigenvalue improved by its Rayleigh quotient.
fn polish(matrix: &Jacobian, value: Complex<f64>) -> (Complex<f64>, Vector) {
    let complex = matrix.map(|x| Complex::new(x, 0.0));
    // A shift off the eigenvalue by more than its own error keeps the solve regular.
    let shift = value + Complex::new(1e-9, 1e-9) * value.modulus();
    let lu = (complex - SMatrix::<Complex<f64>, STATES, STATES>::identity() * shift).lu();
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
