//! What holds a reed, as JSON.

use serde_json::{Map, Value, json};

use super::json;
use crate::workshop::Bounds;
use crate::workshop::fasten::{BuiltInFrom, FRICTION, FastenPlan, Head, Root, screw};

/// The numbers of a plan, SI.
pub fn to_json(plan: &FastenPlan) -> Map<String, Value> {
    let fastening = &plan.fastening;
    json::object(json!({
        "root": plan.root.as_ref().map(root),
        "head": fastening.head.map(|known| head(&known, plan.bare_strip_n_m_per_rad)),
        "new_head": fastening.new_head().map(|new| head(&new, plan.new_bare_strip_n_m_per_rad)),
        "screw": fastening.screw.zip(plan.limit).map(|(tightening, limit)| json!({
            "diameter_m": tightening.screw.diameter_m,
            "pitch_m": tightening.screw.pitch_m,
            "torque_n_m": tightening.torque_n_m,
            "nut_factor_between": both(screw::NUT_FACTORS),
            "harmless_torque_n_m": limit.least_n_m(),
            "harmless_to_screw_n_m": limit.screw_n_m,
            "harmless_to_thread_n_m": limit.thread_n_m,
        })),
        "grip": plan.grip.map(|grip| json!({
            "clamp_n": grip.usual_clamp_n,
            "clamp_between_n": both(grip.clamp_n),
            "friction_between": both(FRICTION),
            "twist_between_n_m": grip.twist_n_m.map(both),
            "side_force_at_tip_between_n": grip.side_force_n.map(both),
        })),
        "clamp_that_never_rocks_n": plan.never_rocks_n,
        "repeats_within_cents": plan.repeats_cents,
    }))
}

fn root(root: &Root) -> Value {
    json!({
        "built_in_from": match root.from {
            BuiltInFrom::Tightened => "pitch after tightening",
            BuiltInFrom::Sizes => "sizes",
            BuiltInFrom::Stated => "root spring stated",
        },
        "pitch_hz": root.pitch_hz,
        "built_in_hz": root.built_in_hz,
        "lost_cents": root.lost_cents,
        "uncertainty_cents": root.uncertainty_cents,
        "won_back_at_most_cents": if root.is_soft() { root.lost_cents } else { 0.0 },
        "spring_n_m_per_rad": root.spring_n_m_per_rad,
        "spring_between_n_m_per_rad": both(root.spring_between_n_m_per_rad),
    })
}

fn head(head: &Head, bare_strip_n_m_per_rad: Option<f64>) -> Value {
    json!({
        "covered_share": head.covered_share(),
        "bearing_share": head.bearing_share(),
        "bearing_area_m2": head.bearing_m2(),
        "bare_to_root_m": head.bare_to_root_m(),
        "bare_strip_n_m_per_rad": bare_strip_n_m_per_rad.filter(|spring| spring.is_finite()),
    })
}

/// Both ends; null where nothing bounds one.
fn both(bounds: Bounds) -> [Option<f64>; 2] {
    [bounds.low, bounds.high].map(|end| end.is_finite().then_some(end))
}
