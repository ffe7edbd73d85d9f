//! A plan of the bench as JSON.

use serde_json::{Map, Value, json};

use super::json;
use crate::answer::Line;
use crate::physics::coefficients::MODEL_VERSION;
use crate::workshop::{Caution, Effect, Steps};

/// The numbers of a plan, its steps, its effect and its cautions.
pub fn to_json(
    reed: &str,
    plan: &Map<String, Value>,
    steps: &Steps,
    effect: Option<&Effect>,
    cautions: &[Caution],
) -> Map<String, Value> {
    json::object(json!({
        "model_version": MODEL_VERSION,
        "reed": reed,
        "plan": plan,
        "steps": steps.steps,
        "stop": steps.stop,
        "conditions": effect.map(|effect| json::conditions(&effect.conditions, 1.0)),
        "effect": effect.map(|effect| {
            effect.lines.iter().map(|line| (line.before.quantity.row().json.to_owned(), one(line))).collect::<Map<_, _>>()
        }),
        "life_ratio": effect.and_then(|effect| effect.life_ratio).map(|life| json!({ "low": life.low, "high": life.high })),
        "cautions": Caution::sentences(cautions),
    }))
}

fn one(line: &Line) -> Value {
    json!({
        "before": line.before.value,
        "after": line.after.value,
        "difference": line.difference(),
        "trust": line.before.quantity.row().trust,
    })
}
