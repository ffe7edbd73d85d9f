//! An attack in time: does the reed speak, how soon, and to what does it settle.

use nalgebra::SVector;
use ode_solvers::{Dopri5, System, dop_shared::OutputType};

use super::aperture::MODES;
use super::model::{ReedModel, State};
use super::sound::{self, Level};
use super::trace::Trace;

/// How the mouth pressure is raised: `P (3 x^2 - 2 x^3)`, `x = t/t_r` up to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blow {
    /// Final pressure `P` (Pa): in the mouth, or in the lungs where there is a player.
    pub pressure_pa: f64,
    /// Rise time `t_r` (s).
    pub rise_s: f64,
}

impl Blow {
    /// A blow with the default rise of 10 ms.
    pub fn to(pressure_pa: f64) -> Self {
        Self { pressure_pa, rise_s: 10e-3 }
    }

    /// Pressure at `time_s` (Pa).
    pub fn pressure_at(&self, time_s: f64) -> f64 {
        let x = if time_s < self.rise_s { (time_s / self.rise_s).max(0.0) } else { 1.0 };
        self.pressure_pa * x * x * (3.0 - 2.0 * x)
    }
}

/// When a run ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop {
    /// When steady, or after the longer of 2 s and 600 periods.
    WhenSteady,
    /// At this time exactly (s).
    After(f64),
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// The amplitude is steady: it changes by less than 0.1 % over ten periods.
    Settled,
    /// The motion has died, or is dying, below a micrometre.
    Silent,
    /// Neither within the time of the run.
    NotSettled,
    /// The run was ended early: the equations are too stiff for it to be finished in reasonable work.
    TooStiff,
}

/// What the reed settles to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steady {
    /// Half the peak-to-peak tip motion over a period (m).
    pub tip_amplitude_m: f64,
    /// Mean height of the tip above the plate over a period (m).
    pub mean_tip_m: f64,
    /// Sounding frequency (Hz).
    pub frequency_hz: f64,
    /// Mean flow of air through reed and leaks (m3/s).
    pub mean_flow_m3_s: f64,
    /// Sound at 1 m in front.
    pub level: Level,
    /// Largest bending stress over a period (Pa).
    pub stress_pa: f64,
    /// Where it is (m from the clamp).
    pub stress_at_m: f64,
}

/// Whether a reed speaks in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Promptness {
    /// `t50` is within the time allowed.
    InTime,
    /// It speaks, but later.
    Late,
    /// It does not start.
    Silent,
}

/// A run only as long as needed to tell whether the reed speaks in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// The answer.
    pub promptness: Promptness,
    /// Where the reed is in time, about when: half of what the speed had come to when the run was ended (s).
    pub about_t50_s: Option<f64>,
    /// Evaluations of the equations of motion.
    pub evaluations: usize,
}

/// A finished attack.
#[derive(Debug, Clone)]
pub struct Attack {
    /// The blow.
    pub blow: Blow,
    /// How the run ended.
    pub ending: Ending,
    /// Whether the reed speaks: it moves by more than a micrometre and does not die.
    pub speaks: bool,
    /// Time from the start at which the speed envelope reaches half its final value for good (s).
    pub t50_s: Option<f64>,
    /// The same for nine tenths (s).
    pub t90_s: Option<f64>,
    /// What it has come to over the last period of the run, where it speaks.
    pub steady: Option<Steady>,
    /// Growth rate of small motion at this pressure (1/s); nothing beyond a fold.
    pub growth_per_s: Option<f64>,
    /// Length of the run (s).
    pub duration_s: f64,
    /// Evaluations of the equations of motion.
    pub evaluations: usize,
    /// Every step of the run.
    pub trace: Trace,
}

impl Attack {
    /// The same attack without its steps, which take megabytes.
    #[must_use]
    pub fn without_trace(self) -> Self {
        Self { trace: Trace::default(), ..self }
    }
}

/// Below this amplitude a reed does not speak (m).
pub const SILENT_M: f64 = 1e-6;
/// Relative change over ten periods below which a run is steady.
const STEADY_CHANGE: f64 = 1e-3;
/// Relative distance yet to go above which the end of a run says nothing about the steady state.
const ROUGHLY_STEADY: f64 = 0.02;
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
/// The same while judging whether a reed is in time.
const JUDGED_PERIODS: f64 = 3.0;
/// A run that is not nearly steady after this many times the time allowed was not in time.
const PATIENCE: f64 = 8.0;

impl ReedModel {
    /// Blows the reed from rest.
    ///
    /// ```no_run
    /// # fn reed() -> freereed::physics::ReedModel { unimplemented!() }
    /// use freereed::physics::attack::{Blow, Stop};
    /// let attack = reed().attack(&Blow::to(500.0), Stop::WhenSteady);
    /// println!("speaks: {}, half way after {:?} s", attack.speaks, attack.t50_s);
    /// ```
    pub fn attack(&self, blow: &Blow, stop: Stop) -> Attack {
        let growth_per_s = self.growth(&[self.mouth_pa(blow.pressure_pa)])[0].map(|growth| growth.growth_per_s);
        let mut run = Run::new(self, blow);
        let ending = run.finish(stop, growth_per_s.is_none_or(|rate| rate > 0.0));
        run.read_off(ending, growth_per_s)
    }
}

