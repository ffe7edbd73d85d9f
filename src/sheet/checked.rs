//! What a checked reed is: SI values the physics can take, and what they lean on.

use serde::Serialize;

use super::alloys::Alloy;
use super::error::SheetError;
use super::keys::Key;
use super::reed_spec::ReedSpec;
use super::value::Value;
use crate::physics;

/// A value that was not given and is assumed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Assumed {
    /// The key, with its table where the bare name is not enough.
    pub key: String,
    /// The value with its unit.
    pub value: String,
    /// Why this value.
    pub why: String,
}

/// What was measured on the reed besides its sizes.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Measured {
    /// Plucked pitch at 20 degC (Hz).
    pub pluck_hz: Option<f64>,
    /// Static stiffness at the tip (N/m).
    pub stiffness_n_m: Option<f64>,
    /// Sounding pitch (Hz).
    pub sounding_hz: Option<f64>,
    /// Pressure at which sounding pitch and swing were taken (Pa).
    pub at_pa: Option<f64>,
    /// Tip swing to either side (m).
    pub swing_m: Option<f64>,
    /// Least pressure at which the reed starts (Pa).
    pub softest_blow_pa: Option<f64>,
}

/// What the plucked pitch says about the thickness.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThicknessFinding {
    /// Thickness found over thickness given; 1 where none was given.
    pub scale: f64,
    /// Whether a thickness was given.
    pub measured: bool,
    /// Whether the two differ by more than [`ThicknessFinding::tolerance_m`].
    pub disagrees: bool,
    /// What the stated tolerances of thickness, length and pluck allow (m): the root of the sum of their squares; and what an
    /// assumed weight at the tip makes of it.
    pub tolerance_m: f64,
    /// Mean thickness found (m).
    pub mean_found_m: f64,
    /// What sits on the tip with it.
    pub tip: Tip,
}

/// What sits on the tip of a tongue and how the tongue thins towards it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tip {
    /// Weight at the tip (kg); nothing where it was typed anew since.
    pub mass_kg: Option<f64>,
    /// How much thinner the tip is than the root, as a share; 0 where the thickness is as typed.
    pub thinning: f64,
}

/// The metal of the reed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Metal {
    /// Name of the alloy, or "as given" where density and modulus were given and no alloy was named.
    pub name: String,
    /// The alloy, where one was named or assumed.
    pub alloy: Option<Alloy>,
    /// The temper, as typed.
    pub temper: Option<String>,
    /// Yield strength (Pa), where it is known.
    pub yield_strength_pa: Option<f64>,
    /// Tensile strength (Pa), where it is known.
    pub tensile_strength_pa: Option<f64>,
    /// Fatigue strength (Pa) and the cycles it is for, where it is known.
    pub fatigue_strength_pa: Option<(f64, f64)>,
}

/// A reed whose every value is measured, or assumed and listed as such.
#[derive(Debug, Clone)]
pub struct CheckedReed {
    /// The reed in SI units; passes [`physics::Reed::check`].
    pub reed: physics::Reed,
    /// What was left out and assumed.
    pub assumed: Vec<Assumed>,
    /// Those of them that are numbers, in their keys' units.
    pub assumed_numbers: Vec<(&'static Key, f64)>,
    /// What a reader of the results should know.
    pub notes: Vec<String>,
    /// Measurements that are not inputs of the model.
    pub measured: Measured,
    /// What the plucked pitch says about the thickness, where it was measured.
    pub thickness: Option<ThicknessFinding>,
    /// The metal.
    pub metal: Metal,
    /// Temperature of the reed (degC), where it was stated.
    pub temperature_c: Option<f64>,
    /// What was typed.
    pub spec: ReedSpec,
}

impl CheckedReed {
    /// The same reed with one key changed and the thickness scale kept that its pluck gave: the pluck was measured on
    /// the reed as it is, and a change made to it must show in its pitch. (To say instead that something was measured
    /// differently, change [`CheckedReed::spec`].)
    ///
    /// A thickness set on a reed that had none is taken as it is; a new `measured_pluck_hz` finds a new scale.
    ///
    /// # Errors
    /// As [`ReedSpec::checked`].
    pub fn with(&self, key: &str, value: impl Into<Value>) -> Result<Self, SheetError> {
        self.spec.with(key, value).keeping(self).checked()
    }

    /// As [`CheckedReed::with`], with a key left out that was typed.
    ///
    /// # Errors
    /// As [`ReedSpec::checked`].
    pub fn without(&self, key: &str) -> Result<Self, SheetError> {
        self.spec.without(&[key]).keeping(self).checked()
    }

