//! How softly a root must be held for a tongue to swing at a pitch.

use super::Beam;
use crate::physics::crossing;

/// Softest root looked for: a tenth of the tongue's own `E I/L`. Below it the root is a hinge and no clamp.
const SOFTEST: f64 = 0.1;
/// Relative accuracy to which the frequency is met.
const ACCURACY: f64 = 1e-12;

impl Beam {
    /// The tongue's own stiffness against turning at its root, `E I/L` with `I` at the root (N m/rad): what a root spring
    /// is to be measured by. A spring of a hundred times this makes a uniform tongue 34 cents flat.
    pub fn root_stiffness_n_m_per_rad(&self) -> f64 {
        let inertia_m4 = self.width_m.at(0.0) * self.thickness_m.at(0.0).powi(3) / 12.0;
        self.youngs_modulus_pa * inertia_m4 / self.length_m
    }

    /// The same tongue with its root held by another spring (N m/rad); none is built in.
    #[must_use]
    pub fn with_root_spring(&self, spring_n_m_per_rad: Option<f64>) -> Self {
        Self { root_spring_n_m_per_rad: spring_n_m_per_rad, ..self.clone() }
    }

    /// The root spring (N m/rad) with which this tongue swings at `frequency_hz`, whatever holds it now. Nothing where it
    /// would not swing so slow on any clamp (softer than a tenth of [`Beam::root_stiffness_n_m_per_rad`]), or not so fast even
    /// built in.
    ///
    /// ```
    /// use freereed::cases::reeds::strip;
    /// let soft = strip().with_root_spring(Some(2.0));
    /// let found = strip().root_spring_for(soft.modes(1)[0].frequency_hz).unwrap();
    /// assert!((found / 2.0 - 1.0).abs() < 1e-6);
    /// ```
    pub fn root_spring_for(&self, frequency_hz: f64) -> Option<f64> {
        let own = self.root_stiffness_n_m_per_rad();
        let spring = |give: f64| (give > 0.0).then(|| own / give);
        // Nearly a straight line in how much the root gives.
        let off = |give: f64| self.with_root_spring(spring(give)).modes(1)[0].frequency_hz - frequency_hz;
        let ends = [0.0, 1.0 / SOFTEST].map(|give| (give, off(give)));
        let within = ends[0].1 > 0.0 && ends[1].1 <= 0.0;
        within.then(|| crossing(ends, ACCURACY * frequency_hz, off)).and_then(spring)
    }
}
