//! What several notes of one reed say of it together.

use serde::Serialize;

use super::estimate::Estimate;
use super::heard::HeardNote;
use super::kind::Kind;

/// What was heard of one reed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReedHeard {
    /// Its label.
    pub label: String,
    /// How many plucks of it were heard.
    pub plucks: usize,
    /// Plucked pitch (Hz): the mean of the plucks.
    pub pluck_hz: Option<Estimate>,
    /// Ring-down (s): the mean of the plucks.
    pub ring_down_s: Option<Estimate>,
    /// How many blows of it were heard.
    pub blows: usize,
    /// Sounding pitch (Hz): the mean of the blows.
    pub sounding_hz: Option<Estimate>,
}

/// Gathers notes by their labels, in the order in which the labels first come. A blow in which two reeds sound says nothing of
/// one.
pub fn gather<'a>(notes: impl IntoIterator<Item = (&'a str, &'a HeardNote)>) -> Vec<ReedHeard> {
    let mut by_label: Vec<(&str, Vec<&HeardNote>)> = Vec::new();
    for (label, note) in notes.into_iter().filter(|(_, note)| note.beat.is_none() && note.second.is_none()) {
        match by_label.iter_mut().find(|(known, _)| *known == label) {
            Some((_, notes)) => notes.push(note),
            None => by_label.push((label, vec![note])),
        }
    }
    by_label.into_iter().map(|(label, notes)| ReedHeard::of(label, &notes)).collect()
}

impl ReedHeard {
    fn of(label: &str, notes: &[&HeardNote]) -> Self {
        let of = |kind: Kind| notes.iter().filter(move |note| note.kind == kind);
        let pitch = |note: &&HeardNote| note.pitch_hz;
        Self {
            label: label.to_owned(),
            plucks: of(Kind::Pluck).count(),
            pluck_hz: mean(of(Kind::Pluck).map(pitch)),
            ring_down_s: mean(of(Kind::Pluck).filter_map(|note| note.ring_down).map(|found| found.tau_s)),
            blows: of(Kind::Blow).count(),
            sounding_hz: mean(of(Kind::Blow).map(pitch)),
        }
    }
}

/// The mean, known by the scatter of the values or, where that is more, by their own intervals.
fn mean(values: impl Iterator<Item = Estimate>) -> Option<Estimate> {
    let values: Vec<Estimate> = values.collect();
    let count = values.len() as f64;
    let value = values.iter().map(|of| of.value).sum::<f64>() / count;
    if values.len() < 2 {
        return values.first().copied();
    }
    let square = values.iter().map(|of| (of.value - value).powi(2)).sum::<f64>();
    let scattered = Estimate::new(value, (square / (count - 1.0) / count).sqrt(), count - 1.0);
    let own = values.iter().map(|of| of.half_width().powi(2)).sum::<f64>().sqrt() / count;
    let half = own.max(scattered.half_width());
    Some(Estimate { value, low: value - half, high: value + half })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_is_known_by_scatter_or_by_its_parts() {
        let of = |value: f64, half: f64| Estimate { value, low: value - half, high: value + half };
        assert_eq!(mean([].into_iter()), None);
        assert_eq!(mean([of(3.0, 0.5)].into_iter()), Some(of(3.0, 0.5)));
        // Equal values: their own intervals, over the root of two.
        let alike = mean([of(3.0, 0.5), of(3.0, 0.5)].into_iter()).unwrap();
        assert!((alike.half_width() - 0.5 / 2f64.sqrt()).abs() < 1e-12);
        // Values that scatter: 2, 4, 6 have a standard error of 2/sqrt(3), Student's quantile of two is 1.886.
        let apart = mean([of(2.0, 0.01), of(4.0, 0.01), of(6.0, 0.01)].into_iter()).unwrap();
        assert_eq!(apart.value, 4.0);
        assert!((apart.half_width() / (1.886 * 2.0 / 3f64.sqrt()) - 1.0).abs() < 0.02, "{apart:?}");
    }
}
