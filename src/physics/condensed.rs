//! Linear systems `(g - J) x = b` with the Jacobian `J` of the equations of motion, by static condensation.
//!
//! The air is a chain in which each value knows its neighbours alone, and the tongue hangs on its inner end. So the chain is
//! folded up from the outside in, tip motions follow from speeds, and two speeds remain. `g` and the right side may be
//! complex: the same few lines serve a step in time and an eigenvector.

// Several arrays are walked in step: places say it plainer than zipped iterators, and vectorise.
#![allow(clippy::needless_range_loop)]

use nalgebra::ComplexField;

use super::aperture::MODES;
use super::ladder::SECTIONS;
use super::model::{Slopes, State};

/// Values of a state in the order of [`State::values`].
pub(super) type Values<T> = [T; State::COUNT];

/// Places in [`Values`]: tip motions first, then these.
pub(super) const SPEED: usize = MODES;
pub(super) const PRESSURE: usize = 2 * MODES;
pub(super) const FLOW: usize = PRESSURE + SECTIONS;

impl State {
    /// Tip motions, speeds, pressures, flows.
    #[inline(always)]
    pub(crate) fn values(&self) -> Values<f64> {
        let ([q0, q1], [v0, v1]) = (self.tip_m, self.speed_m_s);
        let ([p0, p1, p2], [u0, u1, u2]) = (self.pressure_pa, self.flow_m3_s);
        [q0, q1, v0, v1, p0, p1, p2, u0, u1, u2]
    }

    /// The state with these values.
    #[inline(always)]
    pub(crate) fn from_values(x: &Values<f64>) -> Self {
        Self {
            tip_m: [x[0], x[1]],
            speed_m_s: [x[2], x[3]],
            pressure_pa: [x[4], x[5], x[6]],
            flow_m3_s: [x[7], x[8], x[9]],
        }
    }
}

/// `g - J`, folded up.
pub(super) struct Condensed<'a, T> {
    slopes: &'a Slopes,
    /// Sections there are.
    count: usize,
    /// `1/g`.
    inverse: T,
    /// Inverse of what is left on the diagonal of each pressure and each flow.
    pressure: [T; SECTIONS],
    flow: [T; SECTIONS],
    /// Pressure at the reed per speed, the tip motion that comes with it included.
    pressure_by_speed: [T; MODES],
    /// Inverse of the two equations that remain.
    speeds: [[T; MODES]; MODES],
}

impl<'a, T: ComplexField<RealField = f64> + Copy> Condensed<'a, T> {
    #[inline(always)]
    pub(super) fn new(slopes: &'a Slopes, count: usize, g: T) -> Self {
        let real = T::from_real;
        let inverse = g.recip();
        let (mut pressure, mut flow) = ([T::zero(); SECTIONS], [T::zero(); SECTIONS]);
        let mut outer = T::zero();
        for k in (0..count).rev() {
            let by_pressure = slopes.flow_by_pressure[k];
            // A section without inertance has no flow of its own: its row is g u = 0.
            flow[k] = (g - real(slopes.flow_by_itself[k]) + outer.scale(by_pressure)).recip();
            let own = slopes.pressure_by_flow[k] * by_pressure;
            pressure[k] = (g - real(slopes.pressure_by_itself[k]) - flow[k].scale(own)).recip();
            outer = pressure[k].scale(slopes.pressure_by_drain[k]);
        }
        let mut pressure_by_speed = [T::zero(); MODES];
        for j in 0..MODES {
            let both = inverse.scale(slopes.pressure_by_tip[j]) + real(slopes.pressure_by_speed[j]);
            pressure_by_speed[j] = both * pressure[0];
        }
        let row = |i: usize, j: usize| {
            let diagonal = if i == j { g } else { T::zero() };
            diagonal
                - inverse.scale(slopes.acceleration_by_tip[i][j])
                - real(slopes.acceleration_by_speed[i][j])
                - pressure_by_speed[j].scale(slopes.acceleration_by_pressure[i])
        };
        let (a, b, c, d) = (row(0, 0), row(0, 1), row(1, 0), row(1, 1));
        let determinant = (a * d - b * c).recip();
        let speeds = [[d * determinant, -b * determinant], [-c * determinant, a * determinant]];
        Self { slopes, count, inverse, pressure, flow, pressure_by_speed, speeds }
    }

    /// The solution `x`.
    #[inline(always)]
    pub(super) fn solve(&self, b: &Values<T>) -> Values<T> {
        let s = self.slopes;
        let mut x = [T::zero(); State::COUNT];
        // Outside in: what each value would be if the one before it were zero.
        let mut outer = T::zero();
        for k in (0..self.count).rev() {
            x[FLOW + k] = (b[FLOW + k] - outer.scale(s.flow_by_pressure[k])) * self.flow[k];
            x[PRESSURE + k] = b[PRESSURE + k] + x[FLOW + k].scale(s.pressure_by_flow[k]);
            outer = x[PRESSURE + k] * self.pressure[k];
        }
        let still = [b[0] * self.inverse, b[1] * self.inverse];
        for j in 0..MODES {
            x[PRESSURE] += still[j].scale(s.pressure_by_tip[j]);
        }
        x[PRESSURE] *= self.pressure[0];
        let mut right = [T::zero(); MODES];
        for i in 0..MODES {
            right[i] = b[SPEED + i] + x[PRESSURE].scale(s.acceleration_by_pressure[i]);
            for j in 0..MODES {
                right[i] += still[j].scale(s.acceleration_by_tip[i][j]);
            }
        }
        for i in 0..MODES {
            x[SPEED + i] = self.speeds[i][0] * right[0] + self.speeds[i][1] * right[1];
            x[i] = still[i] + x[SPEED + i] * self.inverse;
        }
        for j in 0..MODES {
            x[PRESSURE] += self.pressure_by_speed[j] * x[SPEED + j];
        }
        // Inside out.
        for k in 0..self.count {
            if k > 0 {
                x[PRESSURE + k] = (x[PRESSURE + k] + x[FLOW + k - 1].scale(s.pressure_by_drain[k])) * self.pressure[k];
            }
            x[FLOW + k] += (x[PRESSURE + k] * self.flow[k]).scale(s.flow_by_pressure[k]);
        }
        x
    }
}

impl Slopes {
    /// `J x`.
    pub(super) fn times<T: ComplexField<RealField = f64> + Copy>(&self, x: &Values<T>, count: usize) -> Values<T> {
        let mut y = [T::zero(); State::COUNT];
        for i in 0..MODES {
            y[i] = x[SPEED + i];
            y[SPEED + i] = x[PRESSURE].scale(self.acceleration_by_pressure[i]);
            for j in 0..MODES {
                y[SPEED + i] +=
                    x[j].scale(self.acceleration_by_tip[i][j]) + x[SPEED + j].scale(self.acceleration_by_speed[i][j]);
            }
            y[PRESSURE] += x[i].scale(self.pressure_by_tip[i]) + x[SPEED + i].scale(self.pressure_by_speed[i]);
        }
        for k in 0..count {
            y[PRESSURE + k] +=
                x[PRESSURE + k].scale(self.pressure_by_itself[k]) + x[FLOW + k].scale(self.pressure_by_flow[k]);
            if k > 0 {
                y[PRESSURE + k] += x[FLOW + k - 1].scale(self.pressure_by_drain[k]);
            }
            let outer = if k + 1 < count { x[PRESSURE + k + 1] } else { T::zero() };
            y[FLOW + k] =
                x[FLOW + k].scale(self.flow_by_itself[k]) + (x[PRESSURE + k] - outer).scale(self.flow_by_pressure[k]);
        }
        y
    }
}
