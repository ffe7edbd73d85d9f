//! How well things were measured.

use super::keys::{Key, find};

/// Tolerances of measurement, in each key's unit; what is not stated is what ordinary tools give.
#[derive(Debug, Clone, Default)]
pub struct Tolerances {
    stated: Vec<(&'static Key, f64)>,
    pluck_cents: Option<f64>,
}

impl Tolerances {
    /// How well a plucked pitch is read when nothing is stated (cents).
    pub const USUAL_PLUCK_CENTS: f64 = 1.0;

    /// States a tolerance.
    pub fn state(&mut self, key: &'static Key, tolerance: f64) {
        self.stated.retain(|(known, _)| *known != key);
        self.stated.push((key, tolerance));
    }

    /// States how well a plucked pitch was read (cents).
    pub fn state_pluck_cents(&mut self, cents: f64) {
        self.pluck_cents = Some(cents);
    }

    /// Tolerance of a key in its unit: as stated, else the usual one; none for keys without one.
    pub fn of(&self, name: &str) -> Option<f64> {
        let key = find(name)?;
        self.stated_for(key).or(key.tolerance)
    }

    /// The tolerance that was stated for a key.
    pub fn stated_for(&self, key: &Key) -> Option<f64> {
        self.stated.iter().find(|(known, _)| *known == key).map(|(_, tolerance)| *tolerance)
    }

    /// All tolerances that were stated.
    pub fn stated(&self) -> &[(&'static Key, f64)] {
        &self.stated
    }

    /// How well a pluck of `pluck_hz` was read (cents).
    pub fn pluck_cents(&self, pluck_hz: f64) -> f64 {
        let from_hz = || {
            let key = find("measured_pluck_hz")?;
            Some(super::notes::cents(pluck_hz + self.stated_for(key)?, pluck_hz))
        };
        self.pluck_cents.or_else(from_hz).unwrap_or(Self::USUAL_PLUCK_CENTS)
    }
}
