//! The tongue as an Euler-Bernoulli cantilever of varying section.
//!
//! `(E I y'')'' + rho_m w h d2y/dt2 = load`, with `E I = E w h^3 / 12`, clamped (or held by a rotational spring) at
//! `s = 0`, free at `s = L`, where a point mass may sit. Solved with cubic Hermite finite elements and consistent mass
//! (any finite-element textbook, e.g. K.-J. Bathe, *Finite Element Procedures*, section 5.4), in dimensionless form:
//! lengths in units of `L`, sections in units of the largest, so that round-off does not swamp the first frequency.

mod eigen;
mod elements;
mod filing;
mod mesh;
mod root;
mod shape;
mod thermoelastic;
mod torsion;

pub use elements::Load;
pub use shape::Shape;
pub use thermoelastic::Heat;
pub use torsion::torsion_constant_m4;

use super::input::{InputError, not_negative, positive};
use super::profile::Profile;
use elements::Discrete;

/// Elements along the reed. The error of mode `n` falls with the fourth power: about `(beta_n L / elements)^4 / 1440`,
/// with 40 elements 3e-9 for the first mode and 1e-7 for the second, both under a thousandth of a cent.
pub const ELEMENTS: usize = 40;

/// A tongue: its sizes, its metal, what sits on its tip and what holds its root.
#[derive(Debug, Clone, PartialEq)]
pub struct Beam {
    /// From the clamp to the tip (m).
    pub length_m: f64,
    /// Width along the reed (m).
    pub width_m: Profile,
    /// Thickness along the reed (m).
    pub thickness_m: Profile,
    /// Density of the metal (kg/m3).
    pub density_kg_m3: f64,
    /// Young's modulus (Pa).
    pub youngs_modulus_pa: f64,
    /// Shear modulus (Pa); only the torsional mode needs it.
    pub shear_modulus_pa: f64,
    /// Point mass at the tip (kg).
    pub tip_mass_kg: f64,
    /// Rotational stiffness of the root (N m/rad); none is built in.
    pub root_spring_n_m_per_rad: Option<f64>,
}

/// A way the tongue swings: frequency, shape, and what a unit of tip motion carries.
#[derive(Debug, Clone, PartialEq)]
pub struct Mode {
    /// Natural frequency without loss (Hz).
    pub frequency_hz: f64,
    /// Modal mass for unit tip displacement (kg).
    pub modal_mass_kg: f64,
    /// Volume swept per unit tip motion, the integral of `w phi ds` (m2).
    pub swept_area_m2: f64,
    /// Shape, `phi(L) = 1`.
    pub shape: Shape,
}

impl Mode {
    /// Angular frequency (rad/s).
    pub fn angular_frequency(&self) -> f64 {
        std::f64::consts::TAU * self.frequency_hz
    }
}

impl Beam {
    /// Checks that the beam can be solved.
    ///
    /// # Errors
    /// A size, density or modulus that is not finite and positive; a thickness may fall to zero at the very tip (a wedge).
    pub fn check(&self) -> Result<(), InputError> {
        positive("length (m)", self.length_m)?;
        positive("least width (m)", self.width_m.range().0)?;
        not_negative("least thickness (m)", self.thickness_m.range().0)?;
        for s in self.breaks().windows(2).map(|w| 0.5 * (w[0] + w[1])) {
            positive("thickness (m)", self.thickness_m.at(s))?;
        }
        positive("density (kg/m3)", self.density_kg_m3)?;
        positive("Young's modulus (Pa)", self.youngs_modulus_pa)?;
        positive("shear modulus (Pa)", self.shear_modulus_pa)?;
        not_negative("tip mass (kg)", self.tip_mass_kg)?;
        self.root_spring_n_m_per_rad.map_or(Ok(()), |spring| positive("root spring (N m/rad)", spring))
    }

    /// The lowest `count` bending modes, lowest first.
    ///
    /// ```
    /// use freereed::physics::{Beam, Profile};
    /// let strip = Beam {
    ///     length_m: 15e-3,
    ///     width_m: Profile::constant(2e-3),
    ///     thickness_m: Profile::constant(0.2e-3),
    ///     density_kg_m3: 8530.0,
    ///     youngs_modulus_pa: 110e9,
    ///     shear_modulus_pa: 41e9,
    ///     tip_mass_kg: 0.0,
    ///     root_spring_n_m_per_rad: None,
    /// };
    /// assert!((strip.modes(2)[0].frequency_hz - 515.6435).abs() < 1e-4);
    /// ```
    pub fn modes(&self, count: usize) -> Vec<Mode> {
        self.modes_with(count, ELEMENTS)
    }

