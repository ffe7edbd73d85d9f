//! What the charts of one reed say alike: notes, small print, places along the tongue.

use crate::chart::Tone;
use crate::physics::Beam;
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::{Assumed, CheckedReed, Key, Tuning, keys};
use crate::units;

/// A frequency with the note nearest to it in a tuning.
pub(super) fn tone(frequency_hz: f64, tuning: &Tuning) -> Tone {
    let nearest = tuning.nearest(frequency_hz).map(|near| (near.note.to_string(), near.cents));
    Tone { frequency_hz, nearest }
}

/// Model, notes, what was assumed, and `says`.
pub(super) fn small_print(checked: &CheckedReed, tuning: &Tuning, says: &str) -> String {
    let mut parts = vec![format!("Model {MODEL_VERSION}. {says}"), format!("Notes at {tuning}.")];
    if let Some(found) = &checked.thickness {
        let mean = units::metres(found.mean_found_m);
        parts.push(match (found.measured, found.disagrees) {
            (false, _) => format!("Thickness from the plucked pitch: {mean} on average."),
            (true, false) => format!("Thickness scaled by {:.4} to meet the plucked pitch.", found.scale),
            (true, true) => format!(
                "CHECK: the plucked pitch wants {:.4} of the measured thickness, beyond its tolerance.",
                found.scale
            ),
        });
    }
    if !checked.assumed.is_empty() {
        let assumed: Vec<String> = checked.assumed.iter().map(assumption).collect();
        parts.push(format!("Assumed: {}.", assumed.join("; ")));
    }
    parts.join(" ")
}

/// What was assumed, in words: "tip mass 0 mg".
fn assumption(assumed: &Assumed) -> String {
    let name = keys::find(&assumed.key).map_or_else(|| assumed.key.clone(), Key::words);
    let value = assumed.value.replace("m2", "m\u{b2}").replace("m3", "m\u{b3}");
    format!("{name} {value}")
}

/// Places along a tongue (m), each with one inside the span it belongs to: both sides of every break, and `between` breaks
/// as many as `parts`.
pub(super) fn places(breaks: &[f64], parts: usize) -> Vec<(f64, f64)> {
    let span = |ends: &[f64]| {
        let (from, to) = (ends[0], ends[1]);
        (0..=parts).map(move |k| (from + (to - from) * k as f64 / parts as f64, 0.5 * (from + to))).collect::<Vec<_>>()
    };
    breaks.windows(2).flat_map(span).collect()
}

/// Places (m) and thicknesses (m) of a tongue.
pub(super) fn thickness_m(beam: &Beam) -> Vec<(f64, f64)> {
    let places = places(&beam.breaks(), 1);
    places.into_iter().map(|(s, inside)| (s, beam.thickness_m.at_within(s, inside))).collect()
}
