//! Fatigue in numbers: the S-N line and the mean stress.
//!
//! Basquin's line `S = A N^b` runs through two points, 0.9 of the tensile strength at a thousand cycles and the published
//! fatigue strength at its number of cycles (*Shigley's Mechanical Engineering Design*, chapter on fatigue, from memory;
//! its problem 6-15 is a check). Copper alloys have no endurance limit: the line goes on beyond its second point.
//! Goodman's line takes the mean stress in: `sigma_a/S + sigma_m/S_ut = 1/n`.

use crate::physics::bending::StressCycle;

/// Share of the tensile strength that a thousand cycles bear.
const AT_A_THOUSAND: f64 = 0.9;
/// Cycles of the line's first point.
const THOUSAND: f64 = 1e3;

/// Stress amplitude about zero mean over the number of cycles that break the metal: `S = A N^b`, from a thousand cycles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SnLine {
    /// `A` (Pa).
    pub coefficient_pa: f64,
    /// `b`, below zero.
    pub exponent: f64,
}

impl SnLine {
    /// Through 0.9 of the tensile strength at 1e3 cycles and a fatigue strength at its cycles.
    ///
    /// ```
    /// use freereed::workshop::life::SnLine;
    /// let line = SnLine::of(650e6, 160e6, 1e8);
    /// assert!((line.cycles(200e6) / 1.378e7 - 1.0).abs() < 1e-3);
    /// ```
    pub fn of(tensile_pa: f64, fatigue_pa: f64, fatigue_cycles: f64) -> Self {
        let first_pa = AT_A_THOUSAND * tensile_pa;
        let exponent = (fatigue_pa / first_pa).ln() / (fatigue_cycles / THOUSAND).ln();
        Self { coefficient_pa: first_pa * THOUSAND.powf(-exponent), exponent }
    }

    /// Stress amplitude about zero mean that breaks the metal after `cycles` (Pa); below a thousand, that of a thousand.
    pub fn strength_pa(&self, cycles: f64) -> f64 {
        self.coefficient_pa * cycles.max(THOUSAND).powf(self.exponent)
    }

    /// Cycles that break the metal at a stress amplitude about zero mean; meaningless below a thousand.
    pub fn cycles(&self, amplitude_pa: f64) -> f64 {
        (amplitude_pa / self.coefficient_pa).powf(1.0 / self.exponent)
    }
}

/// Safety factor `n` of Goodman's line, `sigma_a/S + sigma_m/S_ut = 1/n`: stresses may grow `n` times. Infinite at rest.
pub fn goodman(cycle: &StressCycle, strength_pa: f64, tensile_pa: f64) -> f64 {
    1.0 / (cycle.amplitude_pa / strength_pa + cycle.mean_pa.abs() / tensile_pa)
}

/// The amplitude about zero mean that tires the metal as much (Pa), `sigma_a/(1 - sigma_m/S_ut)`; infinite where the mean
/// alone breaks it.
pub fn about_zero_pa(cycle: &StressCycle, tensile_pa: f64) -> f64 {
    let left = 1.0 - cycle.mean_pa.abs() / tensile_pa;
    if left > 0.0 { cycle.amplitude_pa / left } else { f64::INFINITY }
}
