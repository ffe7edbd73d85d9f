//! Cubic Hermite elements with consistent mass, in dimensionless form.

use super::mesh::Mesh;
use super::shape::{Shape, hermite};
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

/// The beam as elements. Each node carries its deflection and its slope times `L`; units: length `L`, stiffness
/// `E I_ref / L^3`, mass `rho A_ref L`.
///
/// The stiffness matrix is never formed: it is `B^T B`, where `B` takes deflections to the two parts of each element's
/// curvature that carry energy apart from each other ([`Bending`]). `B^-T` is then the bending moment of a load, summed up
/// from the tip to the root, and `B^-1` the integration of curvature from the root to the tip: both cost a few operations an
/// element, and keep twice the digits of the matrix.
pub(super) struct Discrete<'a> {
    beam: &'a Beam,
    mesh: Mesh,
    bending: Vec<Bending>,
    /// Root of the rotational stiffness at the clamp; none is built in.
    root_spring: Option<f64>,
    mass: Vec<[[f64; 4]; 4]>,
    tip_mass: f64,
    stiffness_unit: f64,
    mass_unit: f64,
}

/// How an element bends. Its curvature is linear in `x` from 0 to 1; about the centre of its stiffness the mean curvature and
/// its growth store energy independently: `V = 1/2 (stiffness c^2 + spread g^2)`.
#[derive(Clone, Copy)]
struct Bending {
    /// Length over `L`.
    span: f64,
    /// Where the centre of its stiffness lies, 0 to 1.
    centre: f64,
    /// Root of the integral of `E I` over it.
    root_stiffness: f64,
    /// Root of the integral of `E I (x - centre)^2`.
    root_spread: f64,
}

/// The parts of a bent beam's energy: two for each element, and the turn of the root.
#[derive(Clone)]
pub(super) struct Bent {
    elements: Vec<[f64; 2]>,
    root: f64,
}

impl Bent {
    pub(super) fn dot(&self, other: &Self) -> f64 {
        let pair = |(a, b): (&[f64; 2], &[f64; 2])| a[0] * b[0] + a[1] * b[1];
        self.root * other.root + self.elements.iter().zip(&other.elements).map(pair).sum::<f64>()
    }

