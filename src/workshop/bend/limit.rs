//! How far a tongue may be bent before it is spoilt.

use super::section::{SHAPE_FACTOR, ratio_at, share_at};

/// What ends a push.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Limit {
    /// The surface would be strained more than [`KinkLimit::plastic_strain`] allows.
    Strain,
    /// The moment would come within [`KinkLimit::HINGE_SHARE`] of the fully plastic moment: the tongue folds at one place.
    Hinge,
    /// The tongue would be turned by more than [`KinkLimit::TURN_RAD`] where it is pushed: the tool slips off.
    Turn,
}

/// The strain a surface may take, and whether that is from a source.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct KinkLimit {
    /// Largest permanent strain of the surface: the strain beyond the elastic `sigma_y / E`.
    pub plastic_strain: f64,
    /// Where it comes from; says "assumed" where it is.
    pub source: String,
}

impl KinkLimit {
    /// Share of the fully plastic moment that no push may pass (assumed). At it the surface curves four times as much as
    /// where it just yields, and one hundredth more of moment bends it half as much again.
    pub const HINGE_SHARE: f64 = 0.98;
    /// How far the tongue may be turned from the plate where it is pushed: 60 degrees (assumed).
    pub const TURN_RAD: f64 = std::f64::consts::FRAC_PI_3;

    /// One hundredth of permanent strain, whatever the alloy and temper.
    ///
    /// Assumed. No table of permanent strains that leave a tongue unkinked was found. Bend radii of strip (as in EN 1652)
    /// allow far more, a radius of three thicknesses 14 %, but they are limits of cracking, and a part that is formed may
    /// have a sharp corner; a tongue may not.
    pub fn assumed() -> Self {
        Self {
            plastic_strain: 0.01,
            source: "assumed: 1 % of permanent strain at the surface, for any alloy and temper".to_owned(),
        }
    }

    /// From the smallest bend radius that a data sheet gives for the strip, over its thickness: the surface of a bend of
    /// inner radius `R` is strained by `1 / (2 R/h + 1)`.
    ///
    /// ```
    /// use freereed::workshop::bend::KinkLimit;
    /// let limit = KinkLimit::from_bend_radius(12.0, 0.005, "a data sheet");
    /// assert!((limit.plastic_strain - 0.035).abs() < 1e-12);
    /// ```
    pub fn from_bend_radius(radius_over_thickness: f64, elastic_strain: f64, source: &str) -> Self {
        let strain = 1.0 / (2.0 * radius_over_thickness + 1.0);
        Self { plastic_strain: (strain - elastic_strain).max(0.0), source: source.to_owned() }
    }

    /// Largest `M/M_y` at any place, and which limit that is, for a metal that yields at `elastic_strain`.
    pub(super) fn moment_ratio(&self, elastic_strain: f64) -> (f64, Limit) {
        let hinge = Self::HINGE_SHARE * SHAPE_FACTOR;
        let curvature = 1.0 + self.plastic_strain / elastic_strain;
        if curvature < ratio_at(hinge) { (share_at(curvature), Limit::Strain) } else { (hinge, Limit::Hinge) }
    }
}
