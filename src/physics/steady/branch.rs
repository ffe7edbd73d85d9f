//! The branch of orbits from onset onwards, followed over the pressure and round its folds.

use super::motion::Motion;
use super::orbit::{Condition, LN_PARAMETER, LN_PERIOD, Orbit, Unknowns, unknowns};
use super::period::{STATES, Vector, Walker};
use crate::physics::condensed::{FLOW, PRESSURE, SPEED};
use crate::physics::model::{ReedModel, State};
use crate::physics::onset::{Growth, Search, Speaking};

/// Steps of a period while following the branch: 0.2 % in amplitude.
pub(super) const COARSE: usize = 64;
/// Steps of a period where an orbit is read off: amplitude and period to some 1e-5.
pub(super) const FINE: usize = 256;
/// Swing of the first orbit (m): well inside the small motion, well above what round-off sees.
const FIRST_SWING_M: f64 = 5e-6;
/// Below this swing the branch has come back to rest (m).
const LEAST_SWING_M: f64 = 2e-6;
/// Longest and shortest step along the branch: in the logarithm of the pressure, or in units of tip motion.
const LONGEST: f64 = 0.25;
const SHORTEST: f64 = 1e-4;
const FIRST_STEP: f64 = 0.02;
const MOST_ORBITS: usize = 1000;

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
        let (mut steps, mut step) = (COARSE, FIRST_STEP);
        while points.len() < MOST_ORBITS {
            let last = points[points.len() - 1];
            let guess = last.unknowns + tangent * step;
            let row = weighted(&tangent);
            let condition = Condition { row, value: row.dot(&guess) };
            let found = self.orbit(&guess, &condition, steps).filter(|orbit| close(&orbit.unknowns, &guess, step));
            let Some(orbit) = found else {
                step *= 0.5;
                if step >= SHORTEST {
                    continue;
                }
                // Wide swings past sharp edges want finer steps, from the last orbit onwards.
                let condition = Condition::fixed(0, last.unknowns[0]);
                let again = self.orbit(&last.unknowns, &condition, FINE).filter(|_| steps < FINE);
                let Some(again) = again else { return Some((points, BranchEnd::Lost)) };
                *points.last_mut()? = self.point(&again);
                (steps, step) = (FINE, FIRST_STEP);
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
        let onset = self.equations.model.first_growth(speaking)?;
        let (rest, shape) = self.equations.model.onset_shape(onset.pressure_pa)?;
        let blown_pa = self.equations.model.blown_pa(&rest);
        let rest = self.equations.to_units(&rest);
        let start: Vector = rest + self.equations.to_units(&shape.times(FIRST_SWING_M));
        let guess = unknowns(&start, 1.0 / onset.frequency_hz, blown_pa);
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

    /// The lowest (`sign` -1) or highest (`sign` 1) pressure of a lasting orbit (Pa): solved for where the branch folds
    /// there, else that of the last point.
    pub(super) fn extreme_pa(&mut self, points: &[BranchPoint], sign: f64) -> Option<f64> {
        let beyond = |k: &usize| sign * points[*k].pressure_pa();
        let stable = (0..points.len()).filter(|&k| points[k].stable);
        let last = stable.max_by(|a, b| beyond(a).total_cmp(&beyond(b)))?;
        // The fold may lie between it and an orbit that does not last.
        let near = last.saturating_sub(1)..=(last + 1).min(points.len() - 1);
        let top = near.max_by(|a, b| beyond(a).total_cmp(&beyond(b)))?;
        let around = top.checked_sub(1).and_then(|low| points.get(low..=top + 1));
        let fold = around.and_then(|three| self.fold_pa(three, sign));
        Some(fold.unwrap_or(points[last].pressure_pa()))
    }

    /// The lowest or highest pressure between three neighbouring orbits, the middle one furthest (Pa), by golden section in
    /// their starts: where an orbit comes to pass an edge of the plate the turn is a corner, not a parabola.
    fn fold_pa(&mut self, three: &[BranchPoint], sign: f64) -> Option<f64> {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        const CUTS: usize = 8;
        let [a, b, c] = [0, 1, 2].map(|k| three[k].unknowns);
        let (mut from, mut to) = (a[0], c[0]);
        let mut at = |x: f64| {
            let (end, share) = if (x - b[0]) * (a[0] - b[0]) > 0.0 { (a, a[0] - b[0]) } else { (c, c[0] - b[0]) };
            let guess = b + (end - b) * ((x - b[0]) / share);
            let orbit = self.orbit(&guess, &Condition::fixed(0, x), FINE)?;
            Some((x, sign * orbit.parameter()))
        };
        let (mut left, mut right) = (at(to - GOLDEN * (to - from))?, at(from + GOLDEN * (to - from))?);
        for _ in 0..CUTS {
            if left.1 > right.1 {
                (to, right) = (right.0, left);
                left = at(to - GOLDEN * (to - from))?;
            } else {
                (from, left) = (left.0, right);
                right = at(from + GOLDEN * (to - from))?;
            }
        }
        Some(sign * left.1.max(right.1))
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
    /// Where small motion begins to grow. A search that finds it growing from its lowest pressure is taken further down.
    pub(super) fn first_growth(&self, speaking: &Speaking) -> Option<Growth> {
        const LEAST_PA: f64 = 1e-4;
        let onset = speaking.onset?;
        let search = Search { lowest_pa: LEAST_PA, limit_pa: onset.pressure_pa, ratio: 1.05 };
        let grows_already = speaking.curve.first().is_some_and(|lowest| lowest.growth_per_s > 0.0);
        if grows_already { self.speaking(&search).onset } else { Some(onset) }
    }

    /// The pressure blown with at a static rest (Pa): that of the mouth, or of the lungs where there is a player.
    pub(super) fn blown_pa(&self, rest: &State) -> f64 {
        let sections = self.ladder.sections();
        let flow = |k: usize| if sections[k].inertance_kg_m4 > 0.0 { rest.flow_m3_s[k] } else { rest.flow_m3_s[k - 1] };
        let last = sections.len() - 1;
        rest.pressure_pa[last] + sections[last].lost_pa(flow(last))
    }

    /// The units in which the branch is measured: a fifth of a millimetre of tip motion and what goes with it.
    pub(super) fn branch_units(&self, onset_pa: f64) -> Vector {
        const LENGTH_M: f64 = 2e-4;
        let flow = self.used_m3_s(&State::default(), self.aperture.flow([0.0; 2], [0.0; 2], onset_pa).through_m3_s);
        let mut units = Vector::repeat(flow);
        for (i, mode) in self.modes().iter().enumerate() {
            (units[i], units[SPEED + i]) = (LENGTH_M, LENGTH_M * mode.angular_frequency());
        }
        units.rows_mut(PRESSURE, FLOW - PRESSURE).fill(onset_pa);
        units
    }
}
