//! Moment and curvature of a rectangular section that yields.

/// Share of the fully plastic moment up to which the curvature follows its equation. Nearer to it the curvature runs away;
/// there it goes on along the tangent, so that a search may pass through. No plan ends there: see `Limit::Hinge`.
const FOLLOWED_TO: f64 = 0.995;

/// Fully plastic moment over the moment that just yields: 3/2 for a rectangle.
pub const SHAPE_FACTOR: f64 = 1.5;

/// A rectangular section of an elastic, perfectly plastic metal, bent from the stress-free state.
///
/// With `M_y = sigma_y w h^2 / 6`, `E I = E w h^3 / 12` and `kappa_y = M_y / E I = 2 sigma_y / (E h)`:
///
/// ```text
/// M = E I kappa                                       up to kappa_y
/// M = 3/2 M_y (1 - kappa_y^2 / (3 kappa^2))           beyond it
/// ```
///
/// Unloading is elastic: `kappa - M / E I` remains. Source: any textbook of plasticity, e.g. W. Prager and P. G. Hodge,
/// *Theory of Perfectly Plastic Solids* (1951), section on bending of beams (from memory). Hardening, the sideways
/// curvature of a wide strip and the different yield in pull and push after an earlier bend are left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Bending stiffness `E I` (N m2).
    pub stiffness_n_m2: f64,
    /// Moment at which the surface just yields, `M_y` (N m).
    pub yield_moment_n_m: f64,
}

impl Section {
    /// A rectangle `width_m` wide and `thickness_m` thick; all four above zero.
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
        }
    }

    /// Curvature at which the surface just yields, `kappa_y` (1/m).
    pub fn yield_curvature_per_m(&self) -> f64 {
        self.yield_moment_n_m / self.stiffness_n_m2
    }

    /// Moment at a curvature (N m); it has the sign of the curvature.
    pub fn moment_n_m(&self, curvature_per_m: f64) -> f64 {
        let k = curvature_per_m.abs() / self.yield_curvature_per_m();
        self.yield_moment_n_m.copysign(curvature_per_m) * if k <= 1.0 { k } else { share_at(k) }
    }

    /// Curvature at a moment (1/m), the inverse of [`Section::moment_n_m`]; from 0.995 of the fully plastic moment on along
    /// the tangent.
    pub fn curvature_per_m(&self, moment_n_m: f64) -> f64 {
        self.yield_curvature_per_m() * ratio_at(moment_n_m / self.yield_moment_n_m)
    }

    /// Curvature that remains when a curvature is let go (1/m).
    pub fn residual_curvature_per_m(&self, curvature_per_m: f64) -> f64 {
        curvature_per_m - self.moment_n_m(curvature_per_m) / self.stiffness_n_m2
    }

    /// Work of bending per length, the integral of `M d kappa` (J/m): for `k = kappa/kappa_y` beyond 1,
    /// `M_y kappa_y (3/2 k - 3/2 + 1/(2 k))`.
    pub fn work_j_m(&self, curvature_per_m: f64) -> f64 {
        let k = curvature_per_m.abs() / self.yield_curvature_per_m();
        let share = if k <= 1.0 { 0.5 * k * k } else { 1.5 * k - 1.5 + 0.5 / k };
        self.yield_moment_n_m * self.yield_curvature_per_m() * share
    }

    /// What comes back of it when the moment is let go (J/m): `M^2 / (2 E I)`.
    pub fn returned_j_m(&self, moment_n_m: f64) -> f64 {
        0.5 * moment_n_m * moment_n_m / self.stiffness_n_m2
    }
}

/// `M/M_y` at `k = kappa/kappa_y` beyond 1.
pub(super) fn share_at(k: f64) -> f64 {
    SHAPE_FACTOR * (1.0 - 1.0 / (3.0 * k * k))
}

/// `kappa/kappa_y` at `m = M/M_y`.
pub(super) fn ratio_at(m: f64) -> f64 {
    const LAST: f64 = FOLLOWED_TO * SHAPE_FACTOR;
    let size = m.abs();
    if size <= 1.0 {
        return m;
    }
    let k = 1.0 / (3.0 - 2.0 * size.min(LAST)).sqrt();
    (k + k.powi(3) * (size - LAST).max(0.0)).copysign(m)
}
