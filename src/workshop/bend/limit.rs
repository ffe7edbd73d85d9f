//! How far a tongue may be bent before it is spoilt.

use super::knee::{Curve, Knee, SHAPE_FACTOR};

/// What ends a push.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Limit {
    /// The surface would be strained more than [`KinkLimit::plastic_strain`] allows.
    Strain,
    /// The tongue would curve as one with a sharp knee does at [`KinkLimit::HINGE_SHARE`] of its fully plastic moment: it
    /// folds at one place.
    Hinge,
    /// The tongue would be turned by more than [`KinkLimit::TURN_RAD`] where it is pushed: the tool slips off.
    Turn,
}

/// The strain a surface may take, and whether that is from a source.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct KinkLimit {
    /// Largest permanent strain of the surface.
    pub plastic_strain: f64,
    /// Where it comes from; says "assumed" where it is.
    pub source: String,
}

impl KinkLimit {
    /// Share of the fully plastic moment of a sharp knee whose curvature no push may pass (assumed). At it the surface curves
    /// four times as much as where it just yields, and one hundredth more of moment bends it half as much again. A round knee
    /// hardens and does not run away so, but may not be curved more either.
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

    /// Largest `kappa/kappa_y` at any place, and which limit that is.
    pub(super) fn curvature_ratio(&self, curve: &Curve) -> (f64, Limit) {
        let strained = curve.at_permanent_strain(self.plastic_strain);
        // A sharp knee's curve at this moment has nothing of the metal in it.
        let hinge = Curve::new(Knee::Sharp, 1.0).curvature(Self::HINGE_SHARE * SHAPE_FACTOR);
        if strained < hinge { (strained, Limit::Strain) } else { (hinge, Limit::Hinge) }
    }
}
