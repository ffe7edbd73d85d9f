//! A result over tip gap and side clearance.

use rayon::prelude::*;

use super::Study;
use crate::answer::{Conditions, Quantity, Solved};
#[cfg(doc)]
use crate::physics::ReedModel;
use crate::physics::onset::Search;

/// What is mapped, and over what.
#[derive(Debug, Clone, Copy)]
pub struct MapOf<'a> {
    /// The result.
    pub quantity: Quantity,
    /// Tip gaps (m).
    pub gaps_m: &'a [f64],
    /// Side clearances (m).
    pub clearances_m: &'a [f64],
}

/// A result over tip gap and side clearance.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// The result.
    pub quantity: Quantity,
    /// Tip gaps (m).
    pub gaps_m: Vec<f64>,
    /// Side clearances (m).
    pub clearances_m: Vec<f64>,
    /// One row for each clearance, one value (SI) for each gap; nothing where the result does not exist.
    pub values: Vec<Vec<Option<f64>>>,
    /// The result for the reed as it is (SI).
    pub own: Option<f64>,
}

impl Study {
    /// Maps a result; `done` is told of each reed. A dynamic range is known to 0.2 dB ([`ReedModel::dynamic_range_about`]).
    pub fn map(&self, of: MapOf<'_>, done: &(dyn Fn() + Sync)) -> Map {
        let of_range = of.quantity == Quantity::DynamicRange;
        // A window is sought by attacks and needs onset and growth for its guesses alone.
        let search = if of_range {
            Search { ratio: Search::COARSE.ratio, ..self.conditions.search }
        } else {
            self.conditions.search
        };
        let conditions = Conditions { search, ..self.conditions };
        let demand = conditions.demand(self.swing_scale);
        let asked = if of_range { Quantity::PlayableLow } else { of.quantity };
        let value = |solved: &Solved| {
            if !of_range {
                return solved.answer(of.quantity).value;
            }
            let range = solved.model.dynamic_range_about(solved.playable.as_ref()?, demand)?;
            Some(range.db())
        };
        let row = |&clearance_m: &f64| {
            let solved = self.along_gaps(of.gaps_m, clearance_m, &[asked], &conditions, done);
            solved.iter().map(|solved| value(solved.as_ref()?)).collect()
        };
        Map {
            quantity: of.quantity,
            gaps_m: of.gaps_m.to_vec(),
            clearances_m: of.clearances_m.to_vec(),
            values: of.clearances_m.par_iter().map(row).collect(),
            own: self.answers(&[of.quantity]).first().and_then(|answer| answer.value),
        }
    }
}
