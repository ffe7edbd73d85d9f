//! How long reeds last, as JSON.

use serde_json::{Map, Value, json};

use super::json;
use crate::physics::bending::StressCycle;
use crate::physics::coefficients::MODEL_VERSION;
use crate::workshop::Bounds;
use crate::workshop::life::{Change, Improvement, Life, Ranked, SwingFrom};

/// The life of one reed and what would lengthen it.
pub fn to_json(life: &Life, improvements: &[Improvement]) -> Map<String, Value> {
    let mut all = one(life);
    all.insert("improvements".to_owned(), improvements.iter().map(improvement).collect());
    all
}

/// A set, the reed that fails first at the top.
pub fn ranking(ranked: &[Ranked<'_>]) -> Map<String, Value> {
    let row = |ranked: &Ranked<'_>| {
        let mut row = json::object(json!({ "reed": ranked.reed.id, "note": ranked.reed.note.to_string() }));
        match &ranked.life {
            Ok(life) => row.extend(one(life)),
            Err(why) => {
                row.insert("not_told".to_owned(), why.to_string().into());
            }
        }
        Value::Object(row)
    };
    json::object(json!({ "model_version": MODEL_VERSION, "reeds": ranked.iter().map(row).collect::<Vec<_>>() }))
}

fn one(life: &Life) -> Map<String, Value> {
    let strength = &life.strength;
    json::object(json!({
        "pressure_pa": life.playing.pressure_pa,
        "played_hours": life.playing.hours,
        "share_of_time": life.playing.share,
        "surface": life.playing.surface.name(),
        "frequency_hz": life.frequency_hz,
        "tip_swing_m": life.swing_m,
        "swing_from": match life.swing_from {
            SwingFrom::Measured(_) => "measured",
            SwingFrom::OtherReeds(_) => "measured on other reeds",
            SwingFrom::Model => "model",
        },
        "swing_over_model": life.swing_from.factor(),
        "bears_tip_swing_between_m": both(life.bears_swing_m()),
        "worst": cycle(&life.worst),
        "root": cycle(&life.root),
        "peak_stress_pa": life.peak_pa,
        "yield_strength_pa": strength.yield_pa,
        "tensile_strength_pa": strength.tensile_pa,
        "tensile_is_yield": strength.tensile_is_yield,
        "fatigue_strength_between_pa": both(strength.fatigue_pa),
        "fatigue_cycles": strength.fatigue_cycles,
        "fatigue_is_estimate": strength.fatigue_is_estimate,
        "surface_factor_between": both(life.surface_factor),
        "cycles": life.cycles,
        "safety_factor_between": both(life.factor),
        "yield_factor": life.yield_factor,
        "cycles_to_break_between": both(life.cycles_to_break),
        "hours_to_break_between": life.hours().map(both),
    }))
}

fn cycle(cycle: &StressCycle) -> Value {
    json!({ "at_m": cycle.at_m, "mean_pa": cycle.mean_pa, "amplitude_pa": cycle.amplitude_pa })
}

fn improvement(improvement: &Improvement) -> Value {
    let (what, amount) = match improvement.change {
        Change::Polished => ("polished", None),
        Change::Softer(share) => ("softer", Some(share)),
        Change::LessGap(share) => ("less gap", Some(share)),
        Change::Thicker(factor) => ("thicker and longer", Some(factor)),
    };
    json!({
        "change": what,
        "times": amount,
        "worst": improvement.life.as_ref().map(|life| cycle(&life.worst)),
        "safety_factor_between": improvement.life.as_ref().map(|life| both(life.factor)),
        "cycles_ratio": improvement.life_ratio,
    })
}

fn both(bounds: Bounds) -> [f64; 2] {
    [bounds.low, bounds.high]
}