impl ReedModel {
    /// Whether `t50` of a blow is within `allowed_s`, found without waiting for the steady state where the answer is clear
    /// before. `growth_per_s` is the growth rate of small motion at this pressure.
    pub fn trial(&self, blow: &Blow, allowed_s: f64, growth_per_s: f64) -> Trial {
        let mut run = Run::new(self, blow);
        let promptness = run.judge(allowed_s, growth_per_s);
        let in_time = promptness == Promptness::InTime;
        let times = in_time.then(|| speaking_times(&run.trace, run.period_s())).flatten();
        Trial { promptness, about_t50_s: times.map(|times| times.0), evaluations: run.evaluations }
    }
}

/// A run under way: blocks of ten periods, each with the amplitude at its end.
struct Run<'a> {
    model: &'a ReedModel,
    blow: &'a Blow,
    units: State,
    trace: Trace,
    plucked_period_s: f64,
    amplitudes: Vec<f64>,
    evaluations: usize,
    most_steps: u32,
}

impl<'a> Run<'a> {
    fn new(model: &'a ReedModel, blow: &'a Blow) -> Self {
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
        Self { model, blow, units, trace, plucked_period_s, amplitudes, evaluations, most_steps }
    }

    /// Runs to the end and says which it was.
    fn finish(&mut self, stop: Stop, may_grow: bool) -> Ending {
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
            if free && let Some(ending) = self.ending(may_grow) {
                return ending;
            }
        }
        self.ending(may_grow).unwrap_or(Ending::NotSettled)
    }

    /// Runs until it is clear whether the amplitude at `allowed_s` was half of what it will be.
    fn judge(&mut self, allowed_s: f64, growth_per_s: f64) -> Promptness {
        /// Clear is a tenth off the half.
        const MARGIN: f64 = 1.1;
        self.integrate_to(self.blow.rise_s.min(allowed_s));
        self.integrate_to(allowed_s);
        let then = self.amplitude();
        let mut before = then;
        let block = JUDGED_PERIODS * self.plucked_period_s;
        let patience = PATIENCE * (allowed_s + self.blow.rise_s);
        while self.trace.end_s() < patience && self.integrate_to(self.trace.end_s() + block) {
            let now = self.amplitude();
            self.amplitudes.push(now);
            let left = self.yet_to_go();
            // While small motion still grows at its own rate, nothing is known of where it will end.
            let small = growth_per_s > 0.0 && (now / before).ln() / block > 0.5 * growth_per_s;
            let settled = !small && left < 5.0 * STEADY_CHANGE * now;
            let saturating = settled || growth_per_s > 0.0 && now >= before && !small;
            if growth_per_s <= 0.0 && now < 0.5 * then {
                return Promptness::Silent;
            }
            if now > 2.0 * MARGIN * then || settled && then < 0.5 * now {
                return Promptness::Late;
            }
            if now >= SILENT_M && (settled || saturating && then >= 0.5 * MARGIN * (now + left)) {
                return Promptness::InTime;
            }
            before = now;
        }
        if growth_per_s <= 0.0 && before < SILENT_M { Promptness::Silent } else { Promptness::Late }
    }

    /// Steady, silent, or nothing yet.
    fn ending(&self, may_grow: bool) -> Option<Ending> {
        let &[.., a0, a1, a2] = self.amplitudes.as_slice() else { return None };
        if a2 < SILENT_M {
            let dying = a2 <= a1 || a2 < 1e-3 * SILENT_M;
            return (dying && !may_grow).then_some(Ending::Silent);
        }
        let change = (a2 - a1).abs().max((a1 - a0).abs() * 0.1);
        (change < STEADY_CHANGE * a2 && self.yet_to_go() < STEADY_CHANGE * a2).then_some(Ending::Settled)
    }

    /// How far the amplitude has yet to go (m). A slow approach changes little in ten periods and has yet far to go: what is
    /// left is a geometric series. Without limit while the change is not falling.
    fn yet_to_go(&self) -> f64 {
        let &[.., a0, a1, a2] = self.amplitudes.as_slice() else { return f64::INFINITY };
        let (before, change) = ((a1 - a0).abs(), (a2 - a1).abs());
        if change <= 1e-4 * a2 {
            change
        } else if change < before {
            change * change / (before - change)
        } else {
            f64::INFINITY
        }
    }

    /// Integrates on to `end_s`; false where the solver gave up.
    fn integrate_to(&mut self, end_s: f64) -> bool {
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
    fn period_s(&self) -> f64 {
        let end = self.trace.end_s();
        let from = (end - BLOCK_PERIODS * self.plucked_period_s).max(0.0);
        self.trace.period_s(from, end).unwrap_or(self.plucked_period_s)
    }

    fn amplitude(&self) -> f64 {
        let end = self.trace.end_s();
        self.trace.tip_extremes((end - self.period_s()).max(0.0), end).half_range()
    }

    fn read_off(self, ending: Ending, growth_per_s: Option<f64>) -> Attack {
        let amplitude = self.amplitudes.last().copied().unwrap_or(0.0);
        let before = self.amplitudes.iter().rev().nth(1).copied().unwrap_or(0.0);
        let rising = amplitude >= before * (1.0 - STEADY_CHANGE);
        let speaks = amplitude >= SILENT_M && (ending == Ending::Settled || rising);
        let roughly_steady = speaks && self.yet_to_go() < ROUGHLY_STEADY * amplitude;
        let period = self.period_s();
        let times = roughly_steady.then(|| speaking_times(&self.trace, period)).flatten();
        Attack {
            blow: *self.blow,
            ending,
            speaks,
            t50_s: times.map(|t| t.0),
            t90_s: times.map(|t| t.1),
            steady: speaks.then(|| self.steady(period)),
            growth_per_s,
            duration_s: self.trace.end_s(),
            evaluations: self.evaluations,
            trace: self.trace,
        }
    }

    fn steady(&self, period: f64) -> Steady {
        let end = self.trace.end_s();
        let from = (end - period).max(0.0);
        let beam = &self.model.reed().beam;
        let mut worst = (0.0, 0.0);
        for k in self.trace.index_at(from)..self.trace.len() {
            let here = self.model.stress(&self.trace.states()[k]);
            worst = if here.0 > worst.0 { here } else { worst };
        }
        let cycle = sound::Cycle::last_of(self.model, &self.trace, period);
        Steady {
            tip_amplitude_m: self.trace.tip_extremes(from, end).half_range(),
            mean_tip_m: self.model.reed().rest.height_m(beam.length_m, beam.length_m) + cycle.mean_tip_m(),
            frequency_hz: 1.0 / period,
            mean_flow_m3_s: cycle.mean_flow_m3_s(),
            level: cycle.level_at(1.0),
            stress_pa: worst.0,
            stress_at_m: worst.1,
        }
    }
}

