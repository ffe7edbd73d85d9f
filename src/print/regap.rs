//! Another tip gap as JSON.

use serde_json::{Map, Value, json};

use super::json::object;
use crate::physics::playable::Playable;
use crate::workshop::regap::{Best, RegapPlan};

/// The numbers of the plan: SI. Travels and sets are heights the way the tongue is pushed.
pub fn to_json(plan: &RegapPlan) -> Map<String, Value> {
    let bend = &plan.bend;
    object(json!({
        "direction": bend.direction,
        "push": bend.push,
        "gap_m": bend.gap_m,
        "wanted_gap_m": bend.wanted_gap_m,
        "force_n": bend.force_n,
        "support_force_n": bend.support_n,
        "turn_rad": bend.turn_rad,
        "place": bend.place,
        "tip": bend.tip,
        "just_yields": bend.yields,
        "surface": bend.surface,
        "largest_in_one_push": bend.largest,
        "one_push_leaves": bend.spread,
        "pushes": {
            "next_travel_m": plan.next_travel_m,
            "increment_m": bend.steps.increment_m,
            "last_travel_m": bend.steps.last_travel_m,
            "then": plan.card(),
            "most": plan.pushes(),
            "stop_within_m": bend.steps.stop_within_m,
            "never_beyond_m": bend.steps.never_beyond_m,
        },
        "rest_stations_m": bend.rest_stations(),
        "places_compared": plan.tried,
        "best": plan.best.as_ref().map(best),
        "learned": plan.pushed.zip(plan.learned).map(|(pushed, learned)| json!({
            "travel_m": pushed.travel_m,
            "gap_m": pushed.gap_m,
            "yield_strength_pa": learned.yield_strength_pa,
            "yield_share": learned.yield_share,
        })),
        "turns_back": plan.turns_back,
    }))
}

fn best(best: &Best) -> Value {
    let ends = |window: Playable| json!({ "low_pa": window.low.pressure_pa, "high_pa": window.high.pressure_pa });
    json!({
        "gap_m": best.gap_m,
        "soft_pa": best.pressures_pa.0,
        "hard_pa": best.pressures_pa.1,
        "window": ends(best.window),
        "window_now": best.window_now.map(ends),
        "tried_m": best.tried_m,
        "ends_at_reach": best.ends_at_reach,
        "farther": best.farther.as_ref().map(|farther| json!({
            "gap_m": farther.gap_m,
            "how": farther.instead.to_string(),
        })),
    })
}
