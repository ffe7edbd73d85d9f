//! The branch of orbits from onset onwards, followed over the pressure and round its folds.

use super::motion::Motion;
use super::orbit::{Condition, LN_PARAMETER, LN_PERIOD, Orbit, Unknowns, unknowns};
use super::period::{Vector, Walker};
use crate::physics::model::{ReedModel, STATES};
use crate::physics::onset::Speaking;

/// Steps of a period while following the branch: 0.2 % in amplitude.
pub(super) const COARSE: usize = 64;
/// Swing of the first orbit (m): well inside the small motion, well above what round-off sees.
const FIRST_SWING_M: f64 = 5e-6;
/// Below this swing the branch has come back to rest (m).
const LEAST_SWING_M: f64 = 2e-6;
/// Longest and shortest step along the branch: in the logarithm of the pressure, or in units of tip motion.
const LONGEST: f64 = 0.25;
const SHORTEST: f64 = 1e-4;
const MOST_ORBITS: usize = 400;

/// One orbit on the branch, as far as the branch needs it.
#[derive(Debug, Clone, Copy)]
pub(super) struct BranchPoint {
    pub(super) unknowns: Unknowns,
    pub(super) swing_m: f64,
    pub(super) stable: bool,
}

impl BranchPoint {
    pub(super) fn pressure_pa(&self) -> f64 {
        self.unknowns[LN_PARAMETER].exp()
    }

    /// The orbit itself, walked once more.
    pub(super) fn orbit(&self, walker: &mut Walker<Motion<'_>>) -> Option<Orbit> {
        let start: Vector = self.unknowns.fixed_rows::<STATES>(0).into_owned();
        let walk = walker.walk(&start, self.unknowns[LN_PERIOD].exp(), self.pressure_pa(), COARSE)?;
        Some(Orbit { unknowns: self.unknowns, walk, rounds: 0 })
    }
}

/// How the branch ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BranchEnd {
    /// At the limit of the search.
    Limit,
    /// The swing shrinks to nothing: the orbit has met the rest again.
    Rest,
    /// The next orbit was not found.
    Lost,
}

impl Walker<Motion<'_>> {
    /// Follows the branch from the first onset up to `limit_pa`.
    pub(super) fn branch(&mut self, speaking: &Speaking, limit_pa: f64) -> Option<(Vec<BranchPoint>, BranchEnd)> {
        let first = self.first_orbit(speaking)?;
        let mut points = vec![self.point(&first)];
        let mut tangent = Unknowns::zeros();
        // The branch leaves the onset upright: in swing, not in pressure.
        tangent[0] = 1.0;
        let mut step = 0.02;
        while points.len() < MOST_ORBITS {
            let last = points[points.len() - 1];
            let guess = last.unknowns + tangent * step;
            let row = weighted(&tangent);
            let condition = Condition { row, value: row.dot(&guess) };
            let found = self.orbit(&guess, &condition, COARSE).filter(|orbit| close(&orbit.unknowns, &guess, step));
            let Some(orbit) = found else {
                step *= 0.5;
                if step < SHORTEST {
                    return Some((points, BranchEnd::Lost));
                }
                continue;
            };
            let secant = orbit.unknowns - last.unknowns;
            tangent = secant / weighted(&secant).dot(&secant).sqrt();
            points.push(self.point(&orbit));
            if orbit.rounds <= 4 {
                step = (1.6 * step).min(LONGEST);
            }
            if points[points.len() - 1].swing_m < LEAST_SWING_M || self.starts_inwards(&orbit) {
                return Some((points, BranchEnd::Rest));
            }
            if orbit.parameter() > limit_pa {
                return Some((points, BranchEnd::Limit));
            }
        }
        Some((points, BranchEnd::Lost))
    }

    /// An orbit of small swing near the onset, from the eigenvector there.
    fn first_orbit(&mut self, speaking: &Speaking) -> Option<Orbit> {
        let onset = speaking.onset?;
        let (rest, shape) = self.equations.model.onset_shape(onset.pressure_pa)?;
        let rest = self.equations.to_units(&rest);
        let start: Vector = rest + self.equations.to_units(&shape.times(FIRST_SWING_M));
        let guess = unknowns(&start, 1.0 / onset.frequency_hz, onset.pressure_pa);
        self.orbit(&guess, &Condition::fixed(0, start[0]), COARSE)
    }

    fn point(&self, orbit: &Orbit) -> BranchPoint {
        let swing_m = self.swing_m(orbit);
        BranchPoint { unknowns: orbit.unknowns, swing_m, stable: orbit.is_stable() }
    }

    /// Whether an orbit starts nearer to the plate than half way: the branch has gone through the rest.
    fn starts_inwards(&self, orbit: &Orbit) -> bool {
        let first = |x: &Vector| x[0];
        let states = &orbit.walk.states;
        let (low, high) = states.iter().map(first).fold((f64::MAX, f64::MIN), |(l, h), y| (l.min(y), h.max(y)));
        first(&states[0]) < 0.5 * (low + high)
    }

    /// Half the peak-to-peak tip motion of an orbit (m).
    pub(super) fn swing_m(&self, orbit: &Orbit) -> f64 {
        let tips = orbit.walk.states.iter().map(|x| x[0] * self.equations.units[0] + x[1] * self.equations.units[1]);
        let (low, high) = tips.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)));
        0.5 * (high - low)
    }
}

/// Only tip motion and pressure measure the way along the branch.
fn weighted(z: &Unknowns) -> Unknowns {
    let mut row = Unknowns::zeros();
    row[0] = z[0];
    row[LN_PARAMETER] = z[LN_PARAMETER];
    row
}

fn close(found: &Unknowns, guess: &Unknowns, step: f64) -> bool {
    let off = found - guess;
    weighted(&off).norm() < step.max(0.01)
}

impl ReedModel {
    /// The units in which the branch is measured: a tenth of a millimetre of tip motion and what goes with it.
    pub(super) fn branch_units(&self, onset_pa: f64) -> Vector {
        const LENGTH_M: f64 = 2e-4;
        let w = |i: usize| self.modes()[i].angular_frequency();
        let flow = self.aperture.flow([0.0; 2], [0.0; 2], onset_pa).through_m3_s + self.leak_m3_s(onset_pa);
        Vector::from([LENGTH_M, LENGTH_M, LENGTH_M * w(0), LENGTH_M * w(1), onset_pa, flow, onset_pa])
    }
}
