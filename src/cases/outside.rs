//! Whole attacks by an integrator from outside: the explicit Runge-Kutta method of order eight DOP853 (E. Hairer, S. P. Norsett,
//! G. Wanner, *Solving Ordinary Differential Equations I*, section II.10) of the crate `ode_solvers`, at a tight tolerance, on the
//! same [`ReedModel::rates`]. Only the equations are shared: steps, their control, the end of a run and what is read off are
//! not.
//!
//! Tolerances: the swing 1 %, for an attack is held to a few per cent of the swing in a step and ends within 0.1 % of steady;
//! the time to speak 1 % or half a period, the distance of two points of an envelope, whichever is more.

use nalgebra::SVector;
use ode_solvers::{Dop853, OutputType, System};
use rayon::prelude::*;

use super::reeds::{harmonica, harmonium};
use super::{Check, Group, Published};
use crate::physics::attack::{Blow, Stop};
use crate::physics::{Reed, ReedModel, State};

const SOURCE: &str = "the same equations run by DOP853 of the crate ode_solvers 0.6, relative error 1e-8 a step";

/// Samples of a plucked period that are kept.
const SAMPLES: f64 = 100.0;

pub(super) fn checks() -> Vec<Check> {
    // Each long enough to be steady.
    let cases = [
        ("low harmonica reed", harmonica(3), 400.0, 0.35),
        ("high harmonica reed", harmonica(8), 3000.0, 0.3),
        ("harmonium reed", harmonium(), 900.0, 2.0),
    ];
    cases
        .into_par_iter()
        .flat_map_iter(|(name, reed, pressure, duration)| one(name, reed, pressure, duration))
        .collect()
}

fn one(name: &str, reed: Reed, pressure_pa: f64, duration_s: f64) -> Vec<Check> {
    let model = ReedModel::new(reed).expect("a valid reed");
    let blow = Blow::to(pressure_pa);
    let found = model.attack(&blow, Stop::WhenSteady);
    let outside = outside(&model, &blow, duration_s);
    let mut group = Group::new("outside");
    let period = 1.0 / model.modes()[0].frequency_hz;
    let (time, swing) = outside.as_deref().map_or((f64::NAN, f64::NAN), read);
    let half_time = Published::within(time, (1e-2 * time).max(0.5 * period), "s", SOURCE);
    group.add(format!("{name}, t50 at {pressure_pa} Pa"), found.t50_s.unwrap_or(f64::NAN), half_time);
    let swings = found.steady.map_or(f64::NAN, |steady| steady.tip_amplitude_m);
    group.add(format!("{name}, swing at {pressure_pa} Pa"), swings, Published::relative(swing, 1e-2, "m", SOURCE));
    group.checks
}

type Scaled = SVector<f64, 10>;

/// The equations of motion in units in which every value is of order one.
struct Equations<'a> {
    model: &'a ReedModel,
    blow: &'a Blow,
    units: Scaled,
}

impl Equations<'_> {
    fn state(&self, x: &Scaled) -> State {
        let x = x.component_mul(&self.units);
        State {
            tip_m: [x[0], x[1]],
            speed_m_s: [x[2], x[3]],
            pressure_pa: [x[4], x[5], x[6]],
            flow_m3_s: [x[7], x[8], x[9]],
        }
    }
}

impl System<f64, Scaled> for &Equations<'_> {
    fn system(&self, time_s: f64, x: &Scaled, rates: &mut Scaled) {
        let State { tip_m: q, speed_m_s: v, pressure_pa: p, flow_m3_s: u } =
            self.model.rates(&self.state(x), self.blow.pressure_at(time_s));
        *rates = Scaled::from([q[0], q[1], v[0], v[1], p[0], p[1], p[2], u[0], u[1], u[2]]).component_div(&self.units);
    }
}

/// Place of the tip from rest (m) and its speed (m/s).
struct Sample {
    time_s: f64,
    tip_m: f64,
    speed_m_s: f64,
}

