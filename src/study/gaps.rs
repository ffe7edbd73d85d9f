//! Onset, choke and playable window over the tip gap, for several clearances.

use rayon::prelude::*;

use super::Study;
use crate::answer::{Quantity, Solved};
use crate::physics::playable::Playable;

/// What the reed does at one gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapPoint {
    /// Tip gap (m).
    pub gap_m: f64,
    /// Onset (Pa), where it speaks at all.
    pub onset_pa: Option<f64>,
    /// Choke (Pa), where it has one below the limit.
    pub choke_pa: Option<f64>,
    /// Where it speaks in time.
    pub playable: Option<Playable>,
}

/// The reed with one clearance.
#[derive(Debug, Clone, PartialEq)]
pub struct GapCurve {
    /// Side clearance (m).
    pub clearance_m: f64,
    /// The gaps, smallest first.
    pub points: Vec<GapPoint>,
}

const ASKED: [Quantity; 4] = [Quantity::Onset, Quantity::Choke, Quantity::PlayableLow, Quantity::PlayableHigh];

impl Study {
    /// The window over `gaps_m` for each of `clearances_m`; `done` is told of each reed.
    pub fn gap_curves(&self, gaps_m: &[f64], clearances_m: &[f64], done: &(dyn Fn() + Sync)) -> Vec<GapCurve> {
        let curve = |&clearance_m: &f64| {
            let solved = self.along_gaps(gaps_m, clearance_m, &ASKED, &self.conditions, done);
            let points = gaps_m.iter().zip(&solved).filter_map(|(&gap_m, solved)| Some(point(gap_m, solved.as_ref()?)));
            GapCurve { clearance_m, points: points.collect() }
        };
        clearances_m.par_iter().map(curve).collect()
    }

    /// The reed as it is.
    pub fn own_point(&self) -> Option<GapPoint> {
        let solved = self.solved(self.reed().clone(), &ASKED, &self.conditions)?;
        Some(point(self.gap_m(), &solved))
    }
}

fn point(gap_m: f64, solved: &Solved) -> GapPoint {
    let value = |quantity| solved.answer(quantity).value;
    GapPoint { gap_m, onset_pa: value(Quantity::Onset), choke_pa: value(Quantity::Choke), playable: solved.playable }
}
