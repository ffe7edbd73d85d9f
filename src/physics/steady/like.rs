//! What sounds in a reed much like one whose orbit is known: the chord method.
//!
//! One period of the other reed is followed from where the known orbit starts, and how far it is from closing is mended with
//! the derivatives of the known one, again and again (Newton's iteration with its derivative kept: J. M. Ortega and W. C.
//! Rheinboldt, *Iterative Solution of Nonlinear Equations*, section 7.1). It ends at an orbit of the other reed as good as the
//! integrator that follows it, whatever the derivatives were.

use super::branch::COARSE;
use super::motion::Motion;
use super::orbit::{Closing, Condition, LN_PARAMETER, LN_PERIOD, Unknowns, closing, unclosed, unknowns};
use super::period::{STATES, Vector, Walker};
use crate::physics::attack::{SILENT_M, Steady};
use crate::physics::model::{ReedModel, State};

/// An orbit of a reed, and what is needed to find that of a reed like it.
#[derive(Debug, Clone)]
pub(crate) struct KnownOrbit {
    pressure_pa: f64,
    unknowns: Unknowns,
    units: Vector,
    closing: Closing,
}

impl ReedModel {
    /// The orbit that passes near a state which sounds at a pressure with a period; nothing where none is found.
    pub(crate) fn known_orbit(&self, near: &State, pressure_pa: f64, period_s: f64) -> Option<KnownOrbit> {
        let units = self.branch_units(pressure_pa);
        let mut walker = Walker { equations: Motion { model: self, units }, evaluations: 0 };
        let trace = self.sounded(near, pressure_pa, 1.1 * period_s)?;
        let turns = |pair: &[State]| pair[0].speed_m_s[0] > 0.0 && pair[1].speed_m_s[0] <= 0.0;
        let turn = trace.states().windows(2).find(|pair| turns(pair)).map(|pair| pair[1])?;
        let guess = unknowns(&walker.equations.to_units(&turn), period_s, pressure_pa);
        let condition = Condition::fixed(LN_PARAMETER, pressure_pa.ln());
        let orbit = walker.orbit(&guess, &condition, COARSE)?;
        let closing = closing(&orbit.walk, &orbit.unknowns, &condition).lu();
        Some(KnownOrbit { pressure_pa, unknowns: orbit.unknowns, units, closing })
    }

    /// What sounds in this reed at the pressure of an orbit of a reed much like it; nothing where none is near.
    pub(crate) fn sounding_like(&self, known: &KnownOrbit) -> Option<Steady> {
        const ROUNDS: usize = 10;
        /// Relative to the length of the period and to the swing: a hundredth of a decibel.
        const CLOSE: f64 = 1e-3;
        const FURTHEST: f64 = 1.0;
        let motion = Motion { model: self, units: known.units };
        let mut z = known.unknowns;
        let mut last = FURTHEST;
        for _ in 0..ROUNDS {
            let start: Vector = z.fixed_rows::<STATES>(0).into_owned();
            let period_s = z[LN_PERIOD].exp();
            let trace = self.sounded(&motion.to_state(&start), known.pressure_pa, period_s)?;
            let swing_m = trace.tip_extremes(0.0, trace.end_s()).half_range();
            let end = motion.to_units(trace.states().last()?);
            let change = known.closing.solve(&unclosed(&start, &end))?;
            let moved = change.rows(0, STATES).amax() * motion.units[0] / swing_m;
            let size = change[LN_PERIOD].abs().max(moved);
            // What does not come nearer is not like the known one, and at rest every period closes.
            if size >= last || size.is_nan() || swing_m < SILENT_M {
                return None;
            }
            if size < CLOSE {
                return self.heard(trace.states().last()?, known.pressure_pa);
            }
            (z, last) = (z - change, size);
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use crate::cases::reeds::harmonica;
    use crate::physics::attack::{Blow, Stop};
    use crate::physics::onset::Search;
    use crate::physics::{Reed, ReedModel};

    /// Against attacks from rest, each run to its end.
    #[test]
    fn what_sounds_near_a_known_orbit_is_what_an_attack_comes_to() {
        for k in [1, 6, 11] {
            let reed = harmonica(k);
            let model = ReedModel::new(reed.clone()).unwrap();
            let blow = Blow::to(2.5 * model.onset(&Search::COARSE).unwrap().pressure_pa);
            let attack = model.attack(&blow, Stop::WhenSteady);
            let (steady, state) = (attack.steady.unwrap(), attack.trace.states().last().unwrap());
            let known = model.known_orbit(state, blow.pressure_pa, 1.0 / steady.frequency_hz).unwrap();
            for factor in [0.9, 1.0, 1.1] {
                let quality_factor = factor * reed.quality_factor;
                let other = ReedModel::new(Reed { quality_factor, ..reed.clone() }).unwrap();
                let near = other.sounding_like(&known).unwrap();
                let whole = other.attack(&blow, Stop::WhenSteady).steady.unwrap();
                assert!((near.level.db - whole.level.db).abs() < 0.05, "{k} {factor}: {near:?} {whole:?}");
                assert!(
                    (near.frequency_hz / whole.frequency_hz).log2().abs() < 1e-4,
                    "{k} {factor}: {near:?} {whole:?}"
                );
            }
        }
    }
}
