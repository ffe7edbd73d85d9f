//! Where the tongue is pushed, which way, and over what.

use super::refusal::BendRefusal;
use super::tongue::Tongue;

/// Where the tongue is pushed, and the support it is bent over, if any.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Push {
    /// Place that is pushed, along the tongue from the clamp (m). The tool stays at this place of the tongue.
    pub place_m: f64,
    /// What the tongue comes to rest on between clamp and push.
    pub support: Option<Support>,
}

/// An edge the tongue is bent over, without friction: that of a shim under it when it is pushed down, that of a bar held
/// over it when it is lifted. It stands still; the tongue may leave it and slide on it.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Support {
    /// Where the edge is, along the plate from the clamp (m).
    pub place_m: f64,
    /// Height of the tongue's underside above the plate when it touches (m): the thickness of a shim that lies on the
    /// plate. For a bar over the tongue, that of its lower edge less the thickness of the tongue.
    pub height_m: f64,
}

/// Which way the tongue is pushed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Direction {
    /// Towards the plate, and into the slot: the gap becomes smaller.
    Down,
    /// Away from the plate: the gap becomes larger.
    Up,
}

impl Direction {
    /// The way from one gap to another.
    pub fn from_to(gap_m: f64, wanted_m: f64) -> Self {
        if wanted_m < gap_m { Self::Down } else { Self::Up }
    }

    /// 1 upwards, -1 downwards.
    pub fn sign(self) -> f64 {
        match self {
            Self::Down => -1.0,
            Self::Up => 1.0,
        }
    }
}

/// A lever shorter than this many thicknesses shears and dents more than it bends (assumed; shear adds some
/// `0.8 (h/arm)^2` to the deflection, 5 % at four).
const LEAST_ARM: f64 = 4.0;

impl Push {
    /// # Errors
    /// A place off the tongue, or too near to what the tongue is bent over.
    pub(super) fn check(&self, tongue: &Tongue) -> Result<(), BendRefusal> {
        let length_m = tongue.beam.length_m;
        let arm_m = LEAST_ARM * tongue.beam.thickness_m.range().1;
        let not_within = |value: f64, least: f64, most: f64| !(least..=most).contains(&value);
        let supports_m = if self.support.is_some() { 2.0 * arm_m } else { arm_m };
        if not_within(self.place_m, supports_m, length_m * (1.0 + 1e-9)) {
            return Err(BendRefusal::Place { place_m: self.place_m, least_m: supports_m, most_m: length_m });
        }
        let Some(support) = self.support else { return Ok(()) };
        let most_m = self.place_m - arm_m;
        if not_within(support.place_m, arm_m, most_m) {
            return Err(BendRefusal::SupportPlace { place_m: support.place_m, least_m: arm_m, most_m });
        }
        if !support.height_m.is_finite() {
            let (what, allowed) = ("height of the support (m)", "a finite number");
            return Err(BendRefusal::NotSensible { what, value: support.height_m, allowed });
        }
        Ok(())
    }
}
