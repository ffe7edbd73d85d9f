//! The fundamental that explains a set of partials, also where it is weak or missing itself, and a second one where two notes
//! sound.

use super::spectrum::{LOWEST_HZ, Peak, Peaks};

/// Highest fundamental that is looked for (Hz).
const HIGHEST_HZ: f64 = 5000.0;
/// The partials of which a candidate may be a whole fraction: so many of the strongest.
const STRONGEST: usize = 8;
/// Up to which fraction.
const FRACTIONS: usize = 8;
/// Harmonics that count.
const HARMONICS: usize = 24;
/// A partial belongs to a harmonic that it misses by no more than this share, some 10 cents.
const OFF: f64 = 0.006;
/// The least score with which a fundamental is believed.
const LEAST_SCORE: f64 = 0.3;
/// Partials this far below the strongest (40 dB) say nothing of the fundamental.
const FAINT: f64 = 0.01;
/// How much the power that a fundamental explains counts beside its score: hum of the mains may have more partials than a
/// pluck, and less power.
const BY_POWER: f64 = 0.2;
/// How much a harmonic that is not there counts against one that is: the common root of a fifth explains both of its notes and
/// has half of its harmonics.
const MISSING: f64 = 1.3;
/// A second note has at least this share of the power of the first: 20 dB below is background.
const SECOND_SHARE: f64 = 0.01;

/// A fundamental.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Comb {
    pub(super) hz: f64,
    /// Share of the partials that it explains less the share of its harmonics that are not there: 1 at best.
    pub(super) score: f64,
    /// Power of the partials it explains, those of an earlier one left out.
    pub(super) power: f64,
}

/// The fundamentals of the partials: none, one, or two, the first the one that explains most.
pub(super) fn combs(peaks: &Peaks) -> Vec<Comb> {
    let mut found = Vec::new();
    let strongest = peaks.peaks.iter().map(|peak| peak.amplitude).fold(0.0, f64::max);
    let clear: Vec<Peak> = peaks.peaks.iter().copied().filter(|peak| peak.amplitude >= FAINT * strongest).collect();
    let Some(first) = best(&clear, peaks.resolution_hz) else { return found };
    found.push(first);
    let rest: Vec<Peak> = clear.into_iter().filter(|peak| !belongs(peak, first.hz, peaks.resolution_hz)).collect();
    let second = best(&rest, peaks.resolution_hz).filter(|second| second.power >= SECOND_SHARE * first.power);
    found.extend(second);
    found
}

/// Whether a partial is a harmonic of a fundamental.
pub(super) fn belongs(peak: &Peak, hz: f64, resolution_hz: f64) -> bool {
    is_near(peak, hz, OFF, resolution_hz)
}

fn is_near(peak: &Peak, hz: f64, off: f64, resolution_hz: f64) -> bool {
    let number = (peak.hz / hz).round();
    number >= 1.0 && (peak.hz - number * hz).abs() <= (off * number * hz + 0.5 * resolution_hz).min(0.25 * hz)
}

fn best(peaks: &[Peak], resolution_hz: f64) -> Option<Comb> {
    let mut strongest: Vec<Peak> = peaks.to_vec();
    strongest.sort_by(|a, b| b.amplitude.total_cmp(&a.amplitude));
    let candidates = strongest.iter().take(STRONGEST).flat_map(|peak| (1..=FRACTIONS).map(|n| peak.hz / n as f64));
    let in_range = candidates.filter(|hz| (LOWEST_HZ..=HIGHEST_HZ).contains(hz));
    let scored = in_range.map(|hz| score(peaks, refined(peaks, hz, resolution_hz), resolution_hz));
    let believed = scored.filter(|comb| comb.score >= LEAST_SCORE);
    let worth = |comb: &Comb| comb.score * comb.power.powf(BY_POWER);
    believed.max_by(|a, b| worth(a).total_cmp(&worth(b)))
}

/// The fundamental that fits the partials belonging to a candidate best, each by its amplitude; then only those that are near
/// to it still, since a partial of another note may fall where one belongs.
fn refined(peaks: &[Peak], candidate_hz: f64, resolution_hz: f64) -> f64 {
    [OFF, 0.4 * OFF].into_iter().fold(candidate_hz, |hz, off| {
        let (mut above, mut below) = (0.0, 0.0);
        for peak in peaks.iter().filter(|peak| is_near(peak, hz, off, resolution_hz)) {
            let number = (peak.hz / hz).round();
            above += peak.amplitude * number * peak.hz;
            below += peak.amplitude * number * number;
        }
        if below > 0.0 { above / below } else { hz }
    })
}