    /// Weighted sum of some.
    pub(super) fn combine(parts: &[Self], weights: impl Iterator<Item = f64>) -> Self {
        let mut sum = Self { elements: vec![[0.0; 2]; parts[0].elements.len()], root: 0.0 };
        for (part, weight) in parts.iter().zip(weights) {
            sum.root += weight * part.root;
            for (all, own) in sum.elements.iter_mut().zip(&part.elements) {
                all[0] += weight * own[0];
                all[1] += weight * own[1];
            }
        }
        sum
    }
}

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
        let mesh = Mesh::new(beam, elements);
        let (w_ref, h_ref) = (beam.width_m.range().1, beam.thickness_m.range().1);
        let cube = |wide: f64, deep: f64| wide * deep.powi(3);
        let inertia = |w: f64, h: f64| match plane {
            Plane::OutOfPlate => cube(w, h),
            Plane::InPlate => cube(h, w),
        };
        let inertia_ref = inertia(w_ref, h_ref);
        let (four_points, five_points) = (gauss_legendre::<4>(), gauss_legendre::<5>());
        let (mut bending, mut mass) = (Vec::new(), Vec::new());
        for (element_m, pieces) in mesh.elements() {
            let span = element_m / length;
            // Four points of a piece are exact for the stiffness (degree 6 in s), five for the mass (degree 8).
            let points = || pieces.iter().flat_map(|piece| piece.points(four_points));
            let moment = |of: &dyn Fn(f64) -> f64| -> f64 {
                points().map(|(x, weight, w, h)| weight * span * inertia(w, h) / inertia_ref * of(x)).sum()
            };
            let stiffness = moment(&|_| 1.0);
            let centre = moment(&|x| x) / stiffness;
            let spread = moment(&|x| (x - centre).powi(2));
            bending.push(Bending { span, centre, root_stiffness: stiffness.sqrt(), root_spread: spread.sqrt() });
            let mut element = [[0.0; 4]; 4];
            for (x, weight, w, h) in pieces.iter().flat_map(|piece| piece.points(five_points)) {
                add(&mut element, &hermite(x, span), weight * span * w * h / (w_ref * h_ref));
            }
            mass.push(element);
        }
        let stiffness_unit = beam.youngs_modulus_pa * inertia_ref / 12.0 / length.powi(3);
        let mass_unit = beam.density_kg_m3 * w_ref * h_ref * length;
        let spring = beam.root_spring_n_m_per_rad.filter(|_| plane == Plane::OutOfPlate);
        let root_spring = spring.map(|spring| (spring / (stiffness_unit * length * length)).sqrt());
        let tip_mass = beam.tip_mass_kg / mass_unit;
        Self { beam, mesh, bending, root_spring, mass, tip_mass, stiffness_unit, mass_unit }
    }

    /// Number of degrees of freedom, those that the clamp holds left out.
    pub(super) fn free(&self) -> usize {
        2 * self.bending.len() + usize::from(self.root_spring.is_some())
    }

    /// Deflection and slope at every node of the polynomial `(s/L)^power`.
    pub(super) fn polynomial(&self, power: i32) -> Vec<f64> {
        let at = |s: &f64| {
            [(s / self.beam.length_m).powi(power), f64::from(power) * (s / self.beam.length_m).powi(power - 1)]
        };
        self.mesh.nodes.iter().flat_map(at).collect()
    }

    /// `M x`.
    pub(super) fn inertia_of(&self, x: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; x.len()];
        for (e, mass) in self.mass.iter().enumerate() {
            for i in 0..4 {
                all[2 * e + i] += (0..4).map(|j| mass[i][j] * x[2 * e + j]).sum::<f64>();
            }
        }
        let tip = x.len() - 2;
        all[tip] += self.tip_mass * x[tip];
        all
    }

    /// `B^-T f`: how a load bends each element, from the tip to the root: shear `F` and moment `M` at each node,
    /// `M_left = M_right + F l`.
    pub(super) fn bent_by(&self, load: &[f64]) -> Bent {
        let (mut force, mut moment) = (0.0, 0.0);
        let mut elements = vec![[0.0; 2]; self.bending.len()];
        for (e, Bending { span, centre, root_stiffness, root_spread }) in self.bending.iter().enumerate().rev() {
            force += load[2 * e + 2];
            moment += load[2 * e + 3];
            let mean = span * (moment + force * span * 0.5);
            let growth = span * (moment * (0.5 - centre) + force * span * (1.0 / 6.0 - 0.5 * centre));
            elements[e] = [mean / root_stiffness, growth / root_spread];
            moment += force * span;
        }
        Bent { elements, root: self.root_spring.map_or(0.0, |root| (moment + load[1]) / root) }
    }

    /// `B^-1 z`: the curvature integrated twice, from the root to the tip.
    pub(super) fn deflected(&self, bent: &Bent) -> Vec<f64> {
        let (mut height, mut slope) = (0.0, self.root_spring.map_or(0.0, |root| bent.root / root));
        let mut all = Vec::with_capacity(2 * self.bending.len() + 2);
        all.extend([height, slope]);
        for (Bending { span, centre, root_stiffness, root_spread }, parts) in self.bending.iter().zip(&bent.elements) {
            let (mean, growth) = (parts[0] / root_stiffness, parts[1] / root_spread);
            height += span * slope + span * span * (0.5 * mean + growth * (1.0 / 6.0 - 0.5 * centre));
            slope += span * (mean + growth * (0.5 - centre));
            all.extend([height, slope]);
        }
        all
    }

    /// The lowest modes, `K x = w^2 M x`.
    pub(super) fn modes(&self, count: usize) -> Vec<Mode> {
        let unit = (self.stiffness_unit / self.mass_unit).sqrt();
        let lowest = super::eigen::lowest(self, count);
        lowest.into_iter().map(|(inverse_square, vector)| self.mode(unit / inverse_square.sqrt(), vector)).collect()
    }

    fn mode(&self, angular_frequency: f64, vector: Vec<f64>) -> Mode {
        let tip = vector[vector.len() - 2];
        let unit_tip: Vec<f64> = vector.into_iter().map(|value| value / tip).collect();
        Mode {
            frequency_hz: angular_frequency / std::f64::consts::TAU,
            modal_mass_kg: self.mass_unit * dot(&unit_tip, &self.inertia_of(&unit_tip)),
            swept_area_m2: dot(&self.area_load(), &unit_tip),
            shape: self.shape(&unit_tip),
        }
    }

    pub(super) fn deflection(&self, load: Load) -> Shape {
        let length = self.beam.length_m;
        let size = 2 * self.mesh.nodes.len();
        let (unit, amount) = match load {
            Load::Force { at_m, newton } => (self.point_load(at_m), newton),
            Load::Pressure { pascal } => (self.area_load(), pascal),
            Load::TipMoment { newton_metre } => {
                let mut moment = vec![0.0; size];
                moment[size - 1] = 1.0;
                (moment, newton_metre / length)
            }
        };
        let force: Vec<f64> = unit.into_iter().map(|value| value * amount / self.stiffness_unit).collect();
        self.shape(&self.deflected(&self.bent_by(&force)))
    }

    /// Generalised force of a unit pressure, in newton per unit of each degree of freedom: the integral of `w N ds`.
    fn area_load(&self) -> Vec<f64> {
        let rule = gauss_legendre::<4>();
        let mut all = vec![0.0; 2 * self.mesh.nodes.len()];
        for (e, (element_m, pieces)) in self.mesh.elements().enumerate() {
            for (x, weight, w, _) in pieces.iter().flat_map(|piece| piece.points(rule)) {
                self.put(&mut all, e, x, weight * element_m * w);
            }
        }
        all
    }

    fn point_load(&self, at_m: f64) -> Vec<f64> {
        let at_m = at_m.clamp(0.0, self.beam.length_m);
        let nodes = &self.mesh.nodes;
        let mut all = vec![0.0; 2 * nodes.len()];
        let e = nodes[1..nodes.len() - 1].partition_point(|&node| node < at_m);
        self.put(&mut all, e, (at_m - nodes[e]) / (nodes[e + 1] - nodes[e]), 1.0);
        all
    }

    /// Adds a force at `x` of an element to a load.
    fn put(&self, load: &mut [f64], e: usize, x: f64, amount: f64) {
        for (i, value) in hermite(x, self.bending[e].span).into_iter().enumerate() {
            load[2 * e + i] += amount * value;
        }
    }

    fn shape(&self, x: &[f64]) -> Shape {
        let knots = self.mesh.nodes.iter().zip(x.chunks(2));
        Shape::new(knots.map(|(&s, dof)| (s, dof[0], dof[1] / self.beam.length_m)).collect())
    }
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn add(matrix: &mut [[f64; 4]; 4], values: &[f64; 4], factor: f64) {
    for i in 0..4 {
        for j in 0..4 {
            matrix[i][j] += factor * values[i] * values[j];
        }
    }
}
