//! Softest blows that were measured, beside what is computed of the same reeds.
//!
//! A reed starts by itself at onset, slowly there, and in the time its player allows at the softest playable pressure: what is
//! read lies between the two or a little off. What the whole set is off alike is no reed's own.

use super::assess::ReedAssessment;
use super::figure::Figure;
use super::finding::Finding;
use super::surety::{Surety, above_zero};
use crate::trend::{Trend, median};

/// A blow that a player calls the softest is as soft as that to so much, as a standard deviation (assumed).
const BLOWN_TO: f64 = 0.2;
/// How many times the softest blow may be what is computed: beyond it something was not measured.
const HARDER: f64 = 1.5;

/// By how many times the softest blows of a set are off what is computed, where they are off alike: above the softest playable
/// pressure, or, below 1, under onset.
pub(super) fn off_alike<'a>(reeds: impl Iterator<Item = &'a ReedAssessment>) -> Option<f64> {
    let beside = reeds.filter_map(|reed| {
        let blown_pa = reed.reed.checked.measured.softest_blow_pa?;
        Some([blown_pa / reed.playable?.low.pressure_pa, blown_pa / reed.prediction.speaking.onset?.pressure_pa])
    });
    let (of_low, of_onset): (Vec<f64>, Vec<f64>) = beside.map(|[low, onset]| (low, onset)).unzip();
    if of_low.len() < Trend::FEWEST {
        return None;
    }
    let [harder, softer] = [median(of_low)?, median(of_onset)?];
    (harder > HARDER).then_some(harder).or((softer < 1.0 / HARDER).then_some(softer))
}

/// That the softest blow that was measured is far above what is computed from all else that was, and from what its whole set is
/// off: something is not as the sheet has it.
pub(super) fn harder_than_computed(assessed: &ReedAssessment) -> Option<Finding> {
    let checked = &assessed.reed.checked;
    let blown_pa = checked.measured.softest_blow_pa?;
    let onset_pa = assessed.prediction.speaking.onset?.pressure_pa;
    let low = assessed.uncertainties.get(Figure::Low);
    let computed_pa = (assessed.playable?.low.pressure_pa * low.off.exp()).max(checked.spec.blown_times() * onset_pa);
    let beyond = (blown_pa / computed_pa).ln() - HARDER.ln();
    let probability = above_zero(beyond, low.deviation().hypot(BLOWN_TO));
    (probability >= Surety::LIKELY).then(|| Finding::HarderThanComputed {
        blown_pa,
        computed_pa,
        surety: Surety::of(probability),
    })
}
