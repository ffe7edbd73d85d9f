//! Where the tongue stands: before any push, or after one that has taught its yield strength.

use super::{Pushed, RegapOptions, RegapRefusal};
use crate::sheet::CheckedReed;
use crate::workshop::bend::{BendPlan, BendRefusal, KinkLimit, Known, Learned, Push};

/// A reed on the bench.
pub(super) struct Standing {
    /// As it lay before the first push, with the yield strength that is known of it.
    pub zero: CheckedReed,
    /// As it lies now.
    pub now: CheckedReed,
    pub known: Known,
    pub pushed: Option<(Pushed, Learned)>,
}

impl Standing {
    pub fn of(checked: &CheckedReed, options: &RegapOptions) -> Result<Self, RegapRefusal> {
        let known = Known::of(checked);
        let known = Known { gap_m: options.gap_tolerance_m.unwrap_or(known.gap_m), ..known };
        let Some(pushed) = options.pushed else {
            return Ok(Self { zero: checked.clone(), now: checked.clone(), known, pushed: None });
        };
        let place_m = options.place_m.ok_or(RegapRefusal::PushedWhere)?;
        let push = Push { place_m, support: options.support };
        let learned = Learned::from_push(checked, push, pushed.travel_m, pushed.gap_m, known)?;
        // To a tenth of a megapascal: as it is written down.
        let zero = checked.with("yield_mpa", (1e-5 * learned.yield_strength_pa).round() / 10.0)?;
        let made = BendPlan::to_gap_knowing(&zero, push, pushed.gap_m, &KinkLimit::assumed(), learned.known);
        let now = made.map_err(|refusal| match refusal {
            BendRefusal::OutOfReach { limit, .. } => RegapRefusal::PushedTooFar { limit },
            other => other.into(),
        })?;
        Ok(Self { now: now.applied_to(&zero)?, zero, known: learned.known, pushed: Some((pushed, learned)) })
    }

    /// Tip gap now (m).
    pub fn gap_m(&self) -> f64 {
        tip_gap_m(&self.now)
    }

    /// Tip gap before the first push (m).
    pub fn zero_gap_m(&self) -> f64 {
        tip_gap_m(&self.zero)
    }

    /// Whether a gap lies back from where the push has brought the tongue.
    pub fn turns_back(&self, wanted_m: f64) -> bool {
        (wanted_m - self.gap_m()) * (self.gap_m() - self.zero_gap_m()) < 0.0
    }

    /// The bend from where its travels count. A tongue pushed on the same way ends as if pushed so far at once.
    pub fn bend(&self, push: Push, wanted_m: f64) -> Result<BendPlan, BendRefusal> {
        let from = if self.turns_back(wanted_m) { &self.now } else { &self.zero };
        BendPlan::to_gap_knowing(from, push, wanted_m, &KinkLimit::assumed(), self.known)
    }
}

pub(super) fn tip_gap_m(checked: &CheckedReed) -> f64 {
    let length_m = checked.reed.beam.length_m;
    checked.reed.rest.height_m(length_m, length_m)
}
