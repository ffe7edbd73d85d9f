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
/// A plate of yellow brass, where nothing is said of it.
const USUAL_PLATE: &str = "C27200";

impl Warmth {
    /// Where nothing is said: the tongue at 34 degC in a plate that is still at 20 degC, the worst there is.
    pub fn usual(checked: &CheckedReed) -> Self {
        let expansion = |alloy: &Alloy| alloy.expansion_per_k.as_ref().map(|datum| datum.value);
        let plate = known_alloys().iter().find(|alloy| alloy.is_called(USUAL_PLATE)).and_then(expansion);
        Self {
            measured_c: checked.temperature_c.unwrap_or(20.0),
            reed_c: 34.0,
            plate_c: 20.0,
            reed_per_k: checked.metal.alloy.as_ref().and_then(expansion).unwrap_or(USUAL_EXPANSION_PER_K),
            plate_per_k: plate.unwrap_or(USUAL_EXPANSION_PER_K),
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
