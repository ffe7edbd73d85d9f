//! Attacks by an integrator from outside: the explicit Runge-Kutta method of order eight DOP853 (E. Hairer, S. P. Norsett,
//! G. Wanner, *Solving Ordinary Differential Equations I*, section II.10) of the crate `ode_solvers`, at a tight tolerance,
//! on the same [`ReedModel::rates`]. Only the equations are shared: steps and their control are not. Both runs are a
//! [`Trace`] and are read by the same functions.
//!
//! Tolerances: places of the tip and its swing 1e-4 of how far it goes from rest. Our own fine run holds the error
//! estimated for a step to 1e-4 of pressure, flow and swing, and a step errs by less than the estimate, which is of the
//! order below. Time to half of the last envelope 0.1 %, of a whole attack as it is always run: that is the worst of the
//! study in `physics/attack/rosenbrock.rs`.

use nalgebra::SVector;
use ode_solvers::{Dop853, OutputType, System};

use super::reeds::{harmonica, harmonium};
use super::{Check, Group, Published};
use crate::physics::attack::{Blow, Stop};
use crate::physics::trace::Trace;
use crate::physics::{Player, Reed, ReedModel, State};

const SOURCE: &str = "the same equations run by DOP853 of the crate ode_solvers 0.6, relative error 1e-9 a step";
/// Error of a step, relative to the size of each value.
const TOLERANCE: f64 = 1e-9;

pub(super) fn checks() -> Vec<Check> {
    let player = Some(Player { lung_resistance_pa_s_m3: 2e6, mouth_volume_m3: 80e-6 });
    let mut group = Group::new("outside");
    motion("high harmonica reed with a player", Reed { player, ..harmonica(8) }, 2000.0, 0.02, &mut group);
    motion("harmonium reed", harmonium(), 900.0, 0.02, &mut group);
    // Long enough for its swing to be near its end.
    let (name, blow) = ("harmonica reed", Blow::to(1000.0));
    let (model, outside) = motion(name, harmonica(4), blow.pressure_pa, 0.1, &mut group);
    let found = half_time_s(&model.attack(&blow, Stop::After(outside.end_s())).trace);
    group.add(format!("{name}, t50"), found, Published::relative(half_time_s(&outside), 1e-3, "s", SOURCE));
    group.checks
}

/// Places of the tip at four times and the swing at the end; the model and the run from outside.
fn motion(name: &str, reed: Reed, pressure_pa: f64, duration_s: f64, group: &mut Group) -> (ReedModel, Trace) {
    let (model, blow) = (ReedModel::new(reed).expect("a valid reed"), Blow::to(pressure_pa));
    let outside = attack(&model, &blow, duration_s, TOLERANCE).unwrap_or_default();
    let own = model.followed(&blow, duration_s);
    let period_s = 1.0 / model.modes()[0].frequency_hz;
    let swing_m = |trace: &Trace| trace.tip_extremes(duration_s - 1.1 * period_s, duration_s).half_range();
    let farthest = outside.tip_extremes(0.0, duration_s);
    let allowed_m = 1e-4 * farthest.high.max(-farthest.low);
    let mut add = |what: String, found: f64, value: f64| {
        group.add(format!("{name}, {what}"), found, Published::within(value, allowed_m, "m", SOURCE));
    };
    for time_s in [0.25, 0.5, 0.75, 1.0].map(|share| share * duration_s) {
        add(format!("tip after {:.0} ms", 1e3 * time_s), own.at(time_s).tip(), outside.at(time_s).tip());
    }
    add("swing".to_owned(), swing_m(&own), swing_m(&outside));
    (model, outside)
}

/// When the envelope reaches half its last value for good (s).
fn half_time_s(trace: &Trace) -> f64 {
    let envelope = trace.speed_envelope();
    let half = envelope.last().and_then(|(_, speed_m_s)| envelope.reaches(0.5 * speed_m_s));
    half.unwrap_or(f64::NAN)
}

type Scaled = SVector<f64, { State::COUNT }>;

/// The equations of motion in units in which every value is of order one.
struct Equations<'a> {
    model: &'a ReedModel,
    blow: &'a Blow,
    units: Scaled,
}

impl<'a> Equations<'a> {
    fn new(model: &'a ReedModel, blow: &'a Blow) -> Self {
        let reed = model.reed();
        let gap_m = reed.rest.height_m(reed.beam.length_m, reed.beam.length_m).abs();
        let pressure_pa = blow.pressure_pa;
        let flow_m3_s = model.aperture().flow([0.0; 2], [0.0; 2], pressure_pa).through_m3_s;
        let mut units = State::default();
        units.tip_m.fill(gap_m);
        units.speed_m_s.fill(gap_m * model.modes()[0].angular_frequency());
        units.pressure_pa.fill(pressure_pa);
        units.flow_m3_s.fill(flow_m3_s);
        Self { model, blow, units: units.values().into() }
    }

    fn state(&self, x: &Scaled) -> State {
        State::from_values(&x.component_mul(&self.units).into())
    }

    fn rates(&self, time_s: f64, state: &State) -> State {
        self.model.rates(state, self.blow.pressure_at(time_s))
    }
}

impl System<f64, Scaled> for &Equations<'_> {
    fn system(&self, time_s: f64, x: &Scaled, rates: &mut Scaled) {
        *rates = Scaled::from(self.rates(time_s, &self.state(x)).values()).component_div(&self.units);
    }
}

/// The attack from rest, every step of it, to an error of a step relative to the size of each value; nothing where the
/// integrator gave up.
pub fn attack(model: &ReedModel, blow: &Blow, duration_s: f64, tolerance: f64) -> Option<Trace> {
    // The usual control of its steps; the first is found by the method.
    let (safety, beta, shorter, longer, first_step) = (0.9, 0.0, 0.333, 6.0, 0.0);
    // Never a test for stiffness: the air of the slot is stiff for any explicit method.
    let (most_steps, stiffness) = (4_000_000, u32::MAX);
    let equations = Equations::new(model, blow);
    let mut solver = Dop853::from_param(
        &equations,
        0.0,
        duration_s,
        duration_s,
        Scaled::zeros(),
        tolerance,
        tolerance,
        safety,
        beta,
        shorter,
        longer,
        duration_s,
        first_step,
        most_steps,
        stiffness,
        OutputType::Sparse,
    );
    solver.integrate().ok()?;
    let mut trace = Trace::default();
    for (&time_s, x) in solver.x_out().iter().zip(solver.y_out()) {
        let state = equations.state(x);
        trace.push(time_s, state, equations.rates(time_s, &state));
    }
    Some(trace)
}
