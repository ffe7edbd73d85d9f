//! Small motion about the static rest: growth rates and shapes.
//!
//! Overlaps of eigenvectors are taken with every state scaled so that half its square is energy (`sqrt(m_i) w_i q_i`,
//! `sqrt(m_i) q_i'`, `sqrt(C_k) p_k`, `sqrt(M_k) U_k`): they then mean shared energy.

use nalgebra::{Complex, ComplexField, SMatrix};

use super::aperture::MODES;
use super::condensed::{Condensed, FLOW, PRESSURE, SPEED, Values};
use super::equilibrium::Equilibrium;
use super::model::{ReedModel, Slopes, State};

type Vector = Values<Complex<f64>>;

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
        self.vector[0].norm_sqr() + self.vector[SPEED].norm_sqr()
    }

    /// Overlap with another, 0 to 1.
    pub fn overlap(&self, other: &Self) -> f64 {
        dot(&self.vector, &other.vector).norm()
    }

    /// Eigenvalue (1/s).
    pub(super) fn value(&self) -> Complex<f64> {
        Complex::new(self.growth_per_s, std::f64::consts::TAU * self.frequency_hz)
    }
}

fn dot(a: &Vector, b: &Vector) -> Complex<f64> {
    a.iter().zip(b).map(|(a, b)| a.conj() * b).sum()
}

/// The equations of small motion about a static rest, the pressure in the mouth prescribed.
pub(super) struct SmallMotion {
    slopes: Slopes,
    sections: usize,
    /// Energy coordinates per SI state.
    scale: Values<f64>,
    /// First angular frequency of the tongue.
    unit: f64,
}

impl SmallMotion {
    /// Of a model that ends at the mouth ([`ReedModel::to_the_mouth`]).
    pub(super) fn about(mouth: &ReedModel, rest: &Equilibrium) -> Self {
        let slopes = mouth.slopes(&mouth.state_of(rest));
        let mut scale = [1.0; State::COUNT];
        for (i, mode) in mouth.modes().iter().enumerate() {
            scale[SPEED + i] = mode.modal_mass_kg.sqrt();
            scale[i] = scale[SPEED + i] * mode.angular_frequency();
        }
        for (k, section) in mouth.ladder.sections().iter().enumerate() {
            scale[PRESSURE + k] = section.compliance_m3_pa.sqrt();
            scale[FLOW + k] = section.inertance_kg_m4.sqrt();
        }
        let sections = mouth.ladder.sections().len();
        Self { slopes, sections, scale, unit: mouth.modes()[0].angular_frequency() }
    }

    /// All modes: a pair that oscillates once, and each that only creeps, with no frequency.
    pub(super) fn modes(&self) -> Vec<Eigenmode> {
        self.eigenvalues().into_iter().filter_map(|value| self.mode_near(value, None)).collect()
    }

    /// The modes that oscillate and grow, but for one.
    pub(super) fn growing_beside(&self, known: &Eigenmode) -> Vec<Eigenmode> {
        let same = |value: &Complex<f64>| (value - known.value()).modulus() < 1e-6 * self.unit;
        let growing = |value: &Complex<f64>| value.re > 0.0 && value.im > 0.0 && !same(value);
        self.eigenvalues().into_iter().filter(growing).filter_map(|value| self.mode_near(value, None)).collect()
    }

    /// Every eigenvalue (1/s) with an imaginary part of zero or more.
    pub(super) fn eigenvalues(&self) -> Vec<Complex<f64>> {
        let places: Vec<usize> =
            (0..2 * MODES).chain((0..self.sections).flat_map(|k| [PRESSURE + k, FLOW + k])).collect();
        let column = |j: usize| {
            let mut unit = [0.0; State::COUNT];
            unit[j] = 1.0 / (self.scale[j] * self.unit);
            self.slopes.times(&unit, self.sections)
        };
        let columns: Vec<Values<f64>> = places.iter().map(|&j| column(j)).collect();
        let entry = |i: usize, j: usize| columns[j][places[i]] * self.scale[places[i]];
        let values: Vec<Complex<f64>> = match self.sections {
            1 => SMatrix::<f64, 6, 6>::from_fn(entry).complex_eigenvalues().iter().copied().collect(),
            _ => SMatrix::<f64, 8, 8>::from_fn(entry).complex_eigenvalues().iter().copied().collect(),
        };
        values.into_iter().filter(|value| value.im >= 0.0).map(|value| value * self.unit).collect()
    }

