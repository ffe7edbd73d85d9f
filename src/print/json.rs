//! Results as JSON: keys carry their units, SI throughout, and stay as they are.

use serde_json::{Map, Value, json};

use crate::answer::Conditions;
use crate::cases::Check;
use crate::physics::attack::{Attack, Ending};
use crate::physics::coefficients::MODEL_VERSION;
use crate::physics::onset::{Growth, Speaking};
use crate::predict::{Prediction, Trust};
use crate::sheet::CheckedReed;

/// The prediction for a reed, with what it was assumed and measured.
pub fn prediction(prediction: &Prediction, checked: &CheckedReed) -> Map<String, Value> {
    let modes: Vec<f64> = prediction.model.modes().iter().map(|mode| mode.frequency_hz).collect();
    let mut all = object(json!({
        "model_version": MODEL_VERSION,
        "natural_frequency_hz": prediction.natural_frequency_hz,
        "natural_uncertainty_cents": prediction.natural_uncertainty_cents,
        "modes_hz": modes,
        "torsional_frequency_hz": prediction.torsional_frequency_hz,
        "lateral_frequency_hz": prediction.lateral_frequency_hz,
        "chamber_resonance_hz": prediction.model.chamber_resonance_hz(),
        "mass_kg": prediction.mass_kg,
        "tip_stiffness_n_m": prediction.tip_stiffness_n_m,
        "compliance_m_pa": prediction.compliance_m_pa,
    }));
    all.extend(speaking(&prediction.speaking));
    all.extend(object(json!({
        "choke_reason": prediction.choke_reason(),
        "onset_range_pa": prediction.onset_range_pa.map(|(low, high)| [low, high]),
        "growth": prediction.growth.iter().map(|&(pressure, found)| growth_at(pressure, found)).collect::<Vec<_>>(),
        "trust": {
            "natural_frequency_hz": prediction.natural_trust(checked),
            "onset_pressure_pa": Trust::Fair,
            "choke_pressure_pa": Trust::Fair,
            "growth": Trust::Fair,
        },
    })));
    all.extend(leaning(checked));
    all
}

/// What the answers of a reed lean on: measured, assumed, inferred.
pub fn leaning(checked: &CheckedReed) -> Map<String, Value> {
    object(json!({
        "measured": checked.measured,
        "thickness": checked.thickness,
        "metal": checked.metal,
        "temperature_c": checked.temperature_c,
        "assumed": checked.assumed,
        "notes": checked.notes,
    }))
}

fn speaking(found: &Speaking) -> Map<String, Value> {
    let windows: Vec<_> = found.windows.iter().map(|window| json!([window.from_pa, window.to_pa])).collect();
    let squeal = |squeal: &crate::physics::onset::Squeal| {
        json!({
            "from_pa": squeal.from_pa,
            "to_pa": squeal.to_pa,
            "frequency_hz": squeal.frequency_hz,
            "growth_per_s": squeal.growth_per_s,
        })
    };
    object(json!({
        "onset_pressure_pa": found.onset.map(|growth| growth.pressure_pa),
        "onset_frequency_hz": found.onset.map(|growth| growth.frequency_hz),
        "choke_pressure_pa": found.choke.pressure_pa(),
        "pressure_limit_pa": found.limit_pa,
        "windows_pa": windows,
        "fastest_growth": found.fastest.map(|growth| growth_at(growth.pressure_pa, Some(growth))),
        "fold_pressure_pa": found.fold_pa,
        "squeals": found.squeals.iter().map(squeal).collect::<Vec<_>>(),
        "evaluations": found.evaluations,
    }))
}

fn growth_at(pressure_pa: f64, found: Option<Growth>) -> Value {
    json!({
        "pressure_pa": pressure_pa,
        "growth_per_s": found.map(|growth| growth.growth_per_s),
        "frequency_hz": found.map(|growth| growth.frequency_hz),
    })
}

/// One attack.
pub fn attack(attack: &Attack) -> Map<String, Value> {
    let steady = attack.steady.as_ref();
    object(json!({
        "pressure_pa": attack.blow.pressure_pa,
        "rise_s": attack.blow.rise_s,
        "speaks": attack.speaks,
        "settled": attack.ending == Ending::Settled,
        "ending": ending(attack.ending),
        "t50_s": attack.t50_s,
        "t90_s": attack.t90_s,
        "tip_amplitude_m": steady.map(|s| s.tip_amplitude_m),
        "mean_tip_m": steady.map(|s| s.mean_tip_m),
        "frequency_hz": steady.map(|s| s.frequency_hz),
        "mean_flow_m3_s": steady.map(|s| s.mean_flow_m3_s),
        "level_db_at_1m": steady.map(|s| s.level.db),
        "level_dba_at_1m": steady.map(|s| s.level.dba),
        "stress_pa": steady.map(|s| s.stress_pa),
        "stress_at_m": steady.map(|s| s.stress_at_m),
        "growth_per_s": attack.growth_per_s,
        "duration_s": attack.duration_s,
        "evaluations": attack.evaluations,
    }))
}

/// How a run ended, as a word.
pub fn ending(ending: Ending) -> &'static str {
    match ending {
        Ending::Settled => "settled",
        Ending::Silent => "silent",
        Ending::NotSettled => "did not settle",
        Ending::TooStiff => "too stiff to finish",
    }
}

/// Trust in the answers of an attack.
pub fn attack_trust() -> Value {
    json!({
        "speaks": Trust::Fair,
        "t50_s": Trust::Fair,
        "t90_s": Trust::Fair,
        "frequency_hz": Trust::Weak,
        "tip_amplitude_m": Trust::Weak,
        "mean_tip_m": Trust::Weak,
        "mean_flow_m3_s": Trust::Fair,
        "level_db_at_1m": Trust::Weak,
        "stress_pa": Trust::Weak,
    })
}

/// The conditions under which a reed was asked.
pub fn conditions(given: &Conditions, swing_scale: f64) -> Value {
    json!({
        "pressure_pa": given.pressure_pa,
        "rise_s": given.rise_s,
        "time_allowed_s": given.allowed_s,
        "stress_limit_pa": given.stress_limit_pa,
        "pressure_limit_pa": given.search.limit_pa,
        "swing_scale": swing_scale,
    })
}

/// The published checks, recomputed.
pub fn checks(checks: &[Check]) -> Map<String, Value> {
    let one = |check: &Check| {
        json!({
            "group": check.group,
            "name": check.name,
            "computed": check.computed,
            "published": check.published,
            "difference": check.difference(),
            "allowed": check.allowed,
            "unit": check.unit,
            "source": check.source,
            "passes": check.passes(),
        })
    };
    let failed = checks.iter().filter(|check| !check.passes()).count();
    object(json!({ "failed": failed, "checks": checks.iter().map(one).collect::<Vec<_>>() }))
}

/// The fields of a `json!({...})`.
///
/// # Panics
/// For any other value: a slip of the caller.
pub fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => unreachable!("only called with objects"),
    }
}
