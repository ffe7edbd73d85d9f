//! After the next push: how far to go by what it has left.

use rayon::prelude::*;

use super::standing::Standing;
use crate::workshop::bend::{BendPlan, KinkLimit, Learned};

/// A line of the card: the gap that the next push may leave, and the travel of the push after it.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct CardLine {
    /// The tip gap that is found (m).
    pub gap_m: f64,
    /// How far to push then, from the same zero (m).
    pub travel_m: f64,
}

/// Shares of the change that are listed, after the least that can be measured.
const SHARES: [f64; 3] = [0.25, 0.5, 0.75];

/// What each gap found after a push to `travel_m` teaches: the travel that still does not pass the gap wanted by more than it
/// is measured, as well as the tongue is known then. The first line is for a gap that has not changed enough to be measured:
/// see [`Known::after_nothing`](crate::workshop::bend::Known::after_nothing).
pub(super) fn card(standing: &Standing, plan: &BendPlan, travel_m: f64) -> Vec<CardLine> {
    let (now_m, to_m) = (standing.gap_m(), plan.wanted_gap_m);
    let (from, known) = standing.from(to_m);
    // Just enough to be measured.
    let least = 1.001 * known.gap_m / (to_m - now_m).abs();
    let line = |share: f64| {
        let gap_m = now_m + share * (to_m - now_m);
        let (metal, known) = if share == least {
            (from.clone(), known.after_nothing(from, plan.push, plan.direction, travel_m).ok()?)
        } else {
            let learned = Learned::from_push(from, plan.push, travel_m, gap_m, known).ok()?;
            (from.with("yield_mpa", 1e-6 * learned.yield_strength_pa).ok()?, learned.known)
        };
        let next = BendPlan::to_gap_knowing(&metal, plan.push, to_m, &KinkLimit::assumed(), known).ok()?;
        let next_m = next.steps.next_travel_m(travel_m).min(plan.steps.never_beyond_m);
        (next_m > travel_m).then_some(CardLine { gap_m, travel_m: next_m })
    };
    let shares: Vec<f64> = std::iter::once(least).chain(SHARES.into_iter().filter(|&share| share > least)).collect();
    shares.into_par_iter().filter_map(line).collect()
}
