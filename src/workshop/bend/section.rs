//! Moment and curvature of a rectangular section that yields.

use super::knee::{Curve, Knee};

/// A rectangular section of a metal that yields, bent from the stress-free state.
///
/// With `M_y = sigma_y w h^2 / 6`, `E I = E w h^3 / 12` and `kappa_y = M_y / E I = 2 sigma_y / (E h)`, and a sharp knee:
///
/// ```text
/// M = E I kappa                                       up to kappa_y
/// M = 3/2 M_y (1 - kappa_y^2 / (3 kappa^2))           beyond it
/// ```
///
/// A round knee ([`Knee::Round`]) rises more gradually, and hardens. Unloading is elastic: `kappa - M / E I` remains.
/// Source: any textbook of plasticity, e.g. W. Prager and P. G. Hodge, *Theory of Perfectly Plastic Solids* (1951), section
/// on bending of beams (from memory). The sideways curvature of a wide strip and the different yield in pull and push after
/// an earlier bend are left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Bending stiffness `E I` (N m2).
    pub stiffness_n_m2: f64,
    /// Moment at which the surface of an elastic section is at the yield strength, `M_y` (N m).
    pub yield_moment_n_m: f64,
    curve: Curve,
}

impl Section {
    /// A rectangle `width_m` wide and `thickness_m` thick, with a sharp knee; all four above zero.
    ///
    /// ```
    /// use freereed::workshop::bend::Section;
    /// let strip = Section::rectangle(2e-3, 0.25e-3, 110e9, 510e6);
    /// assert!((strip.yield_moment_n_m - 10.625e-3).abs() < 1e-15);
    /// let twice = 2.0 * strip.yield_curvature_per_m();
    /// assert!((strip.moment_n_m(twice) / strip.yield_moment_n_m - 1.375).abs() < 1e-12);
    /// ```
    pub fn rectangle(width_m: f64, thickness_m: f64, youngs_modulus_pa: f64, yield_strength_pa: f64) -> Self {
        Self {
            stiffness_n_m2: youngs_modulus_pa * width_m * thickness_m.powi(3) / 12.0,
            yield_moment_n_m: yield_strength_pa * width_m * thickness_m.powi(2) / 6.0,
            curve: Curve::new(Knee::Sharp, yield_strength_pa / youngs_modulus_pa),
        }
    }

    /// The same with another knee, for a metal whose yield strength over its modulus is `elastic_strain`.
    #[must_use]
    pub fn with_knee(self, knee: Knee, elastic_strain: f64) -> Self {
        Self { curve: Curve::new(knee, elastic_strain), ..self }
    }

    /// Curvature of an elastic section whose surface is at the yield strength, `kappa_y` (1/m).
    pub fn yield_curvature_per_m(&self) -> f64 {
        self.yield_moment_n_m / self.stiffness_n_m2
    }

    /// Moment at a curvature (N m); it has the sign of the curvature.
    pub fn moment_n_m(&self, curvature_per_m: f64) -> f64 {
        let k = curvature_per_m.abs() / self.yield_curvature_per_m();
        self.yield_moment_n_m.copysign(curvature_per_m) * self.curve.moment(k)
    }

    /// Curvature at a moment (1/m), the inverse of [`Section::moment_n_m`]; with a sharp knee along the tangent from 0.995 of
    /// the fully plastic moment on.
    pub fn curvature_per_m(&self, moment_n_m: f64) -> f64 {
        self.yield_curvature_per_m() * self.curve.curvature(moment_n_m / self.yield_moment_n_m)
    }

    /// Curvature that remains when a curvature is let go (1/m).
    pub fn residual_curvature_per_m(&self, curvature_per_m: f64) -> f64 {
        curvature_per_m - self.moment_n_m(curvature_per_m) / self.stiffness_n_m2
    }

    /// Work of bending per length, the integral of `M d kappa` (J/m): with a sharp knee, for `k = kappa/kappa_y` beyond 1,
    /// `M_y kappa_y (3/2 k - 3/2 + 1/(2 k))`.
    pub fn work_j_m(&self, curvature_per_m: f64) -> f64 {
        let k = curvature_per_m.abs() / self.yield_curvature_per_m();
        self.yield_moment_n_m * self.yield_curvature_per_m() * self.curve.work(k)
    }

    /// What comes back of it when the moment is let go (J/m): `M^2 / (2 E I)`.
    pub fn returned_j_m(&self, moment_n_m: f64) -> f64 {
        0.5 * moment_n_m * moment_n_m / self.stiffness_n_m2
    }
}
