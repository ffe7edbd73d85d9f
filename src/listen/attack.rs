//! How a blown note comes up. When the player began to blow cannot be heard, so times count from the first moment at which the
//! note is audible above a stated share of its height.

use serde::Serialize;

/// The share of the height at which a note counts as audible, where the noise is low enough.
const AUDIBLE: f64 = 0.05;
/// Where it is not, as many times the amplitude of the noise.
const ABOVE_NOISE: f64 = 2.0;
/// A share above this is no beginning.
const LATEST: f64 = 0.25;
/// Steps of the envelope in a period.
const STEPS: usize = 8;

/// The rise of a blown note.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rise {
    /// The share of the sustained amplitude from which times count.
    pub audible_share: f64,
    /// From there to half of the sustained amplitude (s).
    pub t50_s: f64,
    /// From there to nine tenths of it (s).
    pub t90_s: f64,
    /// The envelope is a mean over one period: times are no finer (s).
    pub period_s: f64,
}

/// The rise of a note in `samples`, which begin before it. `quiet` samples at their start are noise alone; the amplitude is
/// sustained in `sustained`. None where the noise hides the beginning.
pub(super) fn rise(
    samples: &[f64],
    rate_hz: f64,
    hz: f64,
    quiet: usize,
    sustained: std::ops::Range<usize>,
) -> Option<Rise> {
    let mean = |part: &[f64]| part.iter().map(|x| x * x).sum::<f64>() / part.len().max(1) as f64;
    let noise = mean(&samples[..quiet.min(samples.len())]);
    let height = (mean(samples.get(sustained)?) - noise).max(0.0).sqrt();
    let audible_share = (ABOVE_NOISE * noise.sqrt() / height).max(AUDIBLE);
    if !(height > 0.0 && audible_share <= LATEST) || quiet == 0 {
        return None;
    }
    let envelope = envelope(samples, rate_hz / hz, noise);
    let step_s = 1.0 / hz / STEPS as f64;
    // Held for three periods: a click is not the note.
    let reaches = |share: f64, from: usize| {
        let up = |k: usize| envelope[k..(k + 3 * STEPS).min(envelope.len())].iter().all(|&a| a >= 0.7 * share * height);
        (from..envelope.len()).find(|&k| envelope[k] >= share * height && up(k))
    };
    let half = reaches(0.5, 0)?;
    let begins = envelope[..half].iter().rposition(|&a| a < audible_share * height)?;
    let crossing = |share: f64, k: usize| {
        let [below, above] = [envelope[k - 1], envelope[k]];
        k as f64 - if above > below { ((above - share * height) / (above - below)).clamp(0.0, 1.0) } else { 0.0 }
    };
    let start = crossing(audible_share, begins + 1);
    let most = reaches(0.9, half)?;
    Some(Rise {
        audible_share,
        t50_s: (crossing(0.5, half.max(1)) - start) * step_s,
        t90_s: (crossing(0.9, most.max(1)) - start) * step_s,
        period_s: 1.0 / hz,
    })
}

/// Root mean square over one period around each moment, less the noise.
fn envelope(samples: &[f64], period: f64, noise: f64) -> Vec<f64> {
    let mut sums = Vec::with_capacity(samples.len() + 1);
    sums.push(0.0);
    for x in samples {
        sums.push(sums[sums.len() - 1] + x * x);
    }
    let up_to = |place: f64| {
        let whole = (place as usize).min(samples.len() - 1);
        sums[whole] + (place - whole as f64) * (sums[whole + 1] - sums[whole])
    };
    let step = period / STEPS as f64;
    let count = ((samples.len() as f64 - period - 1.0) / step).max(0.0) as usize;
    let power = |k: usize| (up_to(k as f64 * step + period) - up_to(k as f64 * step)) / period;
    (0..count).map(|k| (power(k) - noise).max(0.0).sqrt()).collect()
}
