//! What a finished run says.

use super::ending::{ROUGHLY_STEADY, yet_to_go};
use super::run::Run;
use super::{Ending, Steady};
use crate::physics::model::ReedModel;
use crate::physics::sound;
use crate::physics::trace::Trace;

/// Relative range of the last envelope within which a run that did not settle still says when it spoke.
const NEARLY_LEVEL: f64 = 0.05;

/// What the envelope of a finished run says.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spoken {
    pub(super) speaks: bool,
    /// Times at which half and nine tenths of the steady value are reached for good (s).
    pub(super) t50_s: Option<f64>,
    pub(super) t90_s: Option<f64>,
}

impl Run<'_> {
    pub(super) fn spoken(&self, ending: Ending) -> Spoken {
        let nothing = Spoken { speaks: false, t50_s: None, t90_s: None };
        let Some((_, last)) = self.envelope.last() else { return nothing };
        let recent = self.recent().unwrap_or([0.0, last, last]);
        // A run that wavers without end sounds; one that falls block after block is dying.
        let dying = recent[2] < recent[1] && recent[1] < recent[0];
        let speaks = self.swing_m(last) >= self.silent_m && (ending == Ending::Settled || !dying);
        let (low, high) = recent.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), &a| (low.min(a), high.max(a)));
        let left = yet_to_go(recent);
        let creeps = (recent[2] - recent[1]).abs() > 0.5 * self.creep() * last;
        let level = high - low < NEARLY_LEVEL * high && left.abs() < ROUGHLY_STEADY * last && !creeps;
        if !(speaks && (ending == Ending::Settled || level)) {
            return Spoken { speaks, ..nothing };
        }
        // The way up is measured by the end it was heading for, which is as far off as it is.
        let steady = self.heading_m_s.unwrap_or(last + if left.abs() < ROUGHLY_STEADY * last { left } else { 0.0 });
        Spoken { speaks, t50_s: self.envelope.reaches(0.5 * steady), t90_s: self.envelope.reaches(0.9 * steady) }
    }
}

impl Steady {
    /// Read off the last `period` (s) of a run.
    pub(in crate::physics) fn of(model: &ReedModel, trace: &Trace, period: f64) -> Self {
        let end = trace.end_s();
        let from = (end - period).max(0.0);
        let reed = model.reed();
        let (stress_pa, stress_at_m) = model.largest_stress(&trace.states()[trace.index_at(from)..]);
        let cycle = sound::Cycle::last_of(model, trace, period);
        Self {
            tip_amplitude_m: trace.tip_extremes(from, end).half_range(),
            mean_tip_m: reed.rest.height_m(reed.beam.length_m, reed.beam.length_m) + cycle.mean_tip_m(),
            frequency_hz: 1.0 / period,
            mean_flow_m3_s: cycle.mean_flow_m3_s(),
            level: cycle.level_at(1.0),
            stress_pa,
            stress_at_m,
        }
    }
}