/// The attack at even times; nothing where the integrator gave up.
fn outside(model: &ReedModel, blow: &Blow, duration_s: f64) -> Option<Vec<Sample>> {
    const TOLERANCE: f64 = 1e-8;
    let reed = model.reed();
    let gap = reed.rest.height_m(reed.beam.length_m, reed.beam.length_m);
    let first = &model.modes()[0];
    let speed = gap * first.angular_frequency();
    let flow = model.aperture().flow([0.0; 2], [0.0; 2], blow.pressure_pa).through_m3_s;
    let (p, step) = (blow.pressure_pa, 1.0 / (SAMPLES * first.frequency_hz));
    let equations = Equations { model, blow, units: Scaled::from([gap, gap, speed, speed, p, p, p, flow, flow, flow]) };
    // Longest step, first step (found by the method), most steps, and never a test for stiffness: the air of the slot is.
    let (safety, beta, shortest, longest, first_step) = (0.9, 0.0, 0.333, 6.0, 0.0);
    let (most_steps, stiffness) = (4_000_000, u32::MAX);
    let mut solver = Dop853::from_param(
        &equations,
        0.0,
        duration_s,
        step,
        Scaled::zeros(),
        TOLERANCE,
        TOLERANCE,
        safety,
        beta,
        shortest,
        longest,
        duration_s,
        first_step,
        most_steps,
        stiffness,
        OutputType::Dense,
    );
    solver.integrate().ok()?;
    let sample = |(&time_s, x): (&f64, &Scaled)| {
        let state = equations.state(x);
        Sample { time_s, tip_m: state.tip(), speed_m_s: state.speed() }
    };
    Some(solver.x_out().iter().zip(solver.y_out()).map(sample).collect())
}

/// Time to half the last envelope for good (s), and half the range of the tip over the last two periods (m).
fn read(samples: &[Sample]) -> (f64, f64) {
    let last = samples.len().saturating_sub((2.2 * SAMPLES) as usize);
    let tips = || samples[last..].iter().map(|sample| sample.tip_m);
    let swing = 0.5 * (tips().fold(f64::MIN, f64::max) - tips().fold(f64::MAX, f64::min));
    let envelope = envelope(samples);
    let Some(&(_, steady)) = envelope.last() else { return (f64::NAN, swing) };
    let reached = envelope.iter().rposition(|point| point.1 < 0.5 * steady);
    let time = reached.and_then(|k| {
        let ((t0, a), (t1, b)) = (envelope[k], *envelope.get(k + 1)?);
        Some(t0 + (t1 - t0) * (0.5 * steady / a).ln() / (b / a).ln())
    });
    (time.unwrap_or(f64::NAN), swing)
}

/// Half the difference of the largest speed of a swing one way and of the next swing the other way, midway between them. A
/// swing of less than a tenth of the one before is a ripple of the second mode; the last swing is not over.
fn envelope(samples: &[Sample]) -> Vec<(f64, f64)> {
    let mut peaks: Vec<(f64, f64)> = Vec::new();
    for swing in samples.chunk_by(|a, b| (a.speed_m_s > 0.0) == (b.speed_m_s > 0.0)) {
        let largest = swing.iter().max_by(|a, b| a.speed_m_s.abs().total_cmp(&b.speed_m_s.abs()));
        let Some(peak) = largest.map(|sample| (sample.time_s, sample.speed_m_s)) else { continue };
        match peaks.last_mut() {
            Some(last) if (last.1 > 0.0) == (peak.1 > 0.0) => {
                if peak.1.abs() > last.1.abs() {
                    *last = peak;
                }
            }
            Some(last) if peak.1.abs() < 0.1 * last.1.abs() => {}
            _ => peaks.push(peak),
        }
    }
    peaks.pop();
    peaks.windows(2).map(|pair| (0.5 * (pair[0].0 + pair[1].0), 0.5 * (pair[1].1 - pair[0].1).abs())).collect()
}
