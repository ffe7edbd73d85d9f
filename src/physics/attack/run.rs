//! A run under way.

use ode_solvers::{Dopri5, dop_shared::OutputType};

use super::motion::Scaled;
use super::{Blow, Ending, SILENT_M, Steady, Stop};
use crate::physics::aperture::MODES;
use crate::physics::model::{ReedModel, State};
use crate::physics::steady::SteadyOrbit;
use crate::physics::trace::Trace;

/// Relative change over ten periods below which a run is steady.
pub(super) const STEADY_CHANGE: f64 = 1e-3;
/// Relative change over ten periods that is no change at all.
const CALM: f64 = 1e-4;
/// Relative distance yet to go above which the end of a run says nothing about the steady state.
pub(super) const ROUGHLY_STEADY: f64 = 0.02;
/// Relative tolerance of the integration, and the absolute one of states scaled to order one.
const TOLERANCE: (f64, f64) = (1e-6, 1e-8);
/// A run is ended after so many steps: some seconds of work.
const MOST_STEPS: u32 = 2_000_000;
/// A run of a stated length may take more: so many for each period, twice what a run at full swing needs.
const MOST_STEPS_PER_PERIOD: f64 = 500.0;
/// Steps per period at the least: small motion then keeps its amplitude to 2e-6 a period whatever its size.
const STEPS_PER_PERIOD: f64 = 24.0;
/// Periods from one look at the amplitude to the next.
const BLOCK_PERIODS: f64 = 10.0;

/// A run under way: blocks of ten periods, each with the amplitude at its end.
pub(super) struct Run<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) blow: &'a Blow,
    pub(super) units: State,
    pub(super) trace: Trace,
    pub(super) plucked_period_s: f64,
    pub(super) amplitudes: Vec<f64>,
    pub(super) evaluations: usize,
    most_steps: u32,
    /// What it may settle to.
    pub(super) known: Option<Known>,
}

/// A steady state known beforehand.
#[derive(Clone, Copy)]
pub(super) struct Known {
    pub(super) steady: Steady,
    /// Half the peak-to-peak tip speed (m/s).
    pub(super) speed_m_s: f64,
}

impl From<&SteadyOrbit> for Known {
    fn from(orbit: &SteadyOrbit) -> Self {
        let period_s = 1.0 / orbit.steady.frequency_hz;
        let speed_m_s = orbit.trace.speed_envelope(period_s).last().copied().unwrap_or(0.0);
        Self { steady: orbit.steady, speed_m_s }
    }
}

impl<'a> Run<'a> {
    pub(super) fn new(model: &'a ReedModel, blow: &'a Blow) -> Self {
        let p = blow.pressure_pa;
        let length = model.length_unit(p).max(1e-5);
        let flow = model.aperture.flow([0.0; MODES], [0.0; MODES], p).through_m3_s + model.leak_m3_s(p);
        let units = State {
            tip_m: [length; MODES],
            speed_m_s: std::array::from_fn(|i| length * model.modes()[i].angular_frequency()),
            pressure_pa: p,
            channel_m3_s: flow,
            mouth_pa: p,
        };
        let mut trace = Trace::default();
        trace.push(0.0, State::default());
        let plucked_period_s = 1.0 / model.modes()[0].frequency_hz;
        let (amplitudes, evaluations, most_steps) = (Vec::new(), 0, MOST_STEPS);
        Self { model, blow, units, trace, plucked_period_s, amplitudes, evaluations, most_steps, known: None }
    }

    /// Runs to the end and says which it was.
    pub(super) fn finish(&mut self, stop: Stop, may_grow: bool) -> Ending {
        let block = BLOCK_PERIODS * self.plucked_period_s;
        let (limit, free) = match stop {
            Stop::After(duration) => (duration, false),
            Stop::WhenSteady => (2.0_f64.max(600.0 * self.plucked_period_s), true),
        };
        if !free {
            let stated = MOST_STEPS_PER_PERIOD * limit / self.plucked_period_s;
            self.most_steps = MOST_STEPS.max(stated as u32);
        }
        let rise = self.blow.rise_s.min(limit);
        if !self.integrate_to(rise) {
            return Ending::TooStiff;
        }
        // Whole blocks, the first a short one, so that the last ends with the run.
        let mut remaining = ((limit - rise) / block).ceil() as u64;
        while remaining > 0 {
            remaining -= 1;
            let target = limit - remaining as f64 * block;
            if target > self.trace.end_s() && !self.integrate_to(target) {
                return Ending::TooStiff;
            }
            self.amplitudes.push(self.amplitude());
            if free && let Some(ending) = self.ending(may_grow, true) {
                return ending;
            }
        }
        self.ending(may_grow, false).unwrap_or(Ending::NotSettled)
    }

