//! What temperature does to the clearances: tongue and plate grow differently.

use crate::physics::Reed;
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

impl Warmth {
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
