//! One push is a guess: what it may leave, and how to come to the gap in steps.

use super::knee::Knee;
use super::refusal::BendRefusal;
use super::uncertain::Trio;

/// What one push to the planned travel may leave, as far as yield strength, knee and thickness are known.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Spread {
    /// Share by which the yield strength may be off, either way.
    pub yield_share: f64,
    /// Share by which the thickness may be off, either way.
    pub thickness_share: f64,
    /// The ends of the doubt of how round the knee is.
    pub knees: [Knee; 2],
    /// Tip gap if the metal is as soft as may be, and the thickness off so as to add to that (m): it moves farthest.
    pub softest_gap_m: f64,
    /// Tip gap if the metal is as hard as may be, and the thickness off so as to add to that (m): it moves least, perhaps
    /// not at all.
    pub hardest_gap_m: f64,
}

/// How to come to the gap without passing it: push to a travel, let go, measure; if the gap is not there, push a little
/// further than before, each travel measured from where the tongue lay before the *first* push. A tongue pushed again the
/// same way first springs all the way back to where it was pushed to, and only then goes on yielding, so the last push of
/// many leaves what one push that far would have left.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Steps {
    /// First push: the travel of the pushed place that brings the softest tongue to the gap, with whichever knee brings it
    /// there first (m).
    pub first_travel_m: f64,
    /// By how much each push goes further (m): the softest tongue then moves by [`Steps::stop_within_m`] a step at most.
    pub increment_m: f64,
    /// Travel by which the hardest tongue is at the gap, or [`Steps::never_beyond_m`] (m).
    pub last_travel_m: f64,
    /// Most pushes that takes; fewer if the yield strength is learned on the way, see
    /// [`learned_yield_pa`](super::learned_yield_pa).
    pub most: usize,
    /// Stop when the gap is as near as this to the gap wanted, or past it (m): as well as a gap is measured.
    pub stop_within_m: f64,
    /// Stop in any case at this travel: further, the softest tongue may kink (m).
    pub never_beyond_m: f64,
}

impl Steps {
    /// The push after one that was made, as well as the tongue is known by it (m): a step beyond where the softest tongue is at
    /// the gap, or beyond the push that was made. So even that passes the gap by no more than it is measured
    /// ([`Steps::stop_within_m`]), and one as expected comes within that of it.
    pub fn next_travel_m(&self, pushed_m: f64) -> f64 {
        (self.first_travel_m.max(pushed_m) + self.increment_m).min(self.never_beyond_m)
    }

    /// From the softest, the expected and the hardest tongue.
    pub(super) fn to_set(
        trio: &Trio,
        set_m: f64,
        never_beyond_m: f64,
        stop_within_m: f64,
    ) -> Result<Self, BendRefusal> {
        let mut first_travel_m = never_beyond_m;
        let mut slope: f64 = 1e-3;
        for soft in &trio.soft {
            let Some(there) = soft.tip_set(set_m)? else { continue };
            first_travel_m = first_travel_m.min(there.place_travel_m);
            // The set grows ever faster with travel, so the step is taken where the softest tongue is at the gap.
            let less = soft.place_travel(0.999 * there.place_travel_m)?;
            let rise = less.map_or(1.0, |less| (set_m - less.tip_set_m) / (there.place_travel_m - less.place_travel_m));
            slope = slope.max(rise);
        }
        let mut last_travel_m = first_travel_m;
        for hard in &trio.hard {
            let travel_m = hard.tip_set(set_m)?.map_or(never_beyond_m, |bent| bent.place_travel_m);
            last_travel_m = last_travel_m.max(travel_m.min(never_beyond_m));
        }
        let increment_m = stop_within_m / slope;
        let most = 1 + ((last_travel_m - first_travel_m) / increment_m).ceil() as usize;
        Ok(Self { first_travel_m, increment_m, last_travel_m, most, stop_within_m, never_beyond_m })
    }
}
