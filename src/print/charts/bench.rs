//! The sizes of a reed as a picture.

use super::words::{places, small_print, tone};
use crate::chart::{BenchView, SideClearance, TongueStation};
use crate::physics::{Profile, ReedModel};
use crate::sheet::{CheckedReed, Tuning};

/// The reed at rest over its slot.
///
/// ```
/// use freereed::{physics::ReedModel, print::charts::bench_view, sheet::{ReedFile, Tuning}};
/// let text = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.25\n";
/// let checked = ReedFile::parse("reed.toml", text).unwrap();
/// let model = ReedModel::new(checked.reed.clone()).unwrap();
/// let picture = bench_view("reed.toml", &checked, &model, &Tuning::default()).picture().to_svg();
/// assert!(picture.contains("tip clearance 0.030 mm"));
/// ```
pub fn bench_view(reed_name: &str, checked: &CheckedReed, model: &ReedModel, tuning: &Tuning) -> BenchView {
    let reed = model.reed();
    let (beam, slot, length_m) = (&reed.beam, &reed.slot, reed.beam.length_m);
    let station = |(place_m, inside): (f64, f64)| TongueStation {
        place_m,
        underside_m: reed.rest.height_m(place_m, length_m),
        thickness_m: beam.thickness_m.at_within(place_m, inside),
    };
    let side = |clearance: &Profile| SideClearance { at_tip_m: clearance.at(length_m), range_m: clearance.range() };
    let says = "At rest, unblown; the tongue is set to this curve and carries no stress.";
    BenchView {
        reed_name: reed_name.to_owned(),
        tone: tone(model.modes()[0].frequency_hz, tuning),
        tongue: places(&beam.breaks(), 48).into_iter().map(station).collect(),
        tip_width_m: beam.width_m.at(length_m),
        tip_mass_kg: beam.tip_mass_kg,
        left: side(&slot.left_clearance_m),
        right: side(&slot.right_clearance_m),
        tip_clearance_m: slot.tip_clearance_m,
        plate_m: slot.plate_thickness_m,
        small_print: small_print(checked, tuning, says),
    }
}
