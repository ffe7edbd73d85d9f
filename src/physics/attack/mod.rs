//! An attack in time: does the reed speak, how soon, and to what does it settle.

mod ending;
mod envelope;
mod leap;
mod read_off;
mod rosenbrock;
mod run;

use serde::{Deserialize, Serialize};

use super::model::{ReedModel, State};
use super::sound::Level;
use super::trace::Trace;
use ending::yet_to_go;
pub use envelope::Envelope;
use run::{Accuracy, Run};

/// How the mouth pressure is raised: `P (3 x^2 - 2 x^3)`, `x = t/t_r` up to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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

    /// Its rate (Pa/s).
    pub(super) fn slope_at(&self, time_s: f64) -> f64 {
        let x = time_s / self.rise_s;
        if (0.0..1.0).contains(&x) { self.pressure_pa * 6.0 * x * (1.0 - x) / self.rise_s } else { 0.0 }
    }
}

/// When a run ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop {
    /// When steady, or after the longer of 2 s and 600 periods.
    WhenSteady,
    /// When steady, or at this time (s).
    WhenSteadyOrAt(f64),
    /// At this time exactly (s).
    After(f64),
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Steady {
    /// Half the peak-to-peak tip motion over a period (m).
    pub tip_amplitude_m: f64,
    /// Mean height of the tip above the plate over a period (m).
    pub mean_tip_m: f64,
    /// Sounding frequency (Hz).
    pub frequency_hz: f64,
    /// Mean flow of air through the reed (m3/s); a stray leak takes its own beside it.
    pub mean_flow_m3_s: f64,
    /// Sound at 1 m in front.
    pub level: Level,
    /// Largest bending stress over a period (Pa).
    pub stress_pa: f64,
    /// Where it is (m from the clamp).
    pub stress_at_m: f64,
}

impl Steady {
    /// The same with its swing brought to a measured one: amplitude and stress grow with the swing, and the level as the
    /// flow it moves. Mean place, frequency and air used are not touched.
    #[must_use]
    pub fn with_swing_scaled(self, factor: f64) -> Self {
        let louder = 20.0 * factor.log10();
        Self {
            tip_amplitude_m: factor * self.tip_amplitude_m,
            stress_pa: factor * self.stress_pa,
            level: Level { db: self.level.db + louder, dba: self.level.dba + louder },
            ..self
        }
    }
}

/// A finished attack.
#[derive(Debug, Clone, Serialize, Deserialize)]
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
    /// Every step of the run; not written with the rest.
    #[serde(skip)]
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
/// Nor below this share of its tip gap.
pub const SILENT_SHARE: f64 = 0.02;

/// The way up: the study in [`rosenbrock`] has what the accuracy costs. When a reed speaks follows from growth, which this
/// keeps to some thousandths, and from where the run is heading.
const RISING: Accuracy = Accuracy { tolerance: 2e-2, steps_per_period: 16.0, level: 1e-2 };
/// The steady state: near onset, where growth is weak, its swing is as far off as the loss or gain of the integrator in a
/// period is beside that growth.
const SETTLING: Accuracy = Accuracy { tolerance: 3e-3, steps_per_period: 16.0, level: 1e-3 };
/// Whether and when it speaks, and nothing else: `t50` to some thousandths at half the work. What is left to come is told
/// from how fast it comes.
const STARTING: Accuracy = Accuracy { tolerance: 1e-1, steps_per_period: 12.0, level: 3e-2 };
/// What a motion goes over to that sounded when it was let go.
const NEARBY: Accuracy = Accuracy { level: 5e-2, ..STARTING };
/// The last period again, finely enough for its harmonics up to 20 kHz.
const FINE: Accuracy = Accuracy { tolerance: 1e-4, steps_per_period: 64.0, level: 1e-3 };
/// The same for what is only compared with another, to a few tenths of a decibel (A-weighted, a faint low reed to one). Its
/// steps must be as true: the air of a low reed, in which much goes on within a step, else rings on as no air does, and is
/// heard.
const COMPARED: Accuracy = Accuracy { steps_per_period: 32.0, ..FINE };

