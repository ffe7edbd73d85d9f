//! Cubic Hermite elements with consistent mass, in dimensionless form.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

use super::shape::{Shape, hermite, hermite_curvature};
use super::{Beam, Mode};
use crate::physics::quadrature::gauss_legendre;

/// A static load on the tongue, positive away from the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// A force at one place.
    Force {
        /// Place (m).
        at_m: f64,
        /// Force (N).
        newton: f64,
    },
    /// A moment at the tip (N m).
    TipMoment {
        /// Moment (N m).
        newton_metre: f64,
    },
    /// The same pressure everywhere.
    Pressure {
        /// Pressure (Pa).
        pascal: f64,
    },
}

/// The beam as matrices. Each node carries its deflection and its slope times `L`; units: length `L`, stiffness
/// `E I_ref / L^3`, mass `rho A_ref L`.
///
/// The stiffness matrix is never formed: it is `B^T B`, where a row of `B` is the curvature at a point of quadrature times
/// the root of its weight and stiffness, and the triangle of `B = Q R` is its Cholesky factor with twice the digits.
pub(super) struct Discrete<'a> {
    beam: &'a Beam,
    nodes: Vec<f64>,
    /// `R`, the upper triangle with `R^T R` the stiffness matrix.
    root_stiffness: DMatrix<f64>,
    mass: DMatrix<f64>,
    stiffness_unit: f64,
    mass_unit: f64,
    held: usize,
}

/// Why a triangular system has an answer.
const STIFF: &str = "a checked beam is stiff everywhere";

/// Which way the section bends.
#[derive(Clone, Copy, PartialEq)]
enum Plane {
    OutOfPlate,
    InPlate,
}

impl<'a> Discrete<'a> {
    pub(super) fn bending(beam: &'a Beam, elements: usize) -> Self {
        Self::assemble(beam, elements, Plane::OutOfPlate)
    }

    pub(super) fn lateral(beam: &'a Beam, elements: usize) -> Self {
        Self::assemble(beam, elements, Plane::InPlate)
    }

    fn assemble(beam: &'a Beam, elements: usize, plane: Plane) -> Self {
        let length = beam.length_m;
        let nodes = nodes(&beam.breaks(), length, elements);
        let (w_ref, h_ref) = (beam.width_m.range().1, beam.thickness_m.range().1);
        let cube = |wide: f64, deep: f64| wide * deep.powi(3);
        let inertia = |w: f64, h: f64| match plane {
            Plane::OutOfPlate => cube(w, h),
            Plane::InPlate => cube(h, w),
        };
        let inertia_ref = inertia(w_ref, h_ref);
        let spring = beam.root_spring_n_m_per_rad.filter(|_| plane == Plane::OutOfPlate);
        let size = 2 * nodes.len();
        let mut curvatures = DMatrix::zeros(4 * (nodes.len() - 1) + 1, size);
        let mut mass = DMatrix::zeros(size, size);
        let (four_points, five_points) = (gauss_legendre::<4>(), gauss_legendre::<5>());
        for (e, ends) in nodes.windows(2).enumerate() {
            let (span, middle) = ((ends[1] - ends[0]) / length, 0.5 * (ends[0] + ends[1]));
            let section = |x: f64| {
                let s = ends[0] + x * (ends[1] - ends[0]);
                (beam.width_m.at_within(s, middle), beam.thickness_m.at_within(s, middle))
            };
            // Four points are exact for the stiffness (degree 6 in s), five for the mass (degree 8).
            for (point, (x, weight)) in four_points.into_iter().enumerate() {
                let (w, h) = section(x);
                let root = (weight * span * inertia(w, h) / inertia_ref).sqrt();
                for (i, curvature) in hermite_curvature(x, span).into_iter().enumerate() {
                    curvatures[(4 * e + point, 2 * e + i)] = root * curvature;
                }
            }
            for (x, weight) in five_points {
                let (w, h) = section(x);
                add(&mut mass, 2 * e, &hermite(x, span), weight * span * w * h / (w_ref * h_ref));
            }
        }
        let stiffness_unit = beam.youngs_modulus_pa * inertia_ref / 12.0 / length.powi(3);
        let mass_unit = beam.density_kg_m3 * w_ref * h_ref * length;
        mass[(size - 2, size - 2)] += beam.tip_mass_kg / mass_unit;
        if let Some(spring) = spring {
            let last = curvatures.nrows() - 1;
            curvatures[(last, 1)] = (spring / (stiffness_unit * length * length)).sqrt();
        }
        let held = if spring.is_some() { 1 } else { 2 };
        let mass = mass.view((held, held), (size - held, size - held)).into_owned();
        let root_stiffness = curvatures.remove_columns(0, held).qr().unpack_r();
        Self { beam, nodes, root_stiffness, mass, stiffness_unit, mass_unit, held }
    }

