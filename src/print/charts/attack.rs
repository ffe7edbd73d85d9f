//! A run in time as a picture.

use super::words::{small_print, tone};
use crate::chart::AttackChart;
use crate::physics::ReedModel;
use crate::physics::attack::Attack;
use crate::physics::trace::Trace;
use crate::sheet::{CheckedReed, Tuning};

/// Samples of one swing.
const PER_SWING: f64 = 32.0;
const MOST_SAMPLES: f64 = 100e3;
/// Points of the envelope and of the pressure.
const POINTS: usize = 500;
/// Swings shown at the end of the run.
const LAST_SWINGS: f64 = 4.0;

/// A blow from rest. Of a run that settles only the beginning is shown, to well past t90.
pub fn attack_chart(
    reed_name: &str,
    checked: &CheckedReed,
    model: &ReedModel,
    attack: &Attack,
    tuning: &Tuning,
) -> AttackChart {
    let trace = &attack.trace;
    let (length_m, rest) = (model.reed().beam.length_m, &model.reed().rest);
    let rest_m = rest.height_m(length_m, length_m);
    let frequency_hz = attack.steady.map_or(model.modes()[0].frequency_hz, |steady| steady.frequency_hz);
    let period_s = 1.0 / frequency_hz;
    let shown_s = match attack.t90_s {
        Some(t90_s) => attack.duration_s.min((2.0 * t90_s).max(t90_s + 16.0 * period_s)),
        None => attack.duration_s,
    };
    let samples = (PER_SWING * shown_s / period_s).clamp(200.0, MOST_SAMPLES) as usize;
    let height = |from_s: f64, to_s: f64, samples: usize| heights(trace, rest_m, from_s, to_s, samples);
    let envelope = trace.speed_envelope();
    let last_s = if attack.speaks { (LAST_SWINGS * period_s).min(attack.duration_s) } else { 0.0 };
    let says = "Onset and speaking time: fair; swing, speed and sounding pitch in absolute terms: weak.";
    AttackChart {
        reed_name: reed_name.to_owned(),
        pressure_pa: attack.blow.pressure_pa,
        ending: attack.ending,
        speaks: attack.speaks,
        run_s: attack.duration_s,
        t50_s: attack.t50_s,
        t90_s: attack.t90_s,
        final_speed_m_s: attack.t50_s.and(envelope.points().last().map(|point| point.1)),
        sounding: attack.steady.map(|steady| tone(steady.frequency_hz, tuning)),
        rest_m,
        swing_s: period_s,
        mouth: thinned(trace, shown_s, |k| {
            model.mouth_pa(&trace.states()[k], attack.blow.pressure_at(trace.times_s()[k]))
        }),
        tip: height(0.0, shown_s, samples),
        envelope: envelope.points().iter().copied().take_while(|point| point.0 <= shown_s).collect(),
        last_swings: height(attack.duration_s - last_s, attack.duration_s, (PER_SWING * 2.0 * LAST_SWINGS) as usize),
        small_print: small_print(checked, tuning, says),
    }
}

/// Times and heights of the tip at even distances.
fn heights(trace: &Trace, rest_m: f64, from_s: f64, to_s: f64, samples: usize) -> Vec<(f64, f64)> {
    if trace.len() < 2 || to_s <= from_s {
        return Vec::new();
    }
    let time_s = |k: usize| from_s + (to_s - from_s) * k as f64 / samples as f64;
    (0..=samples).map(|k| (time_s(k), rest_m + trace.at(time_s(k)).tip())).collect()
}

/// Times and values of every so many steps up to a time.
fn thinned(trace: &Trace, until_s: f64, value: impl Fn(usize) -> f64) -> Vec<(f64, f64)> {
    let steps = trace.times_s().partition_point(|time_s| *time_s <= until_s);
    let every = steps.div_ceil(POINTS).max(1);
    let kept = (0..steps).filter(|k| k % every == 0 || k + 1 == steps);
    kept.map(|k| (trace.times_s()[k], value(k))).collect()
}
