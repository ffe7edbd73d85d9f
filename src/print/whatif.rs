//! A comparison as JSON.

use serde_json::{Map, Value, json};

use super::json;
use crate::answer::{Answer, Changes, Comparison, Doubt, Line};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::CheckedReed;

/// Before, after, difference and words for each result; SI throughout, changed inputs in their own units.
pub fn to_json(before: &CheckedReed, changes: &Changes, comparison: &Comparison) -> Map<String, Value> {
    let conditions = comparison.before.conditions();
    let change = |(key, typed): &(String, String)| json!({ "key": key, "value": typed });
    let results: Map<String, Value> = comparison
        .lines
        .iter()
        .map(|line| (line.before.quantity.row().json.to_owned(), one(line, line.words(conditions))))
        .collect();
    let mut all = json::object(json!({
        "model_version": MODEL_VERSION,
        "changed": changes.iter().map(change).collect::<Vec<_>>(),
        "conditions": json::conditions(conditions, comparison.before.swing_scale),
        "results": results,
        "uncertain_inputs": comparison.doubts.iter().map(doubt).collect::<Vec<_>>(),
        "before": json::leaning(before),
        "after": json::leaning(&comparison.changed),
    }));
    if comparison.before.swing_scale != 1.0 {
        all.insert("scaled_to_measured_swing".to_owned(), json!(["tip_amplitude_m", "stress_pa", "level_db_at_1m"]));
    }
    all
}

fn one(line: &Line, words: Option<String>) -> Value {
    let answer = |answer: &Answer| json!({ "value": answer.value, "note": answer.note });
    json!({
        "before": answer(&line.before),
        "after": answer(&line.after),
        "difference": line.difference(),
        "uncertainty": line.uncertainty,
        "uncertainty_or_more": line.or_more,
        "uncertainty_mostly_from": line.mostly.map(crate::sheet::Key::full_name),
        "direction_sure": line.is_sure(),
        "words": words,
        "trust": line.before.quantity.row().trust,
    })
}

fn doubt(doubt: &Doubt) -> Value {
    json!({ "key": doubt.key.full_name(), "may_be": doubt.values, "unit": doubt.key.unit, "measured": doubt.measured })
}
