//! A reed that is blown again before it has come to rest.

use std::f64::consts::PI;

use super::answers::Answer;
use crate::physics::ReedModel;

/// What is left of a reed's swing after a silence (s), as a share: `exp(-t/tau)` with the ring-down `tau = Q/(pi f)` of the
/// plucked tongue. Assumed: between two notes the air does nothing to it.
pub(super) fn left_after(model: &ReedModel, silent_s: f64) -> f64 {
    let tau_s = model.reed().quality_factor / (PI * model.modes()[0].frequency_hz);
    (-silent_s / tau_s).exp()
}

/// How much sooner a reed is half way that still swings than from rest: the blow rises as before, and then the swing goes on
/// from the share that is left as it does in the attack from rest when it has come there, `t50 = t_r/2 + (t50_0 - t_share)`.
/// Nothing where the blow itself moves the tongue more than what is left.
pub(super) fn saved_s(answer: &Answer, rise_s: f64, share: f64) -> f64 {
    let reached = answer.growing.as_ref().zip(answer.t50_s).and_then(|(growing, t50_s)| {
        let (first, half_m_s) = (growing.points().first()?, growing.at(t50_s)?);
        let level_m_s = 2.0 * share.min(0.5) * half_m_s;
        if level_m_s <= first.1 { None } else { growing.reaches(level_m_s) }
    });
    reached.map_or(0.0, |time_s| (time_s - 0.5 * rise_s).max(0.0))
}
