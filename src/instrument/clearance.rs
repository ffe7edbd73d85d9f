//! The room a tongue has left in its slot, off the middle and turned, when played.

use crate::sheet::{Alloy, CheckedReed, known_alloys};
use crate::workshop::align::{Alignment, Fit, Options, Placement, USUAL_RIVET_M, Warmth, clearance_tolerance_m};

/// Where the expansion of the tongue's metal is not known (1/K): between brass, bronze and steel.
const USUAL_EXPANSION_PER_K: f64 = 18e-6;
/// A plate of yellow brass, as nothing is said of it.
const PLATE: &str = "C27200";

/// How a tongue fits its slot when played: the tongue at 34 degC in a plate that is still at 20 degC, the worst there is.
/// Nothing for a slot without room.
pub(super) fn fit(checked: &CheckedReed) -> Option<Fit> {
    let expansion = |alloy: &Alloy| alloy.expansion_per_k.as_ref().map(|datum| datum.value);
    let plate = known_alloys().iter().find(|alloy| alloy.is_called(PLATE)).and_then(expansion);
    let warmth = Warmth {
        measured_c: checked.temperature_c.unwrap_or(20.0),
        reed_c: 34.0,
        plate_c: 20.0,
        reed_per_k: checked.metal.alloy.as_ref().and_then(expansion).unwrap_or(USUAL_EXPANSION_PER_K),
        plate_per_k: plate.unwrap_or(USUAL_EXPANSION_PER_K),
    };
    let tolerance_m = clearance_tolerance_m(checked);
    let options = Options { placement: Placement::AsInFile, tolerance_m, rivet_m: USUAL_RIVET_M, warmth };
    Alignment::plan(checked, &options).ok().map(|plan| plan.now)
}
