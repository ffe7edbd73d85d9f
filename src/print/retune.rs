//! A retuning as JSON.

use serde_json::{Map, Value, json};

use super::json::object;
use crate::workshop::retune::{Body, Pass, RetunePlan, Work};

/// The numbers of the plan: SI.
pub fn to_json(plan: &RetunePlan) -> Map<String, Value> {
    let standing = &plan.standing;
    object(json!({
        "pitch": {
            "basis": standing.basis,
            "playing_hz": standing.playing_hz,
            "wanted_hz": plan.wanted_hz,
            "bench_plucked_hz": standing.bench_pluck_hz,
            "bench_sounding_hz": standing.bench_sounding_hz,
            "measured_at_pa": standing.measured_at_pa,
            "pressure_pa": standing.pressure_pa,
            "model_shift_cents": standing.model_shift_cents,
            "bench_c": standing.temperatures_c.0,
            "playing_c": standing.temperatures_c.1,
            "warmth_cents": standing.warmth_cents,
            "pressure_cents": standing.pressure_cents,
        },
        "need_cents": plan.need_cents,
        "work": work(&plan.work),
        "plucked_cents": plan.pluck_cents,
        "plucked_cents_first_order": plan.first_order_cents,
        "sounding_cents": plan.sounding_cents,
        "doubt_share": plan.doubt,
        "before": body(&plan.body.0),
        "after": body(&plan.body.1),
        "sensitivity": plan.sensed.iter().map(|sensed| json!({
            "from_m": sensed.from_m, "to_m": sensed.to_m, "cents_per_10_um": sensed.cents,
        })).collect::<Vec<_>>(),
        "neutral_m": plan.neutral_m,
        "passes": plan.passes.iter().map(pass).collect::<Vec<_>>(),
        "stroke_m": plan.stroke_m,
        "stroke_cents": plan.stroke_cents,
        "stop_short_cents": plan.stop_short_cents,
        "cooling": {
            "time_constant_s": [plan.settling.time_constant_s.0, plan.settling.time_constant_s.1],
            "cents_per_k": plan.settling.cents_per_k,
            "warmed_k": plan.settling.warmed_k,
            "wait_s": plan.settling.wait_s,
        },
    }))
}

fn work(work: &Work) -> Value {
    match *work {
        Work::File { from_m, to_m, depth_m } => {
            json!({ "method": "file", "from_m": from_m, "to_m": to_m, "depth_m": depth_m })
        }
        Work::Weigh { mass_kg } => json!({ "method": "weight", "mass_kg": mass_kg }),
    }
}

fn body(body: &Body) -> Value {
    json!({
        "tip_stiffness_n_m": body.stiffness_n_m,
        "closing_pa": body.closing_pa,
        "stress_per_swing_pa_m": body.stress_per_swing_pa_m,
        "stress_at_m": body.stress_at_m,
        "least_thickness_m": body.least_thickness_m,
        "mass_kg": body.mass_kg,
    })
}

fn pass(pass: &Pass) -> Value {
    json!({
        "work": work(&pass.work),
        "plucked_cents_in_all": pass.cents,
        "sounding_cents_in_all": pass.sounding_cents,
        "bench_plucked_hz": pass.pluck_hz,
        "bench_sounding_hz": pass.sounding_hz,
    })
}
