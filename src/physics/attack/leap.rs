//! Where the motion is small its growth is known: the run leaps to where it is small no more.

use super::run::Run;
use crate::physics::model::State;

/// Share of the swing at which a reed begins to sound, up to which its motion counts as small. The growth of a swing of this
/// share differs from that of a smaller one by its square.
const SMALL: f64 = 0.5;
/// Share of the motion that may be what the rise left, which dies.
const IMPURE: f64 = 0.02;
/// A leap of fewer periods is not worth while.
const SHORTEST_PERIODS: f64 = 3.0;

/// Where a leap leads.
struct Leap {
    state: State,
    /// Time (s) and envelope (m/s) before and after it.
    envelope: [(f64, f64); 2],
}

impl Run<'_> {
    /// Leaps as far as small motion goes, but not beyond `limit_s`.
    pub(super) fn leap(&mut self, limit_s: f64) {
        if self.trace.is_some() || self.here.time_s < self.leap_from_s {
            return;
        }
        self.leap_from_s = self.here.time_s + self.plucked_period_s;
        if let Some(leap) = self.leapt(limit_s) {
            let [_, (time_s, speed_m_s)] = leap.envelope;
            self.here = self.stepper.here(time_s, leap.state.values());
            self.envelope.leap_to(leap.envelope);
            self.since_s = self.since_s.max(time_s);
            self.largest_m_s = speed_m_s;
        }
    }

    fn leapt(&self, limit_s: f64) -> Option<Leap> {
        let about = self.about_rest()?;
        let mode = about.mode.as_ref().filter(|mode| mode.growth_per_s > 0.0 && mode.frequency_hz > 0.0)?;
        let here_s = self.here.time_s;
        let off = State::from_values(&self.here.state).plus(-1.0, &about.rest);
        let amplitude = about.motion.amplitude(mode, &off, IMPURE)?;
        let speed_m_s = about.motion.speed_of(mode, amplitude);
        let folds = (SMALL * self.silent_m / self.swing_m(speed_m_s)).ln();
        let span_s = (folds / mode.growth_per_s).min(limit_s - here_s);
        if span_s < SHORTEST_PERIODS * self.plucked_period_s {
            return None;
        }
        let grown = amplitude * (mode.value() * span_s).exp();
        let state = about.rest.plus(1.0, &about.motion.state_of(mode, grown));
        let envelope = [(here_s, speed_m_s), (here_s + span_s, about.motion.speed_of(mode, grown))];
        Some(Leap { state, envelope })
    }
}
