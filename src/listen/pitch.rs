//! The pitch of a note to a fraction of a cent: the slope of the phase of its harmonics.

use std::f64::consts::TAU;

use super::estimate::Estimate;
use super::line::line;
use super::track::{Harmonic, Track};

/// Phases of a harmonic are followed only while the phase found so far tells them this well (rad).
const TOLD: f64 = 0.6;

/// A harmonic whose power is so many times that of the noise in its window may lead the others: its phase is known to a
/// twentieth of a radian.
const CLEAR: f64 = 200.0;

/// A pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pitch {
    /// Mean frequency of the fundamental (Hz), each frame weighted by how well it is known.
    pub(super) hz: Estimate,
    /// How fast it drifts (Hz/s).
    pub(super) drift_hz_s: Estimate,
    /// How far it drifts in the time in which most of it is heard (Hz).
    pub(super) drifted_hz: f64,
    /// Standard deviation of the frequency about its drift (Hz), where it wanders more than noise in the recording makes it.
    pub(super) wander_hz: Option<f64>,
}

/// The phase of the fundamental, frame by frame, by all harmonics.
#[derive(Debug, Clone)]
struct Phase {
    /// Radians against the track's fundamental.
    phase: Vec<f64>,
    /// One over the variance of each.
    weight: Vec<f64>,
}

/// The pitch of a track by all of its harmonics, or by one where `alone` names it: what is not strictly periodic has
/// harmonics that are none.
///
/// The phase of harmonic `h` is `theta_h = phi_h + h psi(t)`, with a variance of `n_h/(2 a_h^2)` in noise of mean power `n_h`
/// (D. C. Rife and R. R. Boorstyn, *IEEE Trans. Inf. Theory* 20, 1974; from memory). Each gives `psi` with the weight
/// `2 h^2 a_h^2/n_h`; `psi/2 pi` climbs with the difference between the pitch and the track's fundamental.
pub(super) fn pitch(track: &Track, alone: Option<usize>) -> Option<Pitch> {
    let used: Vec<&Harmonic> =
        track.harmonics.iter().filter(|harmonic| alone.is_none_or(|number| harmonic.number == number)).collect();
    let phase = phase(&used)?;
    let line = line(track.step_s, &phase.phase, &phase.weight)?;
    Some(Pitch {
        hz: line.slope.map(|slope| track.hz + slope / TAU),
        drift_hz_s: line.bend.map(|bend| bend / TAU),
        drifted_hz: line.bend.value.abs() * line.spread_s / TAU,
        wander_hz: line.wandering.map(|slope| slope / TAU),
    })
}

fn phase(harmonics: &[&Harmonic]) -> Option<Phase> {
    let clarity = |harmonic: &&&Harmonic| harmonic.power() / harmonic.noise / (harmonic.number as f64).powi(2);
    // The lower, the less a vibrato turns its phase from frame to frame.
    let lowest = harmonics.iter().find(|harmonic| harmonic.power() > CLEAR * harmonic.noise);
    let lead = lowest.or(harmonics.iter().max_by(|a, b| clarity(a).total_cmp(&clarity(b))))?;
    let mut found = of_lead(lead);
    let mut others: Vec<&&Harmonic> = harmonics.iter().filter(|harmonic| harmonic.number != lead.number).collect();
    others.sort_by_key(|harmonic| harmonic.number);
    for harmonic in others {
        let number = harmonic.number as f64;
        let typical = found.weight.iter().sum::<f64>() / found.weight.len() as f64;
        if number / typical.sqrt() > TOLD {
            break;
        }
        found.add(harmonic);
    }
    Some(found)
}

/// The phase by one harmonic, followed from frame to frame.
fn of_lead(harmonic: &Harmonic) -> Phase {
    let number = harmonic.number as f64;
    let mut phase = Vec::with_capacity(harmonic.z.len());
    let mut last = 0.0;
    for z in &harmonic.z {
        last += wrapped(z.arg() - last);
        phase.push(last / number);
    }
    Phase { phase, weight: weights(harmonic).collect() }
}

fn weights(harmonic: &Harmonic) -> impl Iterator<Item = f64> {
    let unit = 2.0 * (harmonic.number as f64).powi(2) / harmonic.noise;
    harmonic.z.iter().map(move |z| unit * z.norm_sqr())
}

fn wrapped(phase: f64) -> f64 {
    phase - TAU * (phase / TAU).round()
}

impl Phase {
    /// Adds what another harmonic tells. One that strays from the phase so far by more than both their noises allow counts
    /// less: something else sounds there too.
    fn add(&mut self, harmonic: &Harmonic) {
        let number = harmonic.number as f64;
        let theirs: Vec<f64> = weights(harmonic).collect();
        let difference: Vec<f64> = harmonic.z.iter().zip(&self.phase).map(|(z, psi)| z.arg() - number * psi).collect();
        // The constant phase of the harmonic: the direction of the sum of all differences.
        let sum: (f64, f64) =
            difference.iter().zip(&theirs).fold((0.0, 0.0), |(x, y), (d, w)| (x + w * d.cos(), y + w * d.sin()));
        let constant = sum.1.atan2(sum.0);
        let strays: Vec<f64> = difference.iter().map(|d| wrapped(d - constant) / number).collect();
        let (mut stray, mut expected) = (0.0, 0.0);
        for ((d, mine), theirs) in strays.iter().zip(&self.weight).zip(&theirs) {
            stray += theirs * d * d;
            expected += 1.0 + theirs / mine.max(f64::MIN_POSITIVE);
        }
        let trust = (expected / stray.max(f64::MIN_POSITIVE)).min(1.0);
        for ((psi, weight), (d, theirs)) in self.phase.iter_mut().zip(&mut self.weight).zip(strays.iter().zip(&theirs))
        {
            let theirs = theirs * trust;
            *psi += d * theirs / (*weight + theirs);
            *weight += theirs;
        }
    }
}
