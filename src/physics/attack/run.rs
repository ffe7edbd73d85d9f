//! A run under way.

use std::cell::OnceCell;

use super::ending::yet_to_go;
use super::envelope::{Envelope, Step};
use super::rosenbrock::{Here, Stepper};
use super::{Blow, Ending, SILENT_M, SILENT_SHARE, Start, Stop};
use crate::physics::condensed::{FLOW, PRESSURE, SPEED, Values};
use crate::physics::model::{ReedModel, State};
use crate::physics::onset::AboutRest;
use crate::physics::trace::Trace;

/// A run is ended after so many steps: some seconds of work.
const MOST_STEPS: usize = 2_000_000;
/// Periods after the rise in which its aftermath dies.
const AFTERMATH_PERIODS: f64 = 2.0;
/// Swing below which the tolerance no longer follows it, relative to how far the pressure bends the tongue.
const SMALLEST_SWING: f64 = 1e-4;

/// The next step is this much shorter than the error allows, and at most so many times shorter or longer than the last.
const SAFETY: f64 = 0.8;
const SHORTER: f64 = 0.2;
const LONGER: f64 = 2.0;

/// How finely to integrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Accuracy {
    /// Error of a step, relative to the swing of the tongue and to pressure and flow.
    pub(super) tolerance: f64,
    /// Steps in a plucked period at the least.
    pub(super) steps_per_period: f64,
    /// Relative change over ten periods, and distance yet to go, below which the run is at its end.
    pub(super) level: f64,
}

/// A run under way.
pub(super) struct Run<'a> {
    pub(super) stepper: Stepper<'a>,
    pub(super) here: Here,
    pub(super) envelope: Envelope,
    /// Every step, where it is kept.
    pub(super) trace: Option<Trace>,
    pub(super) accuracy: Accuracy,
    /// Since when the envelope is free of the rise and integrated as finely as that (s), and where it was heading before
    /// (m/s).
    pub(super) since_s: f64,
    pub(super) heading_m_s: Option<f64>,
    pub(super) plucked_period_s: f64,
    next_step_s: f64,
    /// Size of each value that the tolerance is relative to, but for the swing.
    sizes: Values<f64>,
    smallest_m_s: f64,
    pub(super) largest_m_s: f64,
    pub(super) silent_m: f64,
    /// From when on a leap over small motion is tried (s).
    pub(super) leap_from_s: f64,
    /// Small motion at this pressure.
    about_rest: OnceCell<Option<AboutRest>>,
    /// Steps taken, those that were not accepted included.
    steps: usize,
}

impl<'a> Run<'a> {
    /// From rest.
    pub(super) fn new(model: &'a ReedModel, blow: &'a Blow, accuracy: Accuracy, keep: bool) -> Self {
        Self::from(model, blow, accuracy, keep, 0.0, &State::default())
    }

    /// From a state at some time.
    pub(super) fn from(
        model: &'a ReedModel,
        blow: &'a Blow,
        accuracy: Accuracy,
        keep: bool,
        time_s: f64,
        state: &State,
    ) -> Self {
        let p = blow.pressure_pa;
        let w = model.modes()[0].angular_frequency();
        let flow = model.used_m3_s(&State::default(), model.aperture.flow([0.0; 2], [0.0; 2], p).through_m3_s);
        let mut sizes = [0.0; State::COUNT];
        sizes[PRESSURE..FLOW].fill(p);
        sizes[FLOW..].fill(flow);
        for i in 0..SPEED {
            (sizes[i], sizes[SPEED + i]) = (1.0 / w, 1.0);
        }
        let mut stepper = Stepper { model, blow, flows: 0, slopes: 0 };
        let here = stepper.here(time_s, state.values());
        let plucked_period_s = 1.0 / model.modes()[0].frequency_hz;
        let reed = model.reed();
        let gap_m = reed.rest.height_m(reed.beam.length_m, reed.beam.length_m).abs();
        let mut run = Self {
            stepper,
            here,
            envelope: Envelope::default(),
            trace: keep.then(Trace::default),
            accuracy,
            since_s: blow.rise_s + AFTERMATH_PERIODS * plucked_period_s,
            heading_m_s: None,
            plucked_period_s,
            next_step_s: 0.05 * if blow.rise_s > 0.0 { blow.rise_s.min(plucked_period_s) } else { plucked_period_s },
            sizes,
            smallest_m_s: SMALLEST_SWING * model.length_unit(p) * w,
            largest_m_s: 0.0,
            silent_m: SILENT_M.max(SILENT_SHARE * gap_m),
            leap_from_s: blow.rise_s + AFTERMATH_PERIODS * plucked_period_s,
            about_rest: OnceCell::new(),
            steps: 0,
        };
        run.note();
        run
    }

    /// Evaluations of the equations of motion so far.
    pub(super) fn evaluations(&self) -> usize {
        self.stepper.flows + self.stepper.slopes
    }

    /// Small motion at the pressure blown with; nothing beyond a fold.
    pub(super) fn about_rest(&self) -> Option<&AboutRest> {
        self.about_rest.get_or_init(|| self.stepper.model.about_rest(self.stepper.blow.pressure_pa)).as_ref()
    }

