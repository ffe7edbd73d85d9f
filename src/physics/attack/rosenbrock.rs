//! One step in time: a Rosenbrock method, linearly implicit with the exact Jacobian.
//!
//! With `W = 1/(h gamma) - J`, stages `W u_i = f(t + alpha_i h, y + sum a_ij u_j) + sum (c_ij/h) u_j + gamma_i h f_t`, the new
//! state `y + sum m_i u_i` and the error `sum e_i u_i` (E. Hairer and G. Wanner, *Solving Ordinary Differential Equations
//! II*, section IV.7, equation 7.25). The coefficients are those of RODAS there (section VI.4): six stages, order 4(3),
//! stiffly accurate, so that the fast air is damped and the slow tongue is not. Its last two stages are the new state
//! themselves, `y + u_5 + u_6`, and the error is `u_6`.
//!
//! Chosen by what an error costs, over 22 attacks of twelve harmonica reeds and a harmonium reed at twice onset, six times onset
//! and half of choke, against this method at a tolerance of 1e-6. Cost: evaluations in a plucked period, one with its
//! derivatives counted 1.8 times; error of `t50` in units of the larger of 3 % and half a period.
//!
//! | method | tolerance | steps a period at least | cost | `t50`, worst | swing, worst |
//! |---|---|---|---|---|---|
//! | ROS3, order 3 (A. Sandu and others, *Atmos. Environ.* 31 (1997) 3459) | 1e-3 | 24 | 365 | 7.9 | 4.2 % |
//! | RODAS3, order 3 (same source) | 1e-3 | 24 | 372 | 6.2 | 4.9 % |
//! | ROS4, L-stable, order 4 (Hairer and Wanner, table IV.7.2) | 1e-2 | 30 | 220 | 0.2 | 0.7 % |
//! | RODAS, order 4 | 1e-2 | 16 | 243 | 0.02 | 0.2 % |
//! | RODAS, order 4 (as it is used) | 2e-2 | 16 | 210 | 0.03 | 0.3 % |
//! | RODAS, order 4 | 5e-2 | 16 | 170 | 0.04 | 0.7 % |
//!
//! Slow growth is what the methods of order 3 miss: their own loss or gain in a period is not small beside it. The explicit
//! method of order 5 (Dormand and Prince) at 1e-6 took 1400.

use super::Blow;
use crate::physics::condensed::{Condensed, Values};
use crate::physics::model::{ReedModel, Slopes, State};
use crate::physics::widths::for_each_width;

const STAGES: usize = 6;
const GAMMA: f64 = 0.25;
const ALPHA: [f64; STAGES] = [0.0, 0.386, 0.21, 0.63, 1.0, 1.0];
const GAMMAS: [f64; STAGES] = [0.25, -0.1043, 0.1035, -0.0362, 0.0, 0.0];
/// The last stages add one more to the row before.
const LAST: [f64; 4] = [1.221224509226641, 6.019134481288629, 12.53708332932087, -0.687886036105895];
const A: [[f64; STAGES - 1]; STAGES] = [
    [0.0; 5],
    [1.544, 0.0, 0.0, 0.0, 0.0],
    [0.9466785280815826, 0.2557011698983284, 0.0, 0.0, 0.0],
    [3.314825187068521, 2.896124015972201, 0.9986419139977817, 0.0, 0.0],
    [LAST[0], LAST[1], LAST[2], LAST[3], 0.0],
    [LAST[0], LAST[1], LAST[2], LAST[3], 1.0],
];
const C: [[f64; STAGES - 1]; STAGES] = [
    [0.0; 5],
    [-5.6688, 0.0, 0.0, 0.0, 0.0],
    [-2.430093356833875, -0.2063599157091915, 0.0, 0.0, 0.0],
    [-0.1073529058151375, -9.594562251023355, -20.47028614809616, 0.0, 0.0],
    [7.496443313967647, -10.24680431464352, -33.99990352819905, 11.7089089320616, 0.0],
    [8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054],
];

/// Where a run is: the state, its rates and their derivatives.
#[derive(Debug, Clone, Copy)]
pub(super) struct Here {
    pub(super) time_s: f64,
    pub(super) state: Values<f64>,
    pub(super) rates: Values<f64>,
    slopes: Slopes,
}

/// Takes steps and counts their work.
pub(super) struct Stepper<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) blow: &'a Blow,
    /// Evaluations of the equations of motion, and of their derivatives with them.
    pub(super) flows: usize,
    pub(super) slopes: usize,
}

impl Stepper<'_> {
    pub(super) fn here(&mut self, time_s: f64, state: Values<f64>) -> Here {
        self.slopes += 1;
        here(self.model, self.blow.pressure_at(time_s), time_s, state)
    }

    /// The state after a step of `h`, and the error of it.
    pub(super) fn step(&mut self, from: &Here, h: f64) -> (Values<f64>, Values<f64>) {
        self.flows += STAGES - 1;
        step(self.model, self.blow, from, h)
    }
}

for_each_width! {
    fn here(model: &ReedModel, blown_pa: f64, time_s: f64, state: Values<f64>) -> Here {
        let (rates, slopes) = model.rates_and_slopes_by(&State::from_values(&state), blown_pa);
        Here { time_s, state, rates: rates.values(), slopes }
    }
}

for_each_width! {
    fn step(model: &ReedModel, blow: &Blow, from: &Here, h: f64) -> (Values<f64>, Values<f64>) {
        match model.ladder.sections().len() {
            1 => step_of::<1>(model, blow, from, h),
            2 => step_of::<2>(model, blow, from, h),
            _ => step_of::<3>(model, blow, from, h),
        }
    }
}

#[inline(always)]
fn step_of<const COUNT: usize>(model: &ReedModel, blow: &Blow, from: &Here, h: f64) -> (Values<f64>, Values<f64>) {
    let system = Condensed::new(&from.slopes, COUNT, 1.0 / (h * GAMMA));
    let blown = model.blown_place();
    let by_time = h * from.slopes.by_blowing * blow.slope_at(from.time_s);
    let per_step = 1.0 / h;
    let mut right = from.rates;
    right[blown] += GAMMAS[0] * by_time;
    let mut stages = [[0.0; State::COUNT]; STAGES];
    stages[0] = system.solve(&right);
    let mut at = from.state;
    for i in 1..STAGES {
        at = plus(&from.state, &A[i], &stages);
        let blown_pa = blow.pressure_at(from.time_s + ALPHA[i] * h);
        let rates = model.rates_by(&State::from_values(&at), blown_pa).values();
        right = plus(&rates, &C[i].map(|c| c * per_step), &stages);
        right[blown] += GAMMAS[i] * by_time;
        stages[i] = system.solve(&right);
    }
    let error = stages[STAGES - 1];
    for (a, b) in at.iter_mut().zip(&error) {
        *a += b;
    }
    (at, error)
}

/// `x + sum of factors times others`.
#[inline(always)]
fn plus(x: &Values<f64>, factors: &[f64; STAGES - 1], others: &[Values<f64>; STAGES]) -> Values<f64> {
    std::array::from_fn(|k| {
        let mut sum = x[k];
        for i in 0..STAGES - 1 {
            sum += factors[i] * others[i][k];
        }
        sum
    })
}
