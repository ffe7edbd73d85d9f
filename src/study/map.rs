//! A result over tip gap and side clearance.

use rayon::prelude::*;

use super::Study;
use crate::answer::Quantity;

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
    /// Maps a result; `done` is told of each reed.
    pub fn map(&self, of: MapOf<'_>, done: &(dyn Fn() + Sync)) -> Map {
        let row = |&clearance_m: &f64| {
            let value = |&gap_m: &f64| {
                let solved = self.solved(self.at(gap_m, clearance_m), &[of.quantity], &self.conditions);
                done();
                solved.and_then(|solved| solved.answer(of.quantity).value)
            };
            of.gaps_m.iter().map(value).collect()
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