/// Each partial counts by the root of its amplitude, so that many weak ones outweigh a few strong: an octave too high leaves
/// the odd ones unexplained, an octave too low expects as many that are not there. The idea is that of two-way mismatch
/// (R. C. Maher and J. W. Beauchamp, *J. Acoust. Soc. Am.* 95, 1994), with other weights.
fn score(peaks: &[Peak], hz: f64, resolution_hz: f64) -> Comb {
    let mut seen = [false; HARMONICS];
    let (mut explained, mut all, mut power) = (0.0, 0.0, 0.0);
    for peak in peaks {
        let weight = peak.amplitude.sqrt();
        all += weight;
        if belongs(peak, hz, resolution_hz) {
            explained += weight;
            power += peak.amplitude * peak.amplitude;
            let number = (peak.hz / hz).round() as usize;
            if number <= HARMONICS {
                seen[number - 1] = true;
            }
        }
    }
    let highest = seen.iter().rposition(|&seen| seen).map_or(0, |k| k + 1);
    let missing = seen[..highest].iter().filter(|&&seen| !seen).count();
    let absent = if highest == 0 { 1.0 } else { missing as f64 / highest as f64 };
    let explained = if all > 0.0 { explained / all } else { 0.0 };
    Comb { hz, score: explained - MISSING * absent, power }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sound(partials: &[(f64, f64)]) -> Peaks {
        let mut peaks: Vec<Peak> = partials.iter().map(|&(hz, amplitude)| Peak { hz, amplitude }).collect();
        peaks.sort_by(|a, b| a.hz.total_cmp(&b.hz));
        Peaks { peaks, resolution_hz: 2.0, share: 1.0, work: 0 }
    }

    fn comb(hz: f64, amplitudes: &[f64]) -> Vec<(f64, f64)> {
        (1..).map(f64::from).zip(amplitudes).map(|(n, &a)| (n * hz, a)).filter(|partial| partial.1 > 0.0).collect()
    }

    #[test]
    fn the_octave_is_right_whatever_the_fundamental() {
        let amplitudes: [&[f64]; 7] = [
            &[1.0],
            &[1.0, 0.1],
            &[0.01, 1.0, 0.5, 0.8, 0.3, 0.2, 0.4, 0.1],
            &[0.0, 1.0, 0.5, 0.8, 0.3, 0.2, 0.4, 0.1],
            &[0.0, 1.0, 0.7, 0.5],
            &[1.0, 0.0, 0.3, 0.0, 0.1],
            &[0.3, 1.0, 0.02, 0.5, 0.02, 0.3],
        ];
        for amplitudes in amplitudes {
            let found = combs(&sound(&comb(261.6, amplitudes)));
            assert_eq!(found.len(), 1, "{amplitudes:?} {found:?}");
            assert!((found[0].hz - 261.6).abs() < 1e-6, "{amplitudes:?} {found:?}");
        }
    }

    #[test]
    fn hum_does_not_hide_a_pluck() {
        let hum = comb(50.0, &[0.05, 0.05, 0.04, 0.03, 0.03, 0.02, 0.02, 0.02, 0.01, 0.01, 0.01, 0.01]);
        let found = combs(&sound(&[comb(523.0, &[1.0, 0.1]), hum].concat()));
        assert!((found[0].hz - 523.0).abs() < 1e-6, "{found:?}");
    }

    #[test]
    fn two_notes_are_two() {
        let amplitudes = [1.0, 0.6, 0.4, 0.3, 0.2, 0.1];
        for ratio in [1.06, 1.122, 1.2, 1.26, 1.335, 1.498, 1.59, 1.68] {
            let weaker: Vec<f64> = amplitudes.iter().map(|a| 0.6 * a).collect();
            let both = [comb(440.0, &amplitudes), comb(440.0 * ratio, &weaker)].concat();
            let mut found: Vec<f64> = combs(&sound(&both)).iter().map(|comb| comb.hz).collect();
            found.sort_by(f64::total_cmp);
            assert_eq!(found.len(), 2, "{ratio} {found:?}");
            assert!((found[0] - 440.0).abs() < 0.5 && (found[1] / 440.0 - ratio).abs() < 2e-3, "{ratio} {found:?}");
        }
    }
}
