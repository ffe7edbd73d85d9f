//! New reeds for a slot as JSON.

use serde_json::{Map, Value, json};

use super::json::object;
use crate::workshop::replace::{Candidate, Out, Replacement};
use crate::workshop::retune::Work;

/// What was found, the best first, and what is out: SI.
pub fn to_json(found: &Replacement, best: usize, pluck_hz: f64) -> Map<String, Value> {
    object(json!({
        "wanted_plucked_hz": pluck_hz,
        "width_m": found.opening.width_m,
        "side_clearance_m": found.opening.clearance_m,
        "lengths_m": [found.opening.lengths_m.0, found.opening.lengths_m.1],
        "neighbours": {
            "count": found.beside.count,
            "length_m": found.beside.length_m,
            "onset_pa": found.beside.onset_pa,
        },
        "old_stress_pa": found.old_stress_pa,
        "best": found.best.iter().take(best).map(candidate).collect::<Vec<_>>(),
        "out": found.out.iter().map(out).collect::<Vec<_>>(),
    }))
}

fn candidate(candidate: &Candidate) -> Value {
    let (tongue, ranking) = (&candidate.tongue, &candidate.ranking);
    let (depth_m, patch_m, mass_kg) = match tongue.profile.work() {
        Some(Work::File { from_m, to_m, depth_m }) => (Some(depth_m), Some([from_m, to_m]), None),
        Some(Work::Weigh { mass_kg }) => (None, None, Some(mass_kg)),
        None => (None, None, None),
    };
    json!({
        "strip_m": tongue.strip_m,
        "length_m": tongue.length_m,
        "profile": tongue.profile.name(),
        "depth_m": depth_m,
        "patch_m": patch_m,
        "weight_kg": mass_kg,
        "plucked_hz": candidate.pluck_hz,
        "plucked_uncertainty_cents": candidate.raw_cents,
        "onset_pa": candidate.onset_pa,
        "playable_pa": [candidate.playable_pa.0, candidate.playable_pa.1],
        "t50_s": candidate.t50_s,
        "stress_pa": candidate.stress_pa,
        "score": ranking.score(),
        "score_parts": {
            "window_octaves": ranking.window_octaves,
            "time_share": ranking.time_share,
            "stress_share": ranking.stress_share,
            "onset_octaves": ranking.onset_octaves,
            "length_tenths": ranking.length_tenths,
        },
    })
}

fn out(out: &Out) -> Value {
    json!({ "strip_m": out.strip_m, "length_m": out.length_m, "profile": out.profile, "why": out.why })
}
