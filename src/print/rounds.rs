//! Rounds of measuring as JSON.

use serde_json::{Map, Value, json};

use super::json;
use crate::instrument::rounds::{Changed, Estimate, Fit, Outcome, Quantity, ReedFit, ReedRound, Rounds};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::Job;

/// All rounds as JSON.
pub fn to_json(job: &Job, rounds: &Rounds) -> Map<String, Value> {
    json::object(json!({
        "model_version": MODEL_VERSION,
        "rounds": rounds.rows.iter().map(row).collect::<Vec<_>>(),
        "failed_rows": rounds.bad.iter().map(|(round, row)| json!({
            "round": round,
            "id": row.id,
            "error": row.to_string(),
        })).collect::<Vec<_>>(),
        "fit": rounds.fit.as_ref().map(fit_json),
        "minutes": rounds.minutes,
        "rates_assumed": job.rates.assumed(rounds.minutes.iter().map(|minutes| minutes.operation)),
        "notes": job.notes,
    }))
}

fn row(row: &ReedRound) -> Value {
    json!({
        "round": row.round,
        "id": row.id,
        "operation": row.operation,
        "replaced": row.replaced,
        "minutes": row.minutes,
        "changed": row.changed.iter().map(changed).collect::<Vec<_>>(),
        "measured": row.outcomes.iter().map(outcome).collect::<Vec<_>>(),
        "left_blank": row.blank,
    })
}

fn changed(changed: &Changed) -> Value {
    let key = changed.key;
    json!({
        "key": key.full_name(),
        "before": changed.before.as_ref().map(ToString::to_string),
        "after": changed.after.to_string(),
    })
}

fn outcome(outcome: &Outcome) -> Value {
    let unit = match outcome.quantity {
        Quantity::Pluck => "hz",
        Quantity::TipGap => "m",
        Quantity::RingDown => "s",
        Quantity::SoftestBlow => "pa",
    };
    json!({
        "quantity": outcome.quantity,
        "basis": outcome.basis,
        format!("before_{unit}"): outcome.before,
        format!("expected_{unit}"): outcome.expected,
        format!("measured_{unit}"): outcome.measured,
        "off_relative": outcome.off(),
        format!("doubt_{unit}"): outcome.doubt.zip(outcome.expected).map(|(doubt, expected)| doubt.absolute(expected)),
        "doubt_relative": outcome.doubt.zip(outcome.expected.filter(|&expected| expected > 0.0))
            .map(|(doubt, expected)| doubt.absolute(expected) / expected),
        "off_doubts": outcome.off_doubts(),
        "reach": outcome.reach(),
        "more_than_expected": outcome.is_surprise(),
    })
}

/// A fit as JSON. Ranges hold the true value four times in five.
pub fn fit_json(fit: &Fit) -> Value {
    let [ring_downs, leak_tests, softest_blows] = fit.counts;
    json!({
        "quality_factor": fit.common,
        "scatter_ln": fit.scatter,
        "reeds": fit.reeds.iter().map(reed).collect::<Vec<_>>(),
        "ring_downs": ring_downs,
        "leak_tests": leak_tests,
        "softest_blows": softest_blows,
        "unused": fit.unused,
        "assumed": fit.assumed,
        "converged": fit.converged,
        "work": fit.work,
    })
}

fn reed(reed: &ReedFit) -> Value {
    let leak = |leak: Estimate| json!({ "value": leak.value, "low": leak.low, "high": leak.high });
    json!({
        "id": reed.id,
        "quality_factor": reed.quality_factor,
        "leak_m2": reed.leak_m2.map(leak),
        "loss_and_leak_apart": reed.apart,
        "thickness_scale": reed.thickness_scale.map(|(value, error)| json!({ "value": value, "standard_error": error })),
    })
}
