//! The model's sound of a passage: each note as its reed gives it from rest, at its own level, a metre in front.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::Rehearsal;
use crate::instrument::Assessment;
use crate::physics::sound::waveform;

/// How long a note fades when its air ends (s): long enough for no click (assumed; a reed rings a little longer).
const FADE_S: f64 = 0.03;
/// Longest passage that is sounded (s).
pub const LONGEST_S: f64 = 600.0;
/// A note is computed for so long (s); a longer one goes on as its last tenth of a second does.
const COMPUTED_S: f64 = 1.5;

/// Sound pressure of a passage a metre in front (Pa), so many samples a second; nothing where it lasts longer than
/// [`LONGEST_S`]. Notes that no reed sounds are silent; the reeds are summed as if they stood in one place.
pub fn passage<'a>(rehearsal: &'a Rehearsal, assessment: &Assessment, rate_hz: u32) -> Option<Vec<f64>> {
    let rate = f64::from(rate_hz);
    let end_s = rehearsal.duration_s();
    if end_s > LONGEST_S {
        return None;
    }
    // The longest note of each reed at each pressure; shorter ones are cut from it.
    let mut blown: BTreeMap<(&str, u64), f64> = BTreeMap::new();
    for note in &rehearsal.notes {
        if let Some(on) = &note.on {
            let length_s = blown.entry((&on.reed, on.pressure_pa.to_bits())).or_default();
            *length_s = length_s.max(note.note.length_s);
        }
    }
    let all: Vec<((&str, u64), f64)> = blown.into_iter().collect();
    let one = |(key, length_s): ((&'a str, u64), f64)| {
        let assessed = assessment.good_rows().find(|assessed| assessed.reed.id == key.0)?;
        let model = &assessed.prediction.model;
        let blow = assessed.demand.blow(f64::from_bits(key.1));
        let samples = waveform(model, &model.followed(&blow, length_s.min(COMPUTED_S)), 1.0, rate_hz);
        Some((key, Held::of(samples, rate)))
    };
    let sounds: BTreeMap<(&str, u64), Held> = all.into_par_iter().with_max_len(1).filter_map(one).collect();
    let mut passage = vec![0.0; ((end_s + FADE_S) * rate) as usize + 1];
    for note in &rehearsal.notes {
        let key = note.on.as_ref().map(|on| (on.reed.as_str(), on.pressure_pa.to_bits()));
        let Some(sound) = key.and_then(|key| sounds.get(&key)) else { continue };
        let count = (note.note.length_s * rate) as usize;
        let fade = (FADE_S * rate).min(0.5 * count as f64);
        let first = (note.note.start_s * rate) as usize;
        for (k, sample) in passage[first..].iter_mut().take(count).enumerate() {
            *sample += ((count - k) as f64 / fade).min(1.0) * sound.at(k);
        }
    }
    Some(passage)
}

/// A sound that can be held on beyond its end.
struct Held {
    samples: Vec<f64>,
    /// A stretch of whole swings, which is repeated; none in silence.
    swings: Option<(usize, usize)>,
}

impl Held {
    /// The stretch runs from one rise through zero to the last, a tenth to a fifth of a second, the one whose ends lie most
    /// alike between two samples.
    fn of(samples: Vec<f64>, rate: f64) -> Self {
        // How far behind a sample the rise through zero lies.
        let rise = |k: &usize| samples[*k] / (samples[*k] - samples[k - 1]);
        let rises: Vec<usize> = (1..samples.len()).filter(|&k| samples[k - 1] < 0.0 && samples[k] >= 0.0).collect();
        let last = rises.last().copied();
        let swings = last.and_then(|last| {
            let ago = |k: &usize| (last - k) as f64 / rate;
            let apart = |k: &usize| (rise(k) - rise(&last)).abs();
            let first = rises.iter().copied().filter(|k| (0.1..0.2).contains(&ago(k)));
            first.min_by(|a, b| apart(a).total_cmp(&apart(b))).map(|first| (first, last))
        });
        Self { samples, swings }
    }

    fn at(&self, k: usize) -> f64 {
        match self.swings {
            Some((first, last)) if k >= last => self.samples[first + (k - last) % (last - first)],
            _ => self.samples.get(k).copied().unwrap_or(0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Held;

    #[test]
    fn a_tone_is_held_without_a_break() {
        let tone = |k: usize| (0.3 * k as f64).sin();
        let held = Held::of((0..30_000).map(tone).collect(), 48_000.0);
        let (first, last) = held.swings.unwrap();
        assert!((4_800..9_600).contains(&(last - first)));
        // The period is no whole number of samples: what is left of that is a fraction of a sample.
        let off = (30_000..60_000).map(|k| (held.at(k) - tone(k)).abs()).fold(0.0, f64::max);
        assert!(off < 0.3, "{off}");
        assert!((30_000..60_000).all(|k| (held.at(k) - held.at(k - 1)).abs() < 0.3 + 0.02));
        assert_eq!(Held::of(vec![0.0; 100], 48_000.0).at(200), 0.0);
    }
}
