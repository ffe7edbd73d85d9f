//! What measurements have in common: the tools they were taken with.

use super::surety::normal_below;
use crate::answer::Doubt;
use crate::sheet::Spread;
use crate::sheet::keys::Key;
use crate::sheet::{CheckedReed, Value};

/// What is off alike in all that was measured with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tool {
    /// Feelers, foils: gaps and clearances.
    Feeler,
    /// Calliper: lengths and widths.
    Calliper,
    /// Micrometer: thicknesses.
    Micrometer,
    /// Tuner: pitches.
    Tuner,
    /// The clamp and the place in which reeds ring down: losses, and how stiffly the root is held.
    Clamp,
    /// The strip: what is said of the metal.
    Metal,
    /// Syringe, or the same sizes of every chamber.
    Chamber,
    /// Whatever else, each input by itself.
    Other,
    // What is doubtful of all reeds of an instrument at once, each by itself.
    /// The factor on the inertances of the air.
    Inertance,
    /// The contraction of the jets.
    Contraction,
    /// The drag on the tongue.
    Drag,
    /// The volume of the chambers, where it is assumed.
    ChamberVolume,
    /// The length of the channels, where it is assumed.
    ChannelLength,
    /// The area of the channels, where it is assumed.
    ChannelArea,
    /// The player's lungs.
    Lungs,
    /// The player's mouth.
    Mouth,
    /// The weight at the tips.
    Weight,
    /// Stray leaks.
    Leak,
    /// The curve of the tongues at rest.
    Curve,
}

impl Tool {
    /// How many there are.
    pub const COUNT: usize = 19;

    /// The tool a key is measured with.
    pub fn of(key: &Key) -> Self {
        match key.name {
            "tip_gap_mm" | "root_gap_mm" | "side_clearance_mm" | "left_clearance_mm" | "right_clearance_mm"
            | "tip_clearance_mm" => Self::Feeler,
            "length_mm" | "width_mm" | "plate_thickness_mm" => Self::Calliper,
            "thickness_mm" => Self::Micrometer,
            "measured_pluck_hz" | "measured_sounding_hz" => Self::Tuner,
            "quality_factor" | "ring_down_s" | "root_spring_n_m_per_rad" => Self::Clamp,
            "density_kg_m3" | "youngs_modulus_gpa" | "shear_modulus_gpa" => Self::Metal,
            "volume_mm3" | "channel_length_mm" | "channel_area_mm2" => Self::Chamber,
            _ => Self::Other,
        }
    }

    /// What all reeds of an instrument have in common in an input that is assumed.
    fn of_assumed(key: &Key) -> Self {
        match key.name {
            "inertance_factor" => Self::Inertance,
            "contraction" => Self::Contraction,
            "drag_coefficient" => Self::Drag,
            "volume_mm3" => Self::ChamberVolume,
            "channel_length_mm" => Self::ChannelLength,
            "channel_area_mm2" => Self::ChannelArea,
            "lung_resistance_pa_s_m3" => Self::Lungs,
            "mouth_volume_cm3" => Self::Mouth,
            "tip_weight_share" => Self::Weight,
            "leak_mm2" => Self::Leak,
            "rest_exponent" => Self::Curve,
            _ => Self::of(key),
        }
    }

    /// Whether its errors have sharp bounds.
    pub(super) fn is_sharp(index: usize) -> bool {
        index <= Self::Other as usize
    }
}

/// How far an input may be off, as standard deviations.
///
/// A tolerance `a` is read as a bound within which every value is as likely, so that its standard deviation is `a/sqrt 3`
/// (JCGM 100:2008, 4.3.7). Half of that variance is taken to be the tool's own, the same for all that is measured with it,
/// and half the scatter of the single reading: `a/sqrt 6` each (assumed; nobody states the two apart). What was assumed is
/// off by the spread of its key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Off {
    pub(super) key: &'static Key,
    pub(super) tool: Tool,
    /// As typed or assumed, in the key's unit.
    value: f64,
    range: Range,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Range {
    /// So far either way.
    Within(f64),
    /// As the spread of what is assumed has it.
    Spread(Spread),
}

/// Variance of a rectangular distribution over the square of its half width.
pub(super) const RECTANGULAR: f64 = 1.0 / 3.0;
/// Share of the variance that all readings of a tool have in common.
const SHARED: f64 = 0.5;

impl Off {
    /// Every input of a reed that may be off.
    pub(super) fn all(checked: &CheckedReed) -> Vec<Self> {
        Doubt::all(checked).iter().filter_map(|doubt| Self::of(checked, doubt)).collect()
    }

    fn of(checked: &CheckedReed, doubt: &Doubt) -> Option<Self> {
        let key = doubt.key;
        let typed = match checked.spec.typed(&key.full_name()) {
            Some((Value::Number(number), _)) => Some(*number),
            _ => None,
        };
        let value = typed.or_else(|| checked.assumed_number(key))?;
        let (tool, range) = match (checked.spec.spread(key), doubt.measured) {
            (Some(spread), false) => (Tool::of_assumed(key), Range::Spread(spread)),
            _ => (Tool::of(key), Range::Within((doubt.values.first()? - value).abs())),
        };
        Some(Self { key, tool, value, range })
    }

    /// The value at `x` standard deviations from the one typed, or from the middle of what is assumed: of a spread, the
    /// value below which as many cases lie as below `x` in a normal distribution.
    fn at(&self, x: f64) -> f64 {
        match self.range {
            Range::Within(off) => self.value + x * RECTANGULAR.sqrt() * off,
            Range::Spread(spread) => spread.at(self.value, normal_below(x)),
        }
    }

    /// The reed with this input at `x` standard deviations; nothing where there can be no such reed.
    pub(super) fn moved(&self, checked: &CheckedReed, x: f64) -> Option<CheckedReed> {
        let value = self.at(x);
        let possible = (self.key.least..=self.key.most).contains(&value);
        possible.then(|| checked.spec.with(&self.key.full_name(), value).checked().ok()).flatten()
    }

    /// The reed with each of its inputs moved so far at once, as far as the inputs go; nothing where there can be no such
    /// reed.
    pub(super) fn all_moved(offs: &[Self], checked: &CheckedReed, places: &[f64]) -> Option<CheckedReed> {
        let moved = offs.iter().zip(places).fold(checked.spec.clone(), |spec, (off, x)| {
            spec.with(&off.key.full_name(), off.at(*x).clamp(off.key.least, off.key.most))
        });
        moved.checked().ok()
    }

    /// Whether what is assumed is not the middle of what it may be.
    pub(super) fn is_aside(&self) -> bool {
        (self.at(0.0) - self.value).abs() > 1e-9 * self.value.abs()
    }

    /// Whether it lies within sharp bounds.
    pub(super) fn is_sharp(&self) -> bool {
        matches!(self.range, Range::Within(_))
    }

    /// Share of the variance that all readings of its tool have in common.
    pub(super) fn shared(&self) -> f64 {
        match self.range {
            Range::Spread(spread) => spread.common,
            Range::Within(_) if self.tool == Tool::Other => 0.0,
            Range::Within(_) => SHARED,
        }
    }
}