impl ReedModel {
    /// Largest bending stress in a state (Pa) and where (m from the clamp): `E h/2 |sum of q_i phi_i''|`.
    pub fn stress(&self, state: &State) -> (f64, f64) {
        let parts: Vec<_> = state.tip_m.iter().zip(self.modes()).map(|(&q, mode)| (q, &mode.shape)).collect();
        self.reed().beam.largest_stress(&super::beam::Shape::combine(&parts))
    }
}

/// First times from which the speed envelope stays at or above 50 % and 90 % of its final value.
fn speaking_times(trace: &Trace, period_s: f64) -> Option<(f64, f64)> {
    let envelope = trace.speed_envelope(period_s);
    let steady = *envelope.last()?;
    let reaches = |share: f64| {
        let level = share * steady;
        let k = envelope.iter().rposition(|&value| value < level)?;
        let (t0, t1) = (trace.times_s()[k], *trace.times_s().get(k + 1)?);
        Some(t0 + (t1 - t0) * (level - envelope[k]) / (envelope[k + 1] - envelope[k]))
    };
    Some((reaches(0.5)?, reaches(0.9)?))
}

type Vector = SVector<f64, 7>;

/// The equations of motion with every state in units that make it of order one.
#[derive(Clone, Copy)]
struct Scaled<'a> {
    model: &'a ReedModel,
    blow: &'a Blow,
    units: &'a State,
}

impl Scaled<'_> {
    fn scale(&self, state: &State) -> Vector {
        vector(state).component_div(&vector(self.units))
    }

    fn unscale(&self, scaled: &Vector, time_s: f64) -> State {
        let x = scaled.component_mul(&vector(self.units));
        let mouth_pa = if self.model.mouth.is_some() { x[6] } else { self.blow.pressure_at(time_s) };
        State { tip_m: [x[0], x[1]], speed_m_s: [x[2], x[3]], pressure_pa: x[4], channel_m3_s: x[5], mouth_pa }
    }
}

fn vector(state: &State) -> Vector {
    let (q, v) = (state.tip_m, state.speed_m_s);
    Vector::from([q[0], q[1], v[0], v[1], state.pressure_pa, state.channel_m3_s, state.mouth_pa])
}

impl System<f64, Vector> for Scaled<'_> {
    fn system(&self, time_s: f64, scaled: &Vector, rates: &mut Vector) {
        let state = self.unscale(scaled, time_s);
        *rates = self.scale(&self.model.rates(&state, self.blow.pressure_at(time_s)));
    }
}