    /// The mode that another, nearby, has become: by inverse iteration from its vector.
    pub(super) fn mode_after(&self, before: &Eigenmode) -> Option<Eigenmode> {
        self.mode_near(before.value(), Some(&before.vector))
    }

    /// The mode with an eigenvalue near `value`, by inverse iteration with Rayleigh quotients as shifts.
    fn mode_near(&self, value: Complex<f64>, vector: Option<&Vector>) -> Option<Eigenmode> {
        const ROUNDS: usize = 12;
        const ACCURACY: f64 = 1e-14;
        let mut value = value;
        let mut x: Vector = vector.copied().unwrap_or(std::array::from_fn(|k| Complex::new(1.0, 0.3 * k as f64)));
        for _ in 0..ROUNDS {
            // Off the eigenvalue by more than its own error, so that the system stays regular.
            let shift = value + Complex::new(1e-11, 1e-11) * value.modulus();
            let system = Condensed::new(&self.slopes, self.sections, shift);
            let right = std::array::from_fn(|k| x[k].unscale(self.scale[k]));
            let solved = system.solve(&right);
            x = std::array::from_fn(|k| solved[k].scale(self.scale[k]));
            let size = dot(&x, &x).re.sqrt();
            if !(size.is_finite() && size > 0.0) {
                return None;
            }
            x = x.map(|value| value.unscale(size));
            let next = self.quotient(&x);
            let moved = (next - value).modulus();
            value = next;
            if moved <= ACCURACY * value.modulus() {
                break;
            }
        }
        // What only creeps has no frequency but round-off, of either sign.
        let frequency_hz = if value.im < 1e-7 * self.unit { 0.0 } else { value.im / std::f64::consts::TAU };
        Some(Eigenmode { growth_per_s: value.re, frequency_hz, vector: x })
    }

    /// Rayleigh quotient of a unit vector.
    fn quotient(&self, x: &Vector) -> Complex<f64> {
        let plain = std::array::from_fn(|k| x[k].unscale(self.scale[k]));
        let product = self.slopes.times(&plain, self.sections);
        let scaled = std::array::from_fn(|k| product[k].scale(self.scale[k]));
        dot(x, &scaled)
    }

    /// A small motion `x` as one of a single mode, `2 Re(a v)`, by its first bending mode; nothing where more than a share
    /// `impure` of it is something else.
    pub(super) fn amplitude(&self, mode: &Eigenmode, x: &State, impure: f64) -> Option<Complex<f64>> {
        let v = &mode.vector;
        let (x, scale) = (x.values(), &self.scale);
        let off: Values<f64> = std::array::from_fn(|k| x[k] * scale[k]);
        let determinant = 2.0 * (v[0].re * v[SPEED].im - v[0].im * v[SPEED].re);
        let real = off[0] * v[SPEED].im - off[SPEED] * v[0].im;
        let imaginary = off[0] * v[SPEED].re - off[SPEED] * v[0].re;
        let a = Complex::new(real, imaginary) / determinant;
        let rest: f64 = off.iter().zip(v).map(|(x, v)| (x - 2.0 * (a * v).re).powi(2)).sum();
        (rest.sqrt() <= impure * a.modulus()).then_some(a)
    }

    /// The motion of a mode with an amplitude.
    pub(super) fn state_of(&self, mode: &Eigenmode, amplitude: Complex<f64>) -> State {
        State::from_values(&std::array::from_fn(|k| 2.0 * (amplitude * mode.vector[k]).re / self.scale[k]))
    }

    /// The largest speed of the tip in it (m/s).
    pub(super) fn speed_of(&self, mode: &Eigenmode, amplitude: Complex<f64>) -> f64 {
        let speeds = (SPEED..SPEED + MODES).map(|k| mode.vector[k] / self.scale[k]).sum::<Complex<f64>>();
        2.0 * (amplitude * speeds).modulus()
    }

    /// A mode as a state, at the instant when the first bending mode is furthest out, by one metre.
    pub(super) fn shape_of(&self, mode: &Eigenmode) -> State {
        self.state_of(mode, 0.5 * self.scale[0] / mode.vector[0])
    }
}

impl ReedModel {
    /// All modes of small motion about `rest`: a pair that oscillates once, and each that only creeps, with no frequency.
    pub fn eigenmodes(&self, rest: &Equilibrium) -> Vec<Eigenmode> {
        SmallMotion::about(&self.to_the_mouth(), rest).modes()
    }
}
