//! What a finished run says.

use super::run::{ROUGHLY_STEADY, Run};
use super::{Attack, Ending, SILENT_M, Steady};
use crate::physics::beam::Shape;
use crate::physics::model::{ReedModel, State};
use crate::physics::sound;
use crate::physics::trace::Trace;

/// Relative range of the last amplitudes within which a run that did not settle still says when it spoke.
const NEARLY_LEVEL: f64 = 0.05;

impl Run<'_> {
    pub(super) fn read_off(self, ending: Ending, growth_per_s: Option<f64>) -> Attack {
        let amplitude = self.amplitudes.last().copied().unwrap_or(0.0);
        // A run that wavers without end sounds; one that falls block after block is dying.
        let recent = &self.amplitudes[self.amplitudes.len().saturating_sub(4)..];
        let dying = recent.windows(2).all(|pair| pair[1] < pair[0]);
        let speaks = amplitude >= SILENT_M && (ending == Ending::Settled || !dying);
        let (low, high) = recent.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), &a| (low.min(a), high.max(a)));
        let level = high - low < NEARLY_LEVEL * high && self.yet_to_go() < ROUGHLY_STEADY * amplitude;
        let roughly_steady = speaks && (ending == Ending::Settled || level);
        let known = self.known.filter(|known| self.has_come_to(known.steady.tip_amplitude_m));
        let period = known.map_or_else(|| self.period_s(), |known| 1.0 / known.steady.frequency_hz);
        let steady = || Steady::of(self.model, &self.trace, period);
        let times = roughly_steady.then(|| speaking_times(&self.trace, period, known.map(|known| known.speed_m_s)));
        Attack {
            blow: *self.blow,
            ending,
            speaks,
            t50_s: times.flatten().map(|t| t.0),
            t90_s: times.flatten().map(|t| t.1),
            steady: speaks.then(|| known.map_or_else(steady, |known| known.steady)),
            growth_per_s,
            duration_s: self.trace.end_s(),
            evaluations: self.evaluations,
            trace: self.trace,
        }
    }
}

impl ReedModel {
    /// Largest bending stress in a state (Pa) and where (m from the clamp): `E h/2 |sum of q_i phi_i''|`.
    pub fn stress(&self, state: &State) -> (f64, f64) {
        let parts: Vec<_> = state.tip_m.iter().zip(self.modes()).map(|(&q, mode)| (q, &mode.shape)).collect();
        self.reed().beam.largest_stress(&Shape::combine(&parts))
    }
}
/// First times from which the speed envelope stays at or above 50 % and 90 % of its steady value, which is its last one
/// where it is not known.
pub(super) fn speaking_times(trace: &Trace, period_s: f64, known_m_s: Option<f64>) -> Option<(f64, f64)> {
    let envelope = trace.speed_envelope(period_s);
    let steady = known_m_s.or(envelope.last().copied())?;
    Some((reaches(trace, &envelope, 0.5 * steady)?, reaches(trace, &envelope, 0.9 * steady)?))
}

/// The first of [`speaking_times`], of a run that need not have come to the second.
pub(super) fn half_time(trace: &Trace, period_s: f64, known_m_s: Option<f64>) -> Option<f64> {
    let envelope = trace.speed_envelope(period_s);
    let steady = known_m_s.or(envelope.last().copied())?;
    reaches(trace, &envelope, 0.5 * steady)
}

/// From when on an envelope stays at or above a level.
fn reaches(trace: &Trace, envelope: &[f64], level: f64) -> Option<f64> {
    let k = envelope.iter().rposition(|&value| value < level)?;
    let (t0, t1) = (trace.times_s()[k], *trace.times_s().get(k + 1)?);
    Some(t0 + (t1 - t0) * (level - envelope[k]) / (envelope[k + 1] - envelope[k]))
}

impl Steady {
    /// Read off the last `period` (s) of a run.
    pub(in crate::physics) fn of(model: &ReedModel, trace: &Trace, period: f64) -> Self {
        let end = trace.end_s();
        let from = (end - period).max(0.0);
        let reed = model.reed();
        let stresses = trace.states()[trace.index_at(from)..].iter().map(|state| model.stress(state));
        let worst = stresses.fold((0.0, 0.0), |worst, here| if here.0 > worst.0 { here } else { worst });
        let cycle = sound::Cycle::last_of(model, trace, period);
        Self {
            tip_amplitude_m: trace.tip_extremes(from, end).half_range(),
            mean_tip_m: reed.rest.height_m(reed.beam.length_m, reed.beam.length_m) + cycle.mean_tip_m(),
            frequency_hz: 1.0 / period,
            mean_flow_m3_s: cycle.mean_flow_m3_s(),
            level: cycle.level_at(1.0),
            stress_pa: worst.0,
            stress_at_m: worst.1,
        }
    }
}
