//! What temperature does to the clearances: tongue and plate grow differently.

use crate::physics::Reed;
use crate::sheet::{Alloy, CheckedReed, known_alloys};
use crate::workshop::sides::Sides;

/// Temperatures of tongue and plate, and how they grow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Temperature of both when the clearances were measured (degC).
    pub measured_c: f64,
    /// Temperature of the tongue when played (degC).
    pub reed_c: f64,
    /// Temperature of the plate when played (degC).
    pub plate_c: f64,
    /// Linear expansion of the tongue (1/K).
    pub reed_per_k: f64,
    /// Linear expansion of the plate (1/K).
    pub plate_per_k: f64,
}

/// Where the expansion of the tongue's metal is not known (1/K): between brass, bronze and steel.
pub const USUAL_EXPANSION_PER_K: f64 = 18e-6;
impl Warmth {
    /// Alloy of a plate of which nothing is said: yellow brass.
    pub const USUAL_PLATE: &str = "C27200";
    /// Temperature of a tongue that is played (degC), and of a plate that is still cold: the worst there is.
    pub const USUAL_C: (f64, f64) = (34.0, 20.0);

    /// Where nothing is said.
    pub fn usual(checked: &CheckedReed) -> Self {
        let plate = known_alloys().iter().find(|alloy| alloy.is_called(Self::USUAL_PLATE));
        Self::of(checked, plate, Self::USUAL_C.0, Self::USUAL_C.1)
    }

    /// Of a tongue played at `reed_c` in a plate at `plate_c`; what is not known of a metal is usual.
    pub fn of(checked: &CheckedReed, plate: Option<&Alloy>, reed_c: f64, plate_c: f64) -> Self {
        let expansion = |alloy: Option<&Alloy>| {
            let known = alloy.and_then(|alloy| alloy.expansion_per_k.as_ref());
            known.map_or(USUAL_EXPANSION_PER_K, |datum| datum.value)
        };
        Self {
            measured_c: checked.temperature_c.unwrap_or(20.0),
            reed_c,
            plate_c,
            reed_per_k: expansion(checked.metal.alloy.as_ref()),
            plate_per_k: expansion(plate),
        }
    }

    /// Change of a side's clearance (m): half of what the slot widens less what the tongue widens, at its widest.
    pub fn side_change_m(&self, sides: &Sides, reed: &Reed) -> f64 {
        let width = reed.beam.width_m.range().1;
        0.5 * ((width + 2.0 * sides.mean_m()) * self.plate() - width * self.tongue())
    }

    /// Change of the clearance at the tip (m): both grow from the clamp.
    pub fn tip_change_m(&self, reed: &Reed) -> f64 {
        let length = reed.beam.length_m;
        (length + reed.slot.tip_clearance_m) * self.plate() - length * self.tongue()
    }

    fn tongue(&self) -> f64 {
        self.reed_per_k * (self.reed_c - self.measured_c)
    }

    fn plate(&self) -> f64 {
        self.plate_per_k * (self.plate_c - self.measured_c)
    }
}
