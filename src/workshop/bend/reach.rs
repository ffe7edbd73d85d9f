//! What is wanted of a tongue, and how near to it one push leads: for less work than a plan.

use super::known::Known;
use super::limit::KinkLimit;
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::tongue::Tongue;
use super::uncertain::Uncertain;
use crate::sheet::CheckedReed;

/// A change of gap smaller than this is none (m).
const LEAST_SET_M: f64 = 1e-9;

/// A tongue and the change of its tip gap that is wanted.
pub(super) struct Wanted {
    pub tongue: Tongue,
    /// Tip gap now (m).
    pub gap_m: f64,
    /// Change of it (m).
    pub set_m: f64,
    pub direction: Direction,
}

impl Wanted {
    /// # Errors
    /// A yield strength that is not known; a gap that is no number, or there already.
    pub fn of(checked: &CheckedReed, wanted_gap_m: f64) -> Result<Self, BendRefusal> {
        let tongue = Tongue::of(checked)?;
        let gap_m = tongue.tip_gap_m();
        if !wanted_gap_m.is_finite() {
            let (what, allowed) = ("wanted tip gap (m)", "a finite number");
            return Err(BendRefusal::NotSensible { what, value: wanted_gap_m, allowed });
        }
        let set_m = (wanted_gap_m - gap_m).abs();
        if set_m < LEAST_SET_M {
            return Err(BendRefusal::AlreadyThere { gap_m });
        }
        Ok(Self { tongue, gap_m, set_m, direction: Direction::from_to(gap_m, wanted_gap_m) })
    }
}

/// The tip gap (m) nearest to one wanted that one push leaves within [`KinkLimit::assumed`] if all is as expected: that one
/// itself, where [`BendPlan::to_gap`](super::BendPlan::to_gap) plans it, else the farthest.
///
/// # Errors
/// As [`BendPlan::to_gap`](super::BendPlan::to_gap), but for a gap that is out of reach.
pub fn nearest_of_one_push_m(checked: &CheckedReed, push: Push, wanted_gap_m: f64) -> Result<f64, BendRefusal> {
    let Wanted { tongue, set_m, direction, .. } = Wanted::of(checked, wanted_gap_m)?;
    let limit = KinkLimit::assumed();
    let uncertain = Uncertain::new(&tongue, push, direction, Known::of(checked), &limit)?;
    let trio = uncertain.pushed(&limit)?;
    trio.check_support(set_m)?;
    let (largest, largest_set_m) = trio.largest(&tongue, direction)?;
    Ok(if set_m <= largest_set_m { wanted_gap_m } else { largest.gap_m })
}
