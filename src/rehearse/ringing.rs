//! A reed that is blown again before it has come to rest.

use std::f64::consts::PI;

use crate::instrument::ReedAssessment;

/// What is left of a reed's swing after a silence (s), as a share: `exp(-t/tau)` with the ring-down `tau = Q/(pi f)` of the
/// plucked tongue. Assumed: between two notes the air does nothing to it.
pub(super) fn left_after(assessed: &ReedAssessment, silent_s: f64) -> f64 {
    let model = &assessed.prediction.model;
    let tau_s = model.reed().quality_factor / (PI * model.modes()[0].frequency_hz);
    (-silent_s / tau_s).exp()
}

/// How much sooner a reed is half way that still swings than from rest, where it is so after `from_rest_s`: the swing grows on
/// from the share that is left, `t50 = t_r/2 + ln(0.5/share)/s`, with `s` the growth of small motion and `t_r` the rise of the
/// blow. An estimate: growth slows on the way.
pub(super) fn saved_s(assessed: &ReedAssessment, pressure_pa: f64, from_rest_s: f64, share: f64) -> f64 {
    let growth_per_s = assessed.prediction.speaking.growth_near(pressure_pa);
    if share <= 0.0 || growth_per_s <= 0.0 {
        return 0.0;
    }
    let t50_s = 0.5 * assessed.demand.rise_s + (0.5 / share).ln().max(0.0) / growth_per_s;
    (from_rest_s - t50_s).max(0.0)
}
