//! How even a set is, octave by octave.

use std::collections::BTreeMap;

use serde::Serialize;

use super::assess::ReedAssessment;
use crate::trend::median;

/// Median and extremes of one quantity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Middle value.
    pub median: f64,
    /// Smallest.
    pub low: f64,
    /// Largest.
    pub high: f64,
}

impl Spread {
    /// Of some values; nothing of none.
    pub fn of(values: Vec<f64>) -> Option<Self> {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Some(Self { median: median(values)?, low, high })
    }
}

/// One octave, from C to B.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OctaveEvenness {
    /// Number of the octave; that of middle C is 4.
    pub octave: i32,
    /// Reeds in it.
    pub reeds: usize,
    /// Onset pressure over the player's soft pressure at the same note: evens out what pitch alone does.
    pub onset_over_soft: Option<Spread>,
    /// Speaking time at the normal pressure over the time allowed.
    pub t50_over_allowed: Option<Spread>,
    /// Level at the normal pressure (dB at 1 m).
    pub level_db: Option<Spread>,
}

/// Evenness of a set, lowest octave first.
pub fn evenness<'a>(reeds: impl Iterator<Item = &'a ReedAssessment>) -> Vec<OctaveEvenness> {
    let mut octaves: BTreeMap<i32, Vec<&ReedAssessment>> = BTreeMap::new();
    for reed in reeds {
        octaves.entry(reed.reed.note.octave()).or_default().push(reed);
    }
    octaves.into_iter().map(|(octave, reeds)| one_octave(octave, &reeds)).collect()
}

fn one_octave(octave: i32, reeds: &[&ReedAssessment]) -> OctaveEvenness {
    let spread = |value: &dyn Fn(&ReedAssessment) -> Option<f64>| {
        Spread::of(reeds.iter().filter_map(|reed| value(reed)).collect())
    };
    OctaveEvenness {
        octave,
        reeds: reeds.len(),
        onset_over_soft: spread(&|reed| reed.prediction.onset_pa().map(|onset| onset / reed.pressures.soft_pa)),
        t50_over_allowed: spread(&|reed| reed.attacks[1].t50_s.map(|time| time / reed.demand.allowed_s)),
        level_db: spread(&|reed| reed.attacks[1].steady.as_ref().map(|steady| steady.level.db)),
    }
}
