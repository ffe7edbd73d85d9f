//! How far a measurement may lie from what was expected of it, by the tools that read it and what was known before.

use crate::answer::Doubt;
use crate::sheet::{CheckedReed, Value};

/// Standard deviation of a measurement from what was expected. A tolerance counts as one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Of the natural logarithm: of what is never below zero.
    OfLogarithm(f64),
    /// In SI: of a tip gap, which may be nothing.
    Absolute(f64),
}

impl Spread {
    /// How many of it lie between two values, with the sign of measured less expected.
    pub fn count(self, expected: f64, measured: f64) -> f64 {
        match self {
            Self::OfLogarithm(doubt) => (measured / expected).ln() / doubt,
            Self::Absolute(doubt) => (measured - expected) / doubt,
        }
    }

    /// In SI, at a value.
    pub fn absolute(self, expected: f64) -> f64 {
        match self {
            Self::OfLogarithm(doubt) => expected * doubt,
            Self::Absolute(doubt) => doubt,
        }
    }
}

/// As the tuner reads a pluck.
pub(super) fn of_a_pluck(reed: &CheckedReed, pluck_hz: f64) -> f64 {
    reed.spec.tolerances().pluck_cents(pluck_hz) * std::f64::consts::LN_2 / 1200.0
}

/// As the feeler reads a tip gap (m).
pub(super) fn of_a_gap_m(reed: &CheckedReed) -> f64 {
    1e-3 * reed.spec.tolerances().of("tip_gap_mm").unwrap_or(0.0)
}

/// What inputs that may be off make of the logarithm of a pitch that `hertz` computes from a reed and what was typed
/// anew: each input known before is off before and after alike, each typed anew by itself, a station at a time. The parts
/// are added as squares.
pub(super) fn of_a_pitch(
    before: &CheckedReed,
    typed: &[(String, Value)],
    hertz: impl Fn(&CheckedReed, &[(String, Value)]) -> Option<f64>,
) -> Option<f64> {
    let here = hertz(before, typed)?;
    let is_typed = |name: &str| typed.iter().any(|(key, _)| key == name);
    let known = Doubt::all(before).into_iter().filter_map(|doubt| {
        let name = doubt.key.full_name();
        let value = *doubt.values.first().filter(|_| !is_typed(&name))?;
        hertz(&before.spec.with(&name, value).checked().ok()?, typed)
    });
    let anew = typed.iter().enumerate().flat_map(|(k, (name, value))| {
        let tolerance = before.spec.tolerances().of(name).unwrap_or(0.0);
        let with = move |value: Value| {
            let mut typed = typed.to_vec();
            typed[k].1 = value;
            typed
        };
        off_by(value, tolerance).into_iter().map(with)
    });
    let anew = anew.filter_map(|typed| hertz(before, &typed));
    Some(known.chain(anew).map(|other| (other / here).ln().powi(2)).sum::<f64>().sqrt())
}

/// A value with each of its numbers off in turn.
fn off_by(value: &Value, tolerance: f64) -> Vec<Value> {
    match value {
        Value::Number(number) => vec![Value::Number(number + tolerance)],
        Value::Stations(stations) => (0..stations.len())
            .map(|k| {
                let mut stations = stations.clone();
                stations[k].1 += tolerance;
                Value::Stations(stations)
            })
            .collect(),
        Value::Text(_) => Vec::new(),
    }
}