    /// As [`Beam::modes`], with a chosen number of elements, to see the result converge.
    pub fn modes_with(&self, count: usize, elements: usize) -> Vec<Mode> {
        Discrete::bending(self, elements).modes(count)
    }

    /// First frequency of swinging sideways, in the plane of the plate (Hz); the root is held rigidly in that plane.
    pub fn lateral_frequency_hz(&self) -> f64 {
        Discrete::lateral(self, ELEMENTS).modes(1)[0].frequency_hz
    }

    /// First frequency of twisting (Hz), free warping assumed; a real root restrains it and twists somewhat higher.
    pub fn torsional_frequency_hz(&self) -> f64 {
        torsion::first_frequency_hz(self)
    }

    /// Deflection under a static load.
    pub fn deflection(&self, load: Load) -> Shape {
        Discrete::bending(self, ELEMENTS).deflection(load)
    }

    /// Static stiffness at the tip, force over deflection (N/m).
    pub fn tip_stiffness_n_m(&self) -> f64 {
        1.0 / self.deflection(Load::Force { at_m: self.length_m, newton: 1.0 }).tip()
    }

    /// Tip deflection per unit of uniform pressure (m/Pa).
    pub fn compliance_m_pa(&self) -> f64 {
        self.deflection(Load::Pressure { pascal: 1.0 }).tip()
    }

    /// Mass of the tongue and what sits on its tip (kg).
    pub fn mass_kg(&self) -> f64 {
        let breaks = self.breaks();
        let span_mass = |w: &[f64]| {
            let middle = 0.5 * (w[0] + w[1]);
            let area = |s: f64| self.width_m.at_within(s, middle) * self.thickness_m.at_within(s, middle);
            (w[1] - w[0]) * (area(w[0]) + 4.0 * area(middle) + area(w[1])) / 6.0
        };
        self.density_kg_m3 * breaks.windows(2).map(span_mass).sum::<f64>() + self.tip_mass_kg
    }

    /// Largest bending stress for a shape (Pa) and the place where it is (m): `E h/2 |y''|`.
    pub fn largest_stress(&self, shape: &Shape) -> (f64, f64) {
        let stress = |(s, inside, curvature): (f64, f64, f64)| {
            (0.5 * self.youngs_modulus_pa * self.thickness_m.at_within(s, inside) * curvature.abs(), s)
        };
        let all = self.curvatures(shape).into_iter().map(stress);
        all.fold((0.0, 0.0), |best, here| if here.0 > best.0 { here } else { best })
    }

    /// Curvature of a shape (per m2) at both ends of every stretch over which shape and section each keep one formula: place,
    /// a place inside the stretch, curvature. A step in thickness has two.
    pub fn curvatures(&self, shape: &Shape) -> Vec<(f64, f64, f64)> {
        let at_ends = |ends: [f64; 2]| {
            let inside = 0.5 * (ends[0] + ends[1]);
            ends.map(|s| (s, inside, shape.curvature_within(s, inside)))
        };
        self.stretches(shape).into_iter().flat_map(at_ends).collect()
    }

    /// Both ends of every stretch of the tongue (m) inside one element of a shape and between two stations.
    fn stretches(&self, shape: &Shape) -> Vec<[f64; 2]> {
        let places = breaks(self.length_m, self.breaks().into_iter().chain(shape.elements().flatten()));
        places.windows(2).map(|ends| [ends[0], ends[1]]).collect()
    }

    /// The same tongue with every thickness multiplied by `factor`.
    pub fn with_thickness_scaled(&self, factor: f64) -> Self {
        Self { thickness_m: self.thickness_m.scaled(factor), ..self.clone() }
    }

    /// Places where the section's formula changes, both ends included.
    pub fn breaks(&self) -> Vec<f64> {
        breaks(self.length_m, [&self.width_m, &self.thickness_m].into_iter().flat_map(|p| p.stations()).map(|s| s.0))
    }
}

/// 0, `length_m` and all places between them, in order and without repeats.
pub(super) fn breaks(length_m: f64, places: impl Iterator<Item = f64>) -> Vec<f64> {
    let margin = 1e-9 * length_m;
    let mut all: Vec<f64> = places.filter(|&s| s > margin && s < length_m - margin).collect();
    all.extend([0.0, length_m]);
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b - *a < margin);
    all
}
