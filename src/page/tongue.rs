//! The tongue in its slot, as places and heights to draw.

use serde_json::{Value, json};

use crate::sheet::CheckedReed;
use crate::study::changed::side_clearance_m;

/// Places along the tongue at which it is drawn.
const PLACES: u32 = 32;

/// Length, rest, thickness and slot (mm).
pub(super) fn tongue(checked: &CheckedReed) -> Value {
    let reed = &checked.reed;
    let length_m = reed.beam.length_m;
    let place = |k: u32| length_m * f64::from(k) / f64::from(PLACES);
    let station = |k: u32| {
        let s = place(k);
        [s, reed.rest.height_m(s, length_m), reed.beam.thickness_m.at(s)].map(|metres| 1e3 * metres)
    };
    json!({
        "stations_mm": (0..=PLACES).map(station).collect::<Vec<_>>(),
        "width_mm": 1e3 * reed.beam.width_m.at(length_m),
        "side_clearance_mm": 1e3 * side_clearance_m(reed),
        "tip_clearance_mm": 1e3 * reed.slot.tip_clearance_m,
        "plate_mm": 1e3 * reed.slot.plate_thickness_m,
    })
}