    /// Its growth rate (1/s).
    pub(super) fn growth_per_s(&self) -> Option<f64> {
        self.about_rest().map(|about| about.growth_per_s)
    }

    /// Runs to the end and reads off when the reed spoke. Where it settles, it goes on with `then` until it is steady by that
    /// too.
    pub(super) fn start(&mut self, stop: Stop, then: Option<Accuracy>) -> Start {
        let ending = self.finish(stop, then);
        let spoken = self.spoken(ending);
        Start {
            ending,
            speaks: spoken.speaks,
            t50_s: spoken.t50_s,
            t90_s: spoken.t90_s,
            evaluations: self.evaluations(),
        }
    }

    /// Takes in where the run has come to.
    fn note(&mut self) -> bool {
        let state = State::from_values(&self.here.state);
        let rates = State::from_values(&self.here.rates);
        if let Some(trace) = &mut self.trace {
            trace.push(self.here.time_s, state, rates);
        }
        let (speed_m_s, acceleration_m_s2) = (state.speed(), rates.speed());
        self.largest_m_s = self.largest_m_s.max(speed_m_s.abs());
        let new = self.envelope.push(Step { time_s: self.here.time_s, speed_m_s, acceleration_m_s2 });
        if let (true, Some((_, speed))) = (new, self.envelope.last()) {
            self.largest_m_s = speed;
        }
        new
    }

    /// One step, not beyond `end_s`; whether the envelope has a new point, or nothing where no step is short enough.
    fn step(&mut self, end_s: f64) -> Option<bool> {
        let largest = self.plucked_period_s / self.accuracy.steps_per_period;
        let rise = self.stepper.blow.rise_s;
        let end_s = if self.here.time_s < rise { rise.min(end_s) } else { end_s };
        loop {
            let left = end_s - self.here.time_s;
            let wanted = self.next_step_s.min(largest);
            // Two even steps rather than a long and a very short one.
            let h = if wanted >= left {
                left
            } else if wanted > 0.5 * left {
                0.5 * left
            } else {
                wanted
            };
            let (state, error) = self.stepper.step(&self.here, h);
            let size = self.size_of(&error);
            // The error of a step falls with its fourth power.
            let factor = (SAFETY / size.sqrt().sqrt()).clamp(SHORTER, LONGER);
            self.steps += 1;
            if size <= 1.0 {
                let time_s = if h == left { end_s } else { self.here.time_s + h };
                self.here = self.stepper.here(time_s, state);
                self.next_step_s = if h < wanted { self.next_step_s.max(h * factor) } else { h * factor };
                return Some(self.note());
            }
            self.next_step_s = if size.is_finite() { h * factor } else { 0.2 * h };
            if h < 1e-9 * self.plucked_period_s || self.steps > MOST_STEPS {
                return None;
            }
        }
    }

    /// Size of an error in units of what is tolerated.
    fn size_of(&self, error: &Values<f64>) -> f64 {
        let swing = self.largest_m_s.max(self.smallest_m_s);
        let mut sum = 0.0;
        for (k, (error, size)) in error.iter().zip(self.sizes).enumerate() {
            let scale = if k < PRESSURE { swing * size } else { size };
            sum += (error / scale) * (error / scale);
        }
        sum.sqrt() / self.accuracy.tolerance
    }

    /// Integrates on to `end_s`; false where the solver gave up.
    pub(super) fn integrate_to(&mut self, end_s: f64) -> bool {
        while self.here.time_s < end_s {
            if self.step(end_s).is_none() {
                return false;
            }
        }
        true
    }

    /// Runs to the end and says which it was.
    fn finish(&mut self, stop: Stop, mut then: Option<Accuracy>) -> Ending {
        let (limit, free) = match stop {
            Stop::After(duration) => (duration, false),
            Stop::WhenSteadyOrAt(limit) => (limit, true),
            Stop::WhenSteady => (2.0_f64.max(600.0 * self.plucked_period_s), true),
        };
        while self.here.time_s < limit {
            self.leap(limit);
            match self.step(limit) {
                None => return Ending::TooStiff,
                Some(true) if self.here.time_s > self.stepper.blow.rise_s => {
                    let ending = self.ending(true);
                    if ending == Some(Ending::Settled)
                        && let Some(finer) = then.take()
                    {
                        self.heading_m_s = self.recent().map(|recent| recent[2] + yet_to_go(recent));
                        (self.accuracy, self.since_s) = (finer, self.here.time_s);
                    } else if let Some(ending) = ending.filter(|_| free) {
                        return ending;
                    }
                }
                Some(false) if free && self.is_still() => return Ending::Silent,
                Some(_) => {}
            }
        }
        // Its time is up: the last twenty periods must do, however they were integrated.
        self.since_s = 0.0;
        self.ending(false).unwrap_or(Ending::NotSettled)
    }

    /// Swing that goes with a speed (m).
    pub(super) fn swing_m(&self, speed_m_s: f64) -> f64 {
        speed_m_s * self.period_s() / std::f64::consts::TAU
    }

    /// The sounding period at the end of the run; the plucked one where nothing sounds.
    pub(super) fn period_s(&self) -> f64 {
        self.envelope.period_s(20).unwrap_or(self.plucked_period_s)
    }
}