    /// Steady, silent, or nothing yet. A run that could go on is ended only where nothing is left to come; one that has
    /// reached its time counts as steady by the change over ten periods alone, if it is not far from its end.
    pub(super) fn ending(&self, may_grow: bool, can_go_on: bool) -> Option<Ending> {
        if self.known.is_some_and(|known| self.has_come_to(known.steady.tip_amplitude_m)) {
            return Some(Ending::Settled);
        }
        let &[.., a0, a1, a2] = self.amplitudes.as_slice() else { return None };
        if a2 < SILENT_M {
            let dying = a2 <= a1 || a2 < 1e-3 * SILENT_M;
            return (dying && !may_grow).then_some(Ending::Silent);
        }
        let (before, change) = ((a1 - a0).abs(), (a2 - a1).abs());
        let enough = if can_go_on { STEADY_CHANGE } else { ROUGHLY_STEADY };
        let calm =
            !can_go_on || before < 10.0 * STEADY_CHANGE * a2 && !(self.turns() && before.max(change) > CALM * a2);
        (change < STEADY_CHANGE * a2 && calm && self.yet_to_go() < enough * a2).then_some(Ending::Settled)
    }

    /// Whether the last two amplitudes are within a tenth of `amplitude_m`, the second no further off.
    pub(super) fn has_come_to(&self, amplitude_m: f64) -> bool {
        let &[.., a1, a2] = self.amplitudes.as_slice() else { return false };
        let [before, now] = [a1, a2].map(|a| (a / amplitude_m - 1.0).abs());
        before < 0.1 && now <= before.max(CALM)
    }

    /// Whether the amplitude has just turned round: it wavers, or has gone too far and comes back.
    fn turns(&self) -> bool {
        let &[.., a0, a1, a2] = self.amplitudes.as_slice() else { return false };
        (a1 - a0) * (a2 - a1) <= 0.0
    }

    /// How far the amplitude has yet to go (m). A slow approach changes little in ten periods and has yet far to go: what is
    /// left is a geometric series. Without limit while the change is not falling.
    pub(super) fn yet_to_go(&self) -> f64 {
        let &[.., a0, a1, a2] = self.amplitudes.as_slice() else { return f64::INFINITY };
        let (before, change) = ((a1 - a0).abs(), (a2 - a1).abs());
        if change <= CALM * a2 || self.turns() {
            change.max(if self.turns() { before } else { 0.0 })
        } else if change < before {
            change * change / (before - change)
        } else {
            f64::INFINITY
        }
    }

    /// Integrates on to `end_s`; false where the solver gave up.
    pub(super) fn integrate_to(&mut self, end_s: f64) -> bool {
        let start_s = self.trace.end_s();
        let last = self.trace.states()[self.trace.len() - 1];
        let system = Scaled { model: self.model, blow: self.blow, units: &self.units };
        let largest = self.plucked_period_s / STEPS_PER_PERIOD;
        let first = system.scale(&last);
        let mut solver = Dopri5::from_param(
            system,
            start_s,
            end_s,
            0.0,
            first,
            TOLERANCE.0,
            TOLERANCE.1,
            0.9,
            0.04,
            0.2,
            10.0,
            largest,
            0.0,
            self.most_steps.saturating_sub(self.trace.len() as u32),
            u32::MAX,
            OutputType::Sparse,
        );
        let outcome = solver.integrate();
        let system = Scaled { model: self.model, blow: self.blow, units: &self.units };
        for (&time, vector) in solver.x_out().iter().zip(solver.y_out()).skip(1) {
            self.trace.push(time, system.unscale(vector, time));
        }
        let steps = solver.x_out().len();
        self.evaluations += outcome.as_ref().map_or(6 * steps, |stats| stats.num_eval as usize);
        outcome.is_ok()
    }

    /// The sounding period at the end of the run; the plucked one where nothing sounds.
    pub(super) fn period_s(&self) -> f64 {
        let end = self.trace.end_s();
        let from = (end - BLOCK_PERIODS * self.plucked_period_s).max(0.0);
        self.trace.period_s(from, end).unwrap_or(self.plucked_period_s)
    }

    pub(super) fn amplitude(&self) -> f64 {
        let end = self.trace.end_s();
        self.trace.tip_extremes((end - self.period_s()).max(0.0), end).half_range()
    }
}
