//! Bending stress over a stretch of motion, place by place.

use super::model::{ReedModel, State};

/// How the stress of one face swings at one place. The face below has the same with the sign turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StressCycle {
    /// From the clamp (m).
    pub at_m: f64,
    /// Middle of the range (Pa).
    pub mean_pa: f64,
    /// Half the range (Pa).
    pub amplitude_pa: f64,
}

impl StressCycle {
    /// Largest stress, whatever its sign (Pa).
    pub fn peak_pa(&self) -> f64 {
        self.mean_pa.abs() + self.amplitude_pa
    }

    /// The same with every stress multiplied by `factor`.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self { mean_pa: factor * self.mean_pa, amplitude_pa: factor * self.amplitude_pa, ..self }
    }
}

impl ReedModel {
    /// Range of the bending stress `E h/2 sum of q_i phi_i''` at every place of the tongue over some states, from the clamp
    /// to the tip; empty where there is no state. The shape at rest is a set shape and has no stress.
    pub fn stress_cycles(&self, states: &[State]) -> Vec<StressCycle> {
        let beam = &self.reed().beam;
        let half = |s: f64, inside: f64| 0.5 * beam.youngs_modulus_pa * beam.thickness_m.at_within(s, inside);
        let of_mode = |mode: &super::beam::Mode| -> Vec<(f64, f64)> {
            beam.curvatures(&mode.shape)
                .into_iter()
                .map(|(s, inside, curvature)| (s, half(s, inside) * curvature))
                .collect()
        };
        let per_tip: Vec<Vec<(f64, f64)>> = self.modes().iter().map(of_mode).collect();
        let stress = |k: usize, state: &State| -> f64 {
            state.tip_m.iter().zip(&per_tip).map(|(q, places)| q * places[k].1).sum()
        };
        let cycle = |k: usize| {
            let range = |(low, high): (f64, f64), here: f64| (low.min(here), high.max(here));
            let all = states.iter().map(|state| stress(k, state));
            let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), range);
            StressCycle { at_m: per_tip[0][k].0, mean_pa: 0.5 * (low + high), amplitude_pa: 0.5 * (high - low) }
        };
        let count = if states.is_empty() { 0 } else { per_tip[0].len() };
        (0..count).map(cycle).collect()
    }
}
