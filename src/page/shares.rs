//! What the doubt in a verdict comes from, in shares, and which measurement would take most of it away.

use serde_json::{Value, json};

use crate::instrument::{Figure, MarginOf, ReedAssessment, Tool};
use crate::sheet::keys;

/// Parts under this share of the whole are told together.
const LEAST: f64 = 0.05;

/// Every tool, in the order in which doubts are kept: what it is called, and the keys that would replace it.
const TOOLS: [(Tool, &str, &str); Tool::COUNT] = [
    (Tool::Feeler, "gap and clearances, as feelers tell them", "tip_gap_mm"),
    (Tool::Calliper, "length and width", "length_mm"),
    (Tool::Micrometer, "thickness", "thickness_mm"),
    (Tool::Tuner, "pitch, as the tuner tells it", "measured_pluck_hz"),
    (Tool::Clamp, "how long it rings", "ring_down_s"),
    (Tool::Metal, "the metal", ""),
    (Tool::Chamber, "the chamber as measured", "volume_mm3"),
    (Tool::Other, "other inputs", ""),
    (Tool::Inertance, "the air's inertia in the model", ""),
    (Tool::Contraction, "the jet in the model", ""),
    (Tool::Drag, "the drag in the model", ""),
    (Tool::ChamberVolume, "the chamber, which is assumed", "volume_mm3"),
    (Tool::ChannelLength, "the channel's length, which is assumed", "channel_length_mm"),
    (Tool::ChannelArea, "the channel's width, which is assumed", "channel_area_mm2"),
    (Tool::Lungs, "the player's lungs", ""),
    (Tool::Mouth, "the player's mouth", ""),
    (Tool::Weight, "the weight at the tip, which is assumed", "closing_force_g"),
    (Tool::Leak, "a leak, which is assumed", "leak_mm2"),
    (Tool::Curve, "the curve of the tongue, which is assumed", ""),
];

/// The shares of the doubt in what decides on a reed, the largest first.
pub(super) fn shares(reed: &ReedAssessment) -> Option<Value> {
    let deciding = reed.margins.iter().filter(|margin| margin.of.decides());
    let least = deciding.min_by(|a, b| a.probability_good.total_cmp(&b.probability_good))?;
    let (figure, of) = figure(least.of)?;
    let known = reed.uncertainties.get(figure);
    let whole = known.deviation().powi(2);
    if whole <= 0.0 {
        return None;
    }
    let mut parts: Vec<(&str, &str, f64)> =
        TOOLS.iter().map(|(tool, words, key)| (*words, *key, known.by_tool[*tool as usize].powi(2) / whole)).collect();
    parts.push(("what is the reading's own", "", known.own / whole));
    parts.sort_by(|a, b| b.2.total_cmp(&a.2));
    let large = || parts.iter().filter(|part| part.2 >= LEAST);
    let next = large().find_map(|(_, key, _)| keys::find(key));
    Some(json!({
        "of": of,
        "parts": large().map(|(words, _, share)| json!({ "words": words, "percent": (100.0 * share).round() })).collect::<Vec<_>>(),
        "measure_next": next.map(|key| json!({ "key": key.name, "label": key.words(), "how": key.measure })),
    }))
}

fn figure(of: MarginOf) -> Option<(Figure, &'static str)> {
    Some(match of {
        MarginOf::Soft => (Figure::Low, "how softly it starts"),
        MarginOf::Hard => (Figure::High, "how hard it can be blown"),
        MarginOf::Time => (Figure::Time, "how soon it speaks"),
        MarginOf::Pitch => (Figure::Pitch, "its pitch"),
        MarginOf::Clearance => (Figure::Clearance, "how close it comes to its slot"),
        MarginOf::Level | MarginOf::Stress | MarginOf::Leak => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tool_stands_in_its_place() {
        for (k, (tool, words, key)) in TOOLS.iter().enumerate() {
            assert_eq!(*tool as usize, k, "{words}");
            assert!(key.is_empty() || keys::find(key).is_some(), "{key}");
        }
    }
}
