//! The room a tongue has left in its slot, off the middle and turned, when played.

use crate::sheet::CheckedReed;
use crate::workshop::align::{Alignment, Fit, Options, Placement, USUAL_RIVET_M, Warmth, clearance_tolerance_m};

/// How a tongue fits its slot when played: warm in a plate that is still cold, the worst there is. Nothing for a slot without
/// room.
pub(super) fn fit(checked: &CheckedReed) -> Option<Fit> {
    let tolerance_m = clearance_tolerance_m(checked);
    let warmth = Warmth::usual(checked);
    let options = Options { placement: Placement::AsInFile, tolerance_m, rivet_m: USUAL_RIVET_M, warmth };
    Alignment::plan(checked, &options).ok().map(|plan| plan.now)
}
