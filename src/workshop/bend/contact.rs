//! The tongue on its support.

use super::bending::{Bending, Bent};
use super::march::{End, Loads};
use super::refusal::BendRefusal;

/// The edge of the support, seen from the root of the tongue, "up" being the way of the push (m).
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    pub along_m: f64,
    pub up_m: f64,
}

/// How nearly the tongue must lie on the edge, in lengths of the tongue.
const ON_THE_EDGE: f64 = 1e-11;
/// Iterations allowed for it; some five are needed.
const ITERATIONS: usize = 40;

impl Bending {
    /// Solves at the force and tilt of `guess`, whose support force and place are improved until the tongue lies on the
    /// edge, or is free of it.
    pub(super) fn near(&self, guess: &Loads) -> Result<Bent, BendRefusal> {
        let Some(edge) = self.edge else {
            return Ok(self.bent(*guess, self.solve(guess)));
        };
        if guess.support_n > 0.0 {
            let (loads, end) = self.resting(edge, *guess)?;
            if loads.support_n >= 0.0 {
                return Ok(self.bent(loads, end));
            }
        }
        let (free, end, beyond_m) = self.free(edge, guess)?;
        if beyond_m <= 0.0 {
            return Ok(self.bent(free, end));
        }
        let first = Loads { support_n: beyond_m / self.flexibility_m_n(edge), ..free };
        let (loads, end) = self.resting(edge, first)?;
        Ok(self.bent(loads, end))
    }

    /// The tongue as if the support were not there: the place that is over the edge, and how far it is beyond it (m).
    pub(super) fn free(&self, edge: Edge, guess: &Loads) -> Result<(Loads, End, f64), BendRefusal> {
        let mut at_m = edge.along_m;
        for _ in 0..ITERATIONS {
            let loads = Loads { support_n: 0.0, support_at_m: Some(at_m), ..*guess };
            let end = self.solve(&loads);
            let (off, turn) = self.off(edge, &end);
            if off[0].abs() <= ON_THE_EDGE * self.tongue.beam.length_m {
                return Ok((loads, end, off[1]));
            }
            at_m = self.on_tongue(at_m - off[0] / turn.cos().max(0.1));
        }
        Err(BendRefusal::NotSolved { what: "the place over the support" })
    }

    /// Where the tongue comes down on the edge between two forces, of which the second brings it beyond.
    pub(super) fn touches(&self, edge: Edge, mut low: Loads, mut high_n: f64) -> Result<Bent, BendRefusal> {
        for _ in 0..50 {
            let middle = Loads { force_n: 0.5 * (low.force_n + high_n), ..low };
            if self.goes_beyond(edge, &middle) { high_n = middle.force_n } else { low = middle }
        }
        let (loads, end, _) = self.free(edge, &low)?;
        Ok(self.bent(loads, end))
    }

    /// Whether the tongue would go beyond the edge if it were not there. One so bent that no place is found over it would.
    pub(super) fn goes_beyond(&self, edge: Edge, loads: &Loads) -> bool {
        !self.free(edge, loads).is_ok_and(|(_, _, beyond_m)| beyond_m <= 0.0)
    }

    /// Deflection for a unit of force at the edge, elastic, uniform: `s^3 / (3 E I)`.
    fn flexibility_m_n(&self, edge: Edge) -> f64 {
        let stiffness = self.tongue.point(0.0, 0.5 * edge.along_m).section.stiffness_n_m2;
        edge.along_m.powi(3) / (3.0 * stiffness)
    }

    /// From the edge to the tongue there, along and up (m), and the angle of the tongue.
    fn off(&self, edge: Edge, end: &End) -> ([f64; 2], f64) {
        let frame = self.frame(end, false);
        let (along, up) = frame.along_and_up(&end.support);
        ([along - edge.along_m, up - edge.up_m], frame.turn + end.support[0])
    }

    /// Keeps a place between the clamp and the push.
    fn on_tongue(&self, at_m: f64) -> f64 {
        at_m.clamp(1e-6 * self.push.place_m, (1.0 - 1e-6) * self.push.place_m)
    }

    /// Force and place of the support by Broyden's method (*Math. Comp.* 19 (1965) 577), begun with differences.
    fn resting(&self, edge: Edge, guess: Loads) -> Result<(Loads, End), BendRefusal> {
        let flexibility = self.flexibility_m_n(edge);
        let length = self.tongue.beam.length_m;
        let mut at = [flexibility * guess.support_n, guess.support_at_m.unwrap_or(edge.along_m)];
        let loads = |at: &[f64; 2]| Loads {
            support_n: at[0] / flexibility,
            support_at_m: Some(self.on_tongue(at[1])),
            ..guess
        };
        let solve = |at: &[f64; 2]| {
            let end = self.solve(&loads(at));
            (end, self.off(edge, &end).0)
        };
        let (mut end, mut off) = solve(&at);
        let mut slopes = [[0.0; 2]; 2];
        for j in 0..2 {
            let step = if j == 0 { (1e-4 * at[0].abs()).max(1e-7 * length) } else { 1e-7 * length };
            let mut beside = at;
            beside[j] += step;
            let there = solve(&beside).1;
            (0..2).for_each(|i| slopes[i][j] = (there[i] - off[i]) / step);
        }
        for _ in 0..ITERATIONS {
            if off.iter().all(|off| off.abs() <= ON_THE_EDGE * length) {
                return Ok((loads(&at), end));
            }
            let [[a, b], [c, d]] = slopes;
            let det = a * d - b * c;
            let step = [-(d * off[0] - b * off[1]) / det, -(a * off[1] - c * off[0]) / det];
            if !step.iter().all(|step| step.is_finite()) {
                break;
            }
            at = [at[0] + step[0], at[1] + step[1]];
            let there = solve(&at);
            // Broyden's update with a full step: the new misfit is what the slopes did not foresee.
            let size = step[0] * step[0] + step[1] * step[1];
            (0..2).for_each(|i| (0..2).for_each(|j| slopes[i][j] += there.1[i] * step[j] / size));
            (end, off) = there;
        }
        Err(BendRefusal::NotSolved { what: "the tongue on its support" })
    }
}