    /// As [`CheckedReed::with`], several keys at once, from text as a command line gives it.
    ///
    /// # Errors
    /// As [`ReedSpec::checked`].
    pub fn with_texts<'a>(&self, changes: impl IntoIterator<Item = (&'a str, &'a str)>) -> Result<Self, SheetError> {
        let changed = |spec: ReedSpec, (key, typed): (&str, &str)| spec.with_text(key, typed);
        changes.into_iter().fold(self.spec.clone(), changed).keeping(self).checked()
    }

    /// As [`CheckedReed::with`], several keys at once.
    ///
    /// # Errors
    /// As [`ReedSpec::checked`].
    pub fn with_values<'a>(&self, changes: impl IntoIterator<Item = (&'a str, Value)>) -> Result<Self, SheetError> {
        let changed = |spec: ReedSpec, (key, value): (&str, Value)| spec.with(key, value);
        changes.into_iter().fold(self.spec.clone(), changed).keeping(self).checked()
    }

    /// As [`CheckedReed::with`], with numbers that were fitted to what was measured.
    ///
    /// # Errors
    /// As [`ReedSpec::checked`].
    pub(crate) fn with_fitted(&self, numbers: &[(&str, f64)]) -> Result<Self, SheetError> {
        let fitted = |spec: ReedSpec, &(key, number): &(&str, f64)| spec.with_fitted(key, number);
        numbers.iter().fold(self.spec.clone(), fitted).keeping(self).checked()
    }

    /// The same reed with another thickness along its tongue (m), as [`Beam::filed`](physics::Beam::filed) gives it for
    /// this reed's own beam: written down as `thickness_stations_mm`, as a micrometer that is off as this one would read
    /// it at 20 degC.
    ///
    /// # Errors
    /// As [`ReedSpec::checked`]: a thickness out of range.
    pub fn with_thickness(&self, thickness_m: &physics::Profile) -> Result<Self, SheetError> {
        let length_m = self.reed.beam.length_m;
        let typed_m = match self.spec.typed("length_mm") {
            Some((Value::Number(mm), _)) => 1e-3 * mm,
            _ => length_m,
        };
        let warmer = length_m / typed_m;
        let scale = self.thickness.filter(|found| found.measured).map_or(1.0, |found| found.scale);
        // A millionth of a millimetre is finer than any file; the digits beyond it are round-off.
        let place_mm = |s: f64| (1e9 * s / warmer).round() * 1e-6;
        let station = |s: f64, inside: f64| (place_mm(s), 1e3 * thickness_m.at_within(s, inside) / (warmer * scale));
        let beam = physics::Beam { thickness_m: thickness_m.clone(), ..self.reed.beam.clone() };
        let ends = beam.breaks();
        let spans = ends.windows(2).flat_map(|w| [w[0], w[1]].map(|s| station(s, 0.5 * (w[0] + w[1]))));
        let mut stations: Vec<(f64, f64)> = spans.collect();
        // What is no step is one station.
        stations.dedup_by(|b, a| a.0 == b.0 && (b.1 - a.1).abs() < 1e-9 * a.1);
        self.with("thickness_stations_mm", stations)
    }

    /// The number assumed for a key that was left out, in its unit.
    pub fn assumed_number(&self, key: &Key) -> Option<f64> {
        self.assumed_numbers.iter().find(|(assumed, _)| *assumed == key).map(|(_, number)| *number)
    }

    /// Whether every value is the same as of another, typed and found, wherever it was typed.
    pub(super) fn says_as(&self, other: &Self) -> bool {
        let found = |reed: &Self| (reed.measured, reed.thickness, reed.temperature_c);
        let typed = |reed: &'_ Self| -> Vec<_> {
            let mut all: Vec<_> =
                reed.spec.typed_values().map(|(key, value)| (key.full_name(), value.clone())).collect();
            all.sort_by(|a, b| a.0.cmp(&b.0));
            all
        };
        // Why something is assumed changes nothing.
        let said = |reed: &Self| -> Vec<_> {
            reed.assumed.iter().map(|assumed| (assumed.key.clone(), assumed.value.clone())).collect()
        };
        let spreads = |reed: &Self| {
            let of_assumed = reed.assumed_numbers.iter().map(|(key, _)| reed.spec.spread(key));
            (of_assumed.collect::<Vec<_>>(), reed.measured.softest_blow_pa.map(|_| reed.spec.blown_times()))
        };
        self.reed == other.reed
            && found(self) == found(other)
            && self.metal == other.metal
            && said(self) == said(other)
            && self.assumed_numbers == other.assumed_numbers
            && spreads(self) == spreads(other)
            && typed(self) == typed(other)
    }
}
