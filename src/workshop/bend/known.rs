//! How well a tongue is known before it is bent.

use super::knee::Knee;
use crate::sheet::keys::find;
use crate::sheet::{CheckedReed, Value};

/// How far the yield strength of a strip may be from what its temper says, either way (assumed).
const YIELD_SHARE: f64 = 0.10;

/// What may be off, and by how much, when a bend is planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// Share by which the thickness may be off, either way.
    pub thickness_share: f64,
    /// How well a tip gap is measured (m).
    pub gap_m: f64,
    /// The ends of the doubt of how round the knee is.
    pub knees: [KneeEnd; 2],
}

/// An end of the doubt of how round a metal yields.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KneeEnd {
    /// The knee.
    pub knee: Knee,
    /// Yield strength that goes with it, over the one that is given: 1 where that comes from a table; after a push, the one
    /// with which this knee explains what the push left.
    pub yield_factor: f64,
    /// Share of it by which the metal may be softer.
    pub softer_share: f64,
    /// Share of it by which the metal may be harder.
    pub harder_share: f64,
}

impl KneeEnd {
    /// The yield strength as low as may be, over the one that is given.
    pub fn softest(&self) -> f64 {
        self.yield_factor * (1.0 - self.softer_share)
    }

    /// The yield strength as high as may be, over the one that is given.
    pub fn hardest(&self) -> f64 {
        self.yield_factor * (1.0 + self.harder_share)
    }

    /// The same, known to be no softer than this share of the strength that is given.
    #[must_use]
    pub(super) fn at_least(self, softest: f64) -> Self {
        if softest <= self.softest() {
            return self;
        }
        let yield_factor = self.yield_factor.max(softest);
        let harder_share = self.harder_share.min(self.hardest() / yield_factor - 1.0);
        // Harder than it was held for: it may be harder still by as much.
        let harder_share = if harder_share > 0.0 { harder_share } else { self.harder_share };
        Self { yield_factor, softer_share: 1.0 - softest / yield_factor, harder_share, ..self }
    }
}

impl Known {
    /// By the tolerances that were stated with the reed, else by the usual ones: the thickness from `f ~ h sqrt(E/rho) / L^2`
    /// where the pluck tells it, else from the micrometer; the yield strength to a tenth (assumed) unless a tolerance was
    /// stated for the one given; the knee as round as spring strip may have it.
    pub fn of(checked: &CheckedReed) -> Self {
        let yield_pa = checked.metal.yield_strength_pa.filter(|_| checked.spec.typed("yield_mpa").is_some());
        let stated = find("yield_mpa").and_then(|key| checked.spec.stated_tolerance(key));
        let yield_share = yield_pa.zip(stated).map_or(YIELD_SHARE, |(pascal, mpa)| 1e6 * mpa / pascal);
        let end = |exponent: i32| KneeEnd {
            knee: Knee::Round { exponent },
            yield_factor: 1.0,
            softer_share: yield_share,
            harder_share: yield_share,
        };
        Self {
            thickness_share: thickness_share(checked),
            gap_m: 1e-3 * tolerance(checked, "tip_gap_mm"),
            knees: Knee::EXPONENTS.map(end),
        }
    }

    /// Largest share by which the yield strength of either knee may be off.
    pub fn yield_share(&self) -> f64 {
        self.knees.iter().fold(0.0, |most, end| end.softer_share.max(end.harder_share).max(most))
    }
}

fn tolerance(checked: &CheckedReed, name: &str) -> f64 {
    find(name).and_then(|key| checked.spec.tolerance(key)).unwrap_or(0.0)
}

fn thickness_share(checked: &CheckedReed) -> f64 {
    let beam = &checked.reed.beam;
    let share = |name: &str, unit: f64, value: f64| tolerance(checked, name) * unit / value;
    let Some((Value::Number(pluck_hz), _)) = checked.spec.typed("measured_pluck_hz") else {
        let (thin, thick) = beam.thickness_m.range();
        return share("thickness_mm", 1e-3, 0.5 * (thin + thick));
    };
    let length = 2.0 * share("length_mm", 1e-3, beam.length_m);
    let modulus = 0.5 * share("youngs_modulus_gpa", 1e9, beam.youngs_modulus_pa);
    let density = 0.5 * share("density_kg_m3", 1.0, beam.density_kg_m3);
    length.hypot(modulus).hypot(density).hypot(share("measured_pluck_hz", 1.0, *pluck_hz))
}
