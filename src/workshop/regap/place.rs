//! Where to push: of several places the one that strains the surface least.

use std::iter;
use std::ops::RangeInclusive;

use rayon::prelude::*;

use super::RegapOptions;
use super::standing::Standing;
use crate::sheet::CheckedReed;
use crate::study::changed::tip_gap_m;
use crate::workshop::bend::{BendPlan, BendRefusal, Push, nearest_of_one_push_m};

/// Places that are compared, as twentieths of the length: far enough from the clamp for the bend not to be sharp, near
/// enough for the travel to be short and the tool not to slip off the tip.
const TWENTIETHS: RangeInclusive<u32> = 8..=14;
/// Where all of these are refused, those nearer to the tip: the tongue goes farther, and its surface is strained less.
const FARTHER: RangeInclusive<u32> = 15..=19;

type Planned = Result<BendPlan, BendRefusal>;

/// A place that was compared.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Tried {
    /// From the clamp (m).
    pub place_m: f64,
    /// Largest strain of the surface for the gap wanted; none where the bend is refused.
    pub strain: Option<f64>,
}

/// The bend at the place asked for, else where the surface is strained least.
pub(super) fn choose(
    standing: &Standing,
    options: &RegapOptions,
    wanted_m: f64,
) -> Result<(BendPlan, Vec<Tried>), BendRefusal> {
    let bend = |place_m: f64| standing.bend(Push { place_m, support: options.support }, wanted_m);
    if let Some(place_m) = options.place_m {
        return Ok((bend(place_m)?, Vec::new()));
    }
    let length_m = standing.zero.reed.beam.length_m;
    let compare = |twentieths: RangeInclusive<u32>| {
        let place_and_plan = |twentieths: u32| {
            let place_m = place(length_m, twentieths);
            (place_m, bend(place_m))
        };
        twentieths.into_par_iter().map(place_and_plan).collect::<Vec<(f64, Planned)>>()
    };
    let mut plans = compare(TWENTIETHS);
    if plans.iter().all(|(_, plan)| matches!(plan, Err(BendRefusal::OutOfReach { .. }))) {
        plans.extend(compare(FARTHER));
    }
    let strain = |plan: &Planned| plan.as_ref().ok().map(|plan| plan.surface.strain);
    let tried = plans.iter().map(|(place_m, plan)| Tried { place_m: *place_m, strain: strain(plan) }).collect();
    let plans = plans.into_iter().map(|(_, plan)| plan);
    Ok((plans.reduce(better).expect("places to compare")?, tried))
}

/// The tip gap nearest to one wanted (m) at which one bend can safely leave the tongue: that one itself, where a push at
/// 0.7 of the length or nearer to the tip leads there.
///
/// # Errors
/// A yield strength that is not known, or a gap that makes no sense.
pub fn nearest_gap_m(checked: &CheckedReed, wanted_m: f64) -> Result<f64, BendRefusal> {
    let mut nearest_m = tip_gap_m(&checked.reed);
    for twentieths in iter::once(*TWENTIETHS.end()).chain(FARTHER) {
        let push = Push { place_m: place(checked.reed.beam.length_m, twentieths), support: None };
        match nearest_of_one_push_m(checked, push, wanted_m) {
            Err(BendRefusal::AlreadyThere { .. }) => return Ok(wanted_m),
            Ok(gap_m) if gap_m == wanted_m => return Ok(wanted_m),
            Ok(gap_m) if (gap_m - wanted_m).abs() < (nearest_m - wanted_m).abs() => nearest_m = gap_m,
            Ok(_) => {}
            Err(refusal) => return Err(refusal),
        }
    }
    Ok(nearest_m)
}

/// A place that can be marked: to a tenth of a millimetre.
pub(super) fn place(length_m: f64, twentieths: u32) -> f64 {
    (1e4 * length_m * f64::from(twentieths) / 20.0).floor() * 1e-4
}

/// Of two plans the one with less strain; of two refusals the one that comes from a limit.
fn better(a: Planned, b: Planned) -> Planned {
    match (&a, &b) {
        (Ok(first), Ok(second)) => {
            if first.surface.strain <= second.surface.strain {
                a
            } else {
                b
            }
        }
        (Ok(_), Err(_)) => a,
        (Err(BendRefusal::OutOfReach { .. }), Err(other)) if !matches!(other, BendRefusal::OutOfReach { .. }) => a,
        _ => b,
    }
}
