//! What the slot takes: its width less two clearances, its length less one.

use super::{ReplaceOptions, ReplaceRefusal};
use crate::physics::Reed;
use crate::sheet::{CheckedReed, SheetError, Value};
use crate::study::changed::tip_gap_m;

/// How even a slot must be to be parallel (m): what a calliper tells.
const PARALLEL_M: f64 = 2e-6;

/// Room for a tongue.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Distance from the tip (m) and width of the slot there (m).
    pub slot_m: Vec<(f64, f64)>,
    /// Width of the tongue: the slot's least width less two clearances (m).
    pub width_m: f64,
    /// Clearance at each side where the slot is narrowest (m).
    pub clearance_m: f64,
    /// Shortest and longest tongue that is looked at (m).
    pub lengths_m: (f64, f64),
    /// Longest that the slot takes with the tip clearance as it is (m).
    pub longest_m: f64,
}

impl Opening {
    pub(super) fn of(old: &CheckedReed, options: &ReplaceOptions) -> Result<Self, ReplaceRefusal> {
        let reed = &old.reed;
        let slot_m = widths(reed);
        let least_m = slot_m.iter().map(|place| place.1).fold(f64::INFINITY, f64::min);
        let clearance_m = options.clearance_m.unwrap_or_else(|| least_clearance_m(reed));
        let width_m = least_m - 2.0 * clearance_m;
        // Narrower is a wire: the least of the key table.
        if width_m < 0.3e-3 {
            return Err(ReplaceRefusal::NoWidth { slot_m: least_m, clearance_m });
        }
        let longest_m = reed.beam.length_m;
        let (shortest_m, most_m) = options.lengths_m.unwrap_or((longest_m, longest_m));
        if shortest_m > most_m || shortest_m > longest_m + 1e-6 {
            return Err(ReplaceRefusal::NoLength { shortest_m, longest_m: most_m, slot_m: longest_m });
        }
        Ok(Self {
            slot_m,
            width_m,
            clearance_m,
            lengths_m: (shortest_m.min(longest_m), most_m.min(longest_m)),
            longest_m,
        })
    }

    /// A uniform tongue of this strip in the slot; the rest as with the old reed, less what was measured on that.
    pub(super) fn blank(
        &self,
        old: &CheckedReed,
        options: &ReplaceOptions,
        strip_m: f64,
        length_m: f64,
    ) -> Result<CheckedReed, SheetError> {
        let mut gone = vec![
            "measured_pluck_hz",
            "measured_sounding_hz",
            "measured_at_pa",
            "measured_swing_mm",
            "softest_blow_pa",
            "ring_down_s",
            "tip_mass_mg",
            "tip_weight_share",
            "tip_thinning",
            "closing_force_g",
            "stiffness_n_m",
            "rest_stations_mm",
            "reed.temperature_c",
        ];
        let new_alloy = options.alloy.as_ref().is_some_and(|name| *name != old.metal.name);
        if new_alloy {
            gone.extend(["temper", "reed.density_kg_m3", "youngs_modulus_gpa", "shear_modulus_gpa", "yield_mpa"]);
        }
        let gap_m = options.tip_gap_m.unwrap_or_else(|| tip_gap_m(&old.reed));
        let mut spec = old.spec.without(&gone);
        let texts = [("alloy", &options.alloy), ("temper", &options.temper)];
        for (key, text) in texts.into_iter().filter_map(|(key, text)| Some((key, text.as_deref()?))) {
            spec = spec.with(key, text);
        }
        let quality_assumed = old.assumed.iter().any(|assumed| assumed.key == "quality_factor");
        if !quality_assumed {
            spec = spec.with("quality_factor", round(old.reed.quality_factor));
        }
        let mm = |metres: f64| round(1e3 * metres);
        spec =
            spec.with("length_mm", mm(length_m)).with("width_mm", mm(self.width_m)).with("thickness_mm", mm(strip_m));
        spec = spec.with("tip_gap_mm", mm(gap_m)).with("tip_mass_mg", 0.0);
        let (key, clearance) = self.clearance(mm(length_m));
        spec.with(key, clearance).checked()
    }

    /// One number where the slot is parallel, else stations.
    fn clearance(&self, length_mm: f64) -> (&'static str, Value) {
        let widest_m = self.slot_m.iter().map(|place| place.1).fold(0.0, f64::max);
        if widest_m - self.width_m - 2.0 * self.clearance_m < PARALLEL_M {
            return ("side_clearance_mm", round(1e3 * self.clearance_m).into());
        }
        let clearance = |width_m: f64| round(1e3 * 0.5 * (width_m - self.width_m));
        let from_tip =
            self.slot_m.iter().map(|&(from_tip_m, width_m)| (length_mm - 1e3 * from_tip_m, clearance(width_m)));
        let mut stations: Vec<(f64, f64)> = from_tip.filter(|&(place, _)| place > 1e-2).collect();
        let root_mm = self.width_at_m(1e-3 * length_mm);
        stations.insert(0, (0.0, clearance(root_mm)));
        ("side_clearance_stations_mm", stations.into())
    }

    /// Width of the slot at a distance from the tip (m), linear between places.
    fn width_at_m(&self, from_tip_m: f64) -> f64 {
        let after = self.slot_m.iter().rposition(|place| place.0 >= from_tip_m).unwrap_or(0);
        match self.slot_m.get(after + 1) {
            Some(&next) => {
                let before = self.slot_m[after];
                let share = if before.0 > next.0 { (before.0 - from_tip_m) / (before.0 - next.0) } else { 0.0 };
                before.1 + share * (next.1 - before.1)
            }
            None => self.slot_m[after].1,
        }
    }
}

/// Widths of the slot from the root to the tip.
fn widths(reed: &Reed) -> Vec<(f64, f64)> {
    let width = |s: f64| reed.beam.width_m.at(s) + clearances(reed, s);
    places(reed).into_iter().map(|s| (reed.beam.length_m - s, width(s))).collect()
}

/// The closest fit of the old tongue, the mean of both sides (m).
fn least_clearance_m(reed: &Reed) -> f64 {
    places(reed).into_iter().map(|s| 0.5 * clearances(reed, s)).fold(f64::INFINITY, f64::min)
}

/// Both sides together (m).
fn clearances(reed: &Reed, s: f64) -> f64 {
    reed.slot.left_clearance_m.at(s) + reed.slot.right_clearance_m.at(s)
}

/// Places at which the slot's width may turn (m from the clamp).
fn places(reed: &Reed) -> Vec<f64> {
    let length_m = reed.beam.length_m;
    let (left, right) = (&reed.slot.left_clearance_m, &reed.slot.right_clearance_m);
    let stations = [&reed.beam.width_m, left, right].into_iter().flat_map(|profile| profile.stations());
    let mut places: Vec<f64> = stations.map(|station| station.0).chain([0.0, length_m]).collect();
    places.retain(|&s| s <= length_m);
    places.sort_by(f64::total_cmp);
    places.dedup_by(|b, a| *b - *a < 1e-5);
    places
}

/// To a ten-thousandth of a micrometre: what is beyond is round-off.
fn round(number: f64) -> f64 {
    (number * 1e7).round() * 1e-7
}