    /// `K x = w^2 M x` as the symmetric problem of `R^-T M R^-1`, `K = R^T R`, whose largest eigenvalues are the lowest
    /// modes: they are then exact to round-off, which the smallest eigenvalues of the problem as it stands are not.
    pub(super) fn modes(&self, count: usize) -> Vec<Mode> {
        let half = self.root_stiffness.tr_solve_upper_triangular(&self.mass).expect(STIFF);
        let whole = self.root_stiffness.tr_solve_upper_triangular(&half.transpose()).expect(STIFF);
        let eigen = SymmetricEigen::new(0.5 * (&whole + whole.transpose()));
        let mut order: Vec<usize> = (0..eigen.eigenvalues.len()).collect();
        order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
        let unit = (self.stiffness_unit / self.mass_unit).sqrt();
        let mode = |&k: &usize| {
            let vector = self.root_stiffness.solve_upper_triangular(&eigen.eigenvectors.column(k)).expect(STIFF);
            let angular = unit / eigen.eigenvalues[k].sqrt();
            self.mode(angular, &vector)
        };
        order.iter().take(count).map(mode).collect()
    }

    fn mode(&self, angular_frequency: f64, vector: &DVector<f64>) -> Mode {
        let unit_tip = vector / vector[vector.len() - 2];
        let shape = self.shape(&unit_tip);
        Mode {
            frequency_hz: angular_frequency / std::f64::consts::TAU,
            modal_mass_kg: self.mass_unit * unit_tip.dot(&(&self.mass * &unit_tip)),
            swept_area_m2: self.area_load().dot(&unit_tip),
            shape,
        }
    }

    pub(super) fn deflection(&self, load: Load) -> Shape {
        let length = self.beam.length_m;
        let tip = self.mass.nrows() - 2;
        let force = match load {
            Load::Force { at_m, newton } => newton * self.point_load(at_m),
            Load::Pressure { pascal } => pascal * self.area_load(),
            Load::TipMoment { newton_metre } => {
                let mut moment = DVector::zeros(tip + 2);
                moment[tip + 1] = newton_metre / length;
                moment
            }
        };
        let half = self.root_stiffness.tr_solve_upper_triangular(&(force / self.stiffness_unit)).expect(STIFF);
        self.shape(&self.root_stiffness.solve_upper_triangular(&half).expect(STIFF))
    }

    /// Generalised force of a unit pressure, in newton per unit of each degree of freedom: the integral of `w N ds`.
    fn area_load(&self) -> DVector<f64> {
        let rule = gauss_legendre::<4>();
        self.load(|ends, middle, put| {
            for (x, weight) in rule {
                let s = ends[0] + x * (ends[1] - ends[0]);
                put(x, weight * (ends[1] - ends[0]) * self.beam.width_m.at_within(s, middle));
            }
        })
    }

    fn point_load(&self, at_m: f64) -> DVector<f64> {
        let at_m = at_m.clamp(0.0, self.beam.length_m);
        let mut placed = false;
        self.load(|ends, _, put| {
            if !placed && at_m <= ends[1] {
                placed = true;
                put((at_m - ends[0]) / (ends[1] - ends[0]), 1.0);
            }
        })
    }

    fn load(&self, mut each: impl FnMut(&[f64], f64, &mut dyn FnMut(f64, f64))) -> DVector<f64> {
        let mut all = DVector::zeros(2 * self.nodes.len());
        for (e, ends) in self.nodes.windows(2).enumerate() {
            let span = (ends[1] - ends[0]) / self.beam.length_m;
            each(ends, 0.5 * (ends[0] + ends[1]), &mut |x, amount| {
                for (i, value) in hermite(x, span).into_iter().enumerate() {
                    all[2 * e + i] += amount * value;
                }
            });
        }
        all.remove_rows(0, self.held)
    }

    fn shape(&self, free: &DVector<f64>) -> Shape {
        let all: Vec<f64> = std::iter::repeat_n(0.0, self.held).chain(free.iter().copied()).collect();
        let knots = self.nodes.iter().zip(all.chunks(2));
        Shape::new(knots.map(|(&s, dof)| (s, dof[0], dof[1] / self.beam.length_m)).collect())
    }
}

/// Element ends: each span between breaks is cut evenly, `elements` or a few more in all, and never fewer than
/// [`FEWEST`]: the section may change as much over a short span as over a long one.
pub(super) fn nodes(breaks: &[f64], length: f64, elements: usize) -> Vec<f64> {
    let mut nodes = vec![0.0];
    let fewest = if breaks.len() > 2 { FEWEST } else { 1 };
    for span in breaks.windows(2) {
        let parts = ((span[1] - span[0]) / length * elements as f64 - 1e-9).ceil() as usize;
        let parts = parts.max(fewest);
        nodes.extend((1..parts).map(|k| span[0] + (span[1] - span[0]) * k as f64 / parts as f64));
        nodes.push(span[1]);
    }
    nodes
}

/// Elements of a span between two stations at the least.
const FEWEST: usize = 4;

fn add(matrix: &mut DMatrix<f64>, first: usize, values: &[f64; 4], factor: f64) {
    for i in 0..4 {
        for j in 0..4 {
            matrix[(first + i, first + j)] += factor * values[i] * values[j];
        }
    }
}
