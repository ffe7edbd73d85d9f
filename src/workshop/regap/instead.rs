//! Another way, where the one asked for is refused.

use rayon::prelude::*;

use super::RegapOptions;
use super::place::place;
use super::standing::{Standing, tip_gap_m};
use crate::sheet::CheckedReed;
use crate::units::metres;
use crate::workshop::bend::{BendPlan, BendRefusal, Direction, Push, Support};

/// One push of another way.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The push.
    pub push: Push,
    /// Which way.
    pub direction: Direction,
    /// The gap it leaves (m).
    pub gap_m: f64,
}

/// What can be done instead, computed for this tongue.
#[derive(Debug, Clone, PartialEq)]
pub enum Instead {
    /// Another place, with or without something to bend over.
    Push(Way),
    /// Two pushes that bend the tongue at different places.
    Two(Box<[Way; 2]>),
}

/// Where a support is tried, as twentieths of the length.
const SUPPORTS: [u32; 6] = [4, 6, 8, 10, 12, 14];
/// Share of the largest change that the first of two pushes goes.
const FIRST_SHARE: f64 = 0.95;

impl Instead {
    /// The nearest other way that works: another place, something to bend over, two pushes; in this order.
    pub(super) fn find(standing: &Standing, options: &RegapOptions, wanted_m: f64) -> Option<Self> {
        let reed = &standing.zero;
        let asked_m = options.place_m.unwrap_or(0.55 * reed.reed.beam.length_m);
        let free = first(free_pushes(reed, asked_m), |push| standing.bend(push, wanted_m));
        let over = || first(supported_pushes(reed, wanted_m), |push| standing.bend(push, wanted_m));
        if let Some(plan) = free.or_else(over) {
            return Some(Self::Push(Way::of(&plan)));
        }
        standing.pushed.is_none().then(|| Self::two(standing, wanted_m))?
    }

    /// As far as one push safely goes, then over a support where the first has not bent it.
    fn two(standing: &Standing, wanted_m: f64) -> Option<Self> {
        let (reed, gap_m) = (&standing.zero, standing.gap_m());
        let reach = |push: &Push| match standing.bend(*push, wanted_m) {
            Err(BendRefusal::OutOfReach { largest_gap_m, .. }) => Some((*push, largest_gap_m)),
            _ => None,
        };
        let pushes = free_pushes(reed, 0.7 * reed.reed.beam.length_m);
        let farthest: Vec<(Push, f64)> = pushes.par_iter().filter_map(reach).collect();
        let (push, largest_m) =
            farthest.into_iter().min_by(|a, b| (a.1 - wanted_m).abs().total_cmp(&(b.1 - wanted_m).abs()))?;
        let first_plan = standing.bend(push, gap_m + FIRST_SHARE * (largest_m - gap_m)).ok()?;
        let bent = first_plan.applied_to(reed).ok()?;
        let apart = |plan: &BendPlan| {
            let clear = |a: &(f64, f64)| first_plan.surface.yielded_m.iter().all(|b| a.1 < b.0 || b.1 < a.0);
            plan.surface.yielded_m.iter().all(clear)
        };
        let again = |push: Push| match BendPlan::to_gap(&bent, push, wanted_m) {
            Ok(plan) if apart(&plan) => Ok(plan),
            Ok(_) => Err(BendRefusal::NotSolved { what: "a second bend clear of the first" }),
            refused => refused,
        };
        let second = first(supported_pushes(&bent, wanted_m), again)?;
        Some(Self::Two(Box::new([Way::of(&first_plan), Way::of(&second)])))
    }
}

/// The first of the pushes, in their order, that is not refused.
fn first(pushes: Vec<Push>, plan: impl Fn(Push) -> Result<BendPlan, BendRefusal> + Sync + Send) -> Option<BendPlan> {
    pushes.into_par_iter().find_map_first(|push| plan(push).ok())
}

/// Pushes without anything to bend over, the nearest to a place first.
fn free_pushes(reed: &CheckedReed, asked_m: f64) -> Vec<Push> {
    let mut places: Vec<f64> = (4..=20).map(|twentieths| place(reed.reed.beam.length_m, twentieths)).collect();
    places.sort_by(|a, b| (a - asked_m).abs().total_cmp(&(b - asked_m).abs()));
    places.into_iter().map(|place_m| Push { place_m, support: None }).collect()
}

/// Pushes over an edge that just touches the tongue at rest.
fn supported_pushes(reed: &CheckedReed, wanted_m: f64) -> Vec<Push> {
    let length_m = reed.reed.beam.length_m;
    let way = Direction::from_to(tip_gap_m(reed), wanted_m).sign();
    let over = |twentieths: u32| {
        let place_m = place(length_m, twentieths);
        let height_m = reed.reed.rest.height_m(place_m, length_m);
        // To a hundredth of a millimetre, on the side where the tongue is free; zero without a sign.
        Support { place_m, height_m: way * (1e5 * way * height_m).ceil() * 1e-5 + 0.0 }
    };
    let pushes = |support: u32| {
        (support + 4..=20).rev().step_by(2).map(move |twentieths| (place(length_m, twentieths), over(support)))
    };
    SUPPORTS.into_iter().flat_map(pushes).map(|(place_m, support)| Push { place_m, support: Some(support) }).collect()
}

impl Way {
    fn of(plan: &BendPlan) -> Self {
        Self { push: plan.push, direction: plan.direction, gap_m: plan.wanted_gap_m }
    }

    /// "push it down at 9.90 mm from the clamp, over a shim of 0.030 mm at 4.00 mm".
    pub fn words(&self) -> String {
        let how = match self.direction {
            Direction::Down => "push it down",
            Direction::Up => "lift it",
        };
        format!("{how} at {} from the clamp{}", metres(self.push.place_m), over(&self.push, self.direction))
    }
}

/// What a push bends the tongue over.
pub(super) fn over(push: &Push, direction: Direction) -> String {
    let Some(support) = push.support else { return String::new() };
    let (height, place) = (metres(support.height_m), metres(support.place_m));
    match direction {
        Direction::Down => format!(", over the edge of a shim of {height} at {place}"),
        Direction::Up => {
            format!(", under a bar at {place} that holds the tongue's underside at {height} above the plate")
        }
    }
}

impl std::fmt::Display for Instead {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Push(way) => write!(out, "{}", way.words()),
            Self::Two(ways) => {
                let [first, second] = &**ways;
                let gap = metres(first.gap_m);
                write!(out, "go in two bends: {} to a gap of {gap}, measure; then {}", first.words(), second.words())
            }
        }
    }
}
