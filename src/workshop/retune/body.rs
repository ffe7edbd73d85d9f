//! What the work does to the tongue itself: how stiff it is, how hard the gap is to press shut, how it bends.

use super::work::{Work, least_thickness_m};
use crate::physics::Reed;
use crate::study::changed::tip_gap_m;

/// A tongue as the hand and the metal feel it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// Force on the tip per deflection (N/m).
    pub stiffness_n_m: f64,
    /// Even pressure that presses the tip down to the plate (Pa); nothing where it lies there.
    pub closing_pa: Option<f64>,
    /// Largest bending stress per tip motion (Pa/m), swinging.
    pub stress_per_swing_pa_m: f64,
    /// Where that is (m from the clamp).
    pub stress_at_m: f64,
    /// Least thickness of the patch, or of the tongue where nothing is filed (m).
    pub least_thickness_m: f64,
    /// Mass of the tongue with what is on its tip (kg).
    pub mass_kg: f64,
}

impl Body {
    pub(super) fn of(reed: &Reed, work: &Work) -> Self {
        let beam = &reed.beam;
        let (stress_per_swing_pa_m, stress_at_m) = beam.largest_stress(&beam.modes(1)[0].shape);
        let (from_m, to_m) = match *work {
            Work::File { from_m, to_m, .. } => (from_m, to_m),
            Work::Weigh { .. } => (0.0, beam.length_m),
        };
        let gap_m = tip_gap_m(reed);
        Self {
            stiffness_n_m: beam.tip_stiffness_n_m(),
            closing_pa: (gap_m > 0.0).then(|| gap_m / beam.compliance_m_pa()),
            stress_per_swing_pa_m,
            stress_at_m,
            least_thickness_m: least_thickness_m(beam, from_m, to_m),
            mass_kg: beam.mass_kg(),
        }
    }
}