/// Whether and when a reed speaks when blown so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// How the run ended.
    pub ending: Ending,
    /// Whether the reed speaks.
    pub speaks: bool,
    /// Time from the start at which the speed envelope reaches half its steady value for good (s).
    pub t50_s: Option<f64>,
    /// The same for nine tenths (s).
    pub t90_s: Option<f64>,
    /// Evaluations of the equations of motion.
    pub evaluations: usize,
}

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
        let mut run = Run::new(self, blow, RISING, true);
        let growth_per_s = run.growth_per_s();
        let start = run.start(stop, Some(SETTLING));
        let steady = start.speaks.then(|| self.steady_after(&mut run, FINE)).flatten();
        Attack {
            blow: *blow,
            ending: start.ending,
            speaks: start.speaks,
            t50_s: start.t50_s,
            t90_s: start.t90_s,
            steady,
            growth_per_s,
            duration_s: run.here.time_s,
            evaluations: run.evaluations(),
            trace: run.trace.unwrap_or_default(),
        }
    }

    /// When the same attack speaks, for a part of the work: it ends as soon as it is clear where it is heading.
    pub fn start(&self, blow: &Blow, stop: Stop) -> Start {
        Run::new(&self.coarser(), blow, STARTING, false).start(stop, None)
    }

    /// What the same attack settles to, for as small a part of the work: its last period before that, followed finely and
    /// brought to where its swing is heading. Nothing where it does not speak.
    pub fn settled(&self, blow: &Blow) -> Option<Steady> {
        let mut run = Run::new(self, blow, STARTING, false);
        run.start(Stop::WhenSteady, None).speaks.then(|| self.steady_ahead(&mut run)).flatten()
    }

    /// The envelope of an attack up to a time from its start (s).
    pub fn envelope_to(&self, blow: &Blow, time_s: f64) -> Envelope {
        let coarser = self.coarser();
        let mut run = Run::new(&coarser, blow, STARTING, false);
        let period_s = run.period_s();
        run.integrate_to(time_s + 2.0 * period_s);
        run.envelope
    }

    /// An attack in steps fine enough for its sound, whose air follows its own fast ways between coarser ones.
    pub fn followed(&self, blow: &Blow, duration_s: f64) -> Trace {
        let mut run = Run::new(self, blow, FINE, true);
        run.integrate_to(duration_s);
        run.trace.unwrap_or_default()
    }

    /// What sounds at a pressure when the reed is let go from a state, as from that of a reed much like it that sounds:
    /// nothing where it does not go on sounding.
    pub fn sounding_from(&self, state: &State, pressure_pa: f64) -> Option<Steady> {
        let blow = Blow::to(pressure_pa);
        let mut run = Run::from(self, &blow, NEARBY, false, blow.rise_s, state);
        if run.start(Stop::WhenSteady, None).ending != Ending::Settled {
            return None;
        }
        self.steady_ahead(&mut run)
    }

    /// A motion followed from a state at a steady pressure, as finely as its swing asks; nothing where the solver gives up.
    pub(super) fn sounded(&self, from: &State, pressure_pa: f64, duration_s: f64) -> Option<Trace> {
        let blow = Blow { pressure_pa, rise_s: 0.0 };
        let mut run = Run::from(self, &blow, SETTLING, true, 0.0, from);
        if run.integrate_to(duration_s) { run.trace } else { None }
    }

    /// What sounds where a motion has come to, read off as finely as what is compared.
    pub(super) fn heard(&self, from: &State, pressure_pa: f64) -> Option<Steady> {
        let blow = Blow { pressure_pa, rise_s: 0.0 };
        self.steady_after(&mut Run::from(self, &blow, COMPARED, true, 0.0, from), COMPARED)
    }

    /// What sounds where the end of a run is heading.
    fn steady_ahead(&self, run: &mut Run<'_>) -> Option<Steady> {
        let yet_to_grow = 1.0 + yet_to_go(run.recent()?) / run.envelope.last()?.1;
        self.steady_after(run, COMPARED).map(|steady| steady.with_swing_scaled(yet_to_grow))
    }

    /// What sounds at the end of a run: its motion, followed so finely for two periods more, of which the last counts.
    fn steady_after(&self, run: &mut Run<'_>, accuracy: Accuracy) -> Option<Steady> {
        let kept = run.trace.replace(Trace::default());
        run.accuracy = accuracy;
        let (here, period_s) = (run.here, run.period_s());
        let done = run.integrate_to(here.time_s + 2.2 * period_s);
        run.here = here;
        let trace = std::mem::replace(&mut run.trace, kept)?;
        let period_s = trace.period_s(trace.end_s() - 2.2 * period_s, trace.end_s()).unwrap_or(period_s);
        done.then(|| Steady::of(self, &trace, period_s))
    }
}
