//! Any results over a grid of one or two inputs, in parallel.
//!
//! The grid is cut into short stretches along its last input, which are what a core takes at a time and what is kept of a
//! sweep that was interrupted. No point depends on another.

mod axis;

use std::ops::Range;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

pub use axis::{Axis, AxisError};

use crate::answer::{Conditions, Quantity, Solved};
use crate::sheet::CheckedReed;

/// Points of a stretch.
const STRETCH: usize = 8;
/// Most points of a grid.
pub const MOST_POINTS: usize = 100_000;

/// What to compute.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// The reed that is varied.
    pub reed: CheckedReed,
    /// One or two inputs; the last one runs fastest.
    pub axes: Vec<Axis>,
    /// The results.
    pub of: Vec<Quantity>,
    /// Under which conditions.
    pub conditions: Conditions,
    /// What swing, stress and level are multiplied by.
    pub swing_scale: f64,
}

/// One result at one point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cell {
    /// The value in SI units, where there is one.
    pub value: Option<f64>,
    /// Why there is none, or what is to be known of it.
    pub note: Option<String>,
}

/// One point of the grid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Point {
    /// The results, in the order asked.
    Done(Vec<Cell>),
    /// The inputs make no reed, and why.
    Failed(String),
}

/// Points of a stretch that is done.
pub type Stretch = Vec<Point>;

impl Sweep {
    /// Number of points.
    pub fn count(&self) -> usize {
        self.axes.iter().map(Axis::count).product()
    }

    /// Places on each axis of point `k`.
    pub fn places(&self, k: usize) -> Vec<usize> {
        let row = self.axes.last().map_or(1, Axis::count);
        if self.axes.len() == 1 { vec![k] } else { vec![k / row, k % row] }
    }

    /// The stretches: points of each, in order.
    pub fn stretches(&self) -> Vec<Range<usize>> {
        let row = self.axes.last().map_or(1, Axis::count);
        let starts = (0..self.count()).filter(|k| (k % row).is_multiple_of(STRETCH));
        starts.map(|k| k..(k + STRETCH).min(k - k % row + row)).collect()
    }

    /// Computes the stretches that are not `known`, on all cores; `done` is told of each with its number. Those not begun
    /// when `stop` is raised are left out.
    pub fn run(
        &self,
        known: &(dyn Fn(usize) -> bool + Sync),
        stop: &AtomicBool,
        done: &(dyn Fn(usize, Stretch) + Sync),
    ) {
        self.stretches().into_par_iter().enumerate().filter(|(number, _)| !known(*number)).for_each(
            |(number, points)| {
                if let Some(stretch) = self.stretch(points, stop) {
                    done(number, stretch);
                }
            },
        );
    }

    fn stretch(&self, points: Range<usize>, stop: &AtomicBool) -> Option<Stretch> {
        points.map(|k| (!stop.load(Ordering::Relaxed)).then(|| self.point(k))).collect()
    }

    fn point(&self, k: usize) -> Point {
        let reed = match self.reed_at(k) {
            Ok(reed) => reed,
            Err(why) => return Point::Failed(why),
        };
        match Solved::of(&reed.reed, &self.of, &self.conditions, self.swing_scale) {
            Ok(solved) => Point::Done(self.of.iter().map(|&quantity| cell(&solved, quantity)).collect()),
            Err(error) => Point::Failed(error.to_string()),
        }
    }

    fn reed_at(&self, k: usize) -> Result<CheckedReed, String> {
        let mut reed = self.reed.clone();
        for (axis, place) in self.axes.iter().zip(self.places(k)) {
            reed = reed.with(&axis.key.full_name(), axis.value(place)).map_err(|error| {
                let messages: Vec<String> = error.problems.iter().map(|problem| problem.message.clone()).collect();
                format!("{}: {}", axis.key.name, messages.join("; "))
            })?;
        }
        Ok(reed)
    }
}

fn cell(solved: &Solved, quantity: Quantity) -> Cell {
    let answer = solved.answer(quantity);
    Cell { value: answer.value, note: answer.note.map(str::to_owned) }
}
