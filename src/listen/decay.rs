//! How a plucked tongue rings down: the time in which its swing falls to 1/e, and the quality factor from it.

use std::f64::consts::PI;

use serde::Serialize;

use super::estimate::Estimate;
use super::line::{FEWEST, line};
use super::track::Harmonic;

/// The decay is followed while the power of a frame is so many times that of the noise.
const ABOVE_NOISE: f64 = 10.0;
/// It is followed over no more than this (dB): later the room is heard, not the tongue.
const REACH_DB: f64 = 30.0;

/// A ring-down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RingDown {
    /// Time in which the swing falls to 1/e (s).
    pub tau_s: Estimate,
    /// `Q = pi f tau`: pi times the number of swings in that time.
    pub quality_factor: Estimate,
    /// Over how many dB the decay was followed.
    pub followed_db: f64,
    /// Whether it is one exponential: if not, room, a second tongue or the finger has a part in it.
    pub even: bool,
}

/// The ring-down of the harmonic that is followed, frame by frame.
///
/// `ln a(t) = ln a(0) - t/tau`; in noise of mean power `n` each logarithm has the variance `n/(2 a^2)`. None where the sound
/// does not decay or is too short.
pub(super) fn ring_down(harmonic: &Harmonic, step_s: f64, hz: f64) -> Option<RingDown> {
    let power: Vec<f64> = harmonic.z.iter().map(|z| z.norm_sqr()).collect();
    let top = *power.first()?;
    let least = (ABOVE_NOISE * harmonic.noise).max(top * 10f64.powf(-REACH_DB / 10.0));
    let powers: Vec<f64> = power.into_iter().take_while(|&power| power > least).collect();
    let logs: Vec<f64> = powers.iter().map(|power| 0.5 * (power - harmonic.noise).ln()).collect();
    let flat = vec![1.0; logs.len()];
    let first = line(step_s, &logs, &flat)?;
    // Weights by the fitted decay, not by the noisy powers, whose chance would weigh itself.
    let fitted = |k: usize| (2.0 * first.slope.value * k as f64 * step_s).exp();
    let weights: Vec<f64> = (0..logs.len()).map(fitted).collect();
    let found = line(step_s, &logs, &weights)?;
    if found.slope.high >= 0.0 || logs.len() < FEWEST {
        return None;
    }
    let tau_s = found.slope.map(|slope| -1.0 / slope);
    let bends =
        (found.bend.low > 0.0 || found.bend.high < 0.0) && found.bend.value.abs() * tau_s.value > 0.1 / tau_s.value;
    Some(RingDown {
        tau_s,
        quality_factor: tau_s.map(|tau| PI * hz * tau),
        followed_db: 10.0 * (powers[0] / powers[powers.len() - 1]).log10(),
        even: !(bends && found.wandering.is_some()),
    })
}
