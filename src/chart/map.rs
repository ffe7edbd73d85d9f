//! One quantity over two inputs: steps of shade, with lines of equal value.

mod bar;
mod contour;
mod draw;
mod levels;
mod ramp;

use super::LARGEST;
use super::Picture;

/// One input of a map.
#[derive(Debug, Clone, PartialEq)]
pub struct MapAxis {
    /// What is varied, such as "tip gap".
    pub name: String,
    /// Its unit as printed, such as "mm"; may be empty.
    pub unit: String,
    /// Its values in this unit, in any order; repeated ones and those that are not finite are left out.
    pub values: Vec<f64>,
    /// Whether equal ratios are equally far apart, as suits pressures; needs values above zero.
    pub is_log: bool,
}

/// The reed as it is, on a map.
#[derive(Debug, Clone, PartialEq)]
pub struct MapOwn {
    /// Its value of the level input, in that axis' unit.
    pub x: f64,
    /// Its value of the upright input.
    pub y: f64,
    /// The quantity, in the map's unit; `None` if it is not known.
    pub value: Option<f64>,
}

/// A quantity over two inputs.
///
/// Values are joined by straight lines between the points computed; where one is missing, the others keep the quarter of
/// the cell that is theirs. Levels are round; they rise by ratios where all values are above zero and the largest is
/// more than ten times the smallest.
#[derive(Debug, Clone, PartialEq)]
pub struct MapChart {
    /// The headline: what the map shows.
    pub title: String,
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// The quantity, such as "lowest playable pressure".
    pub quantity: String,
    /// Its unit as printed, such as "kPa"; may be empty.
    pub unit: String,
    /// The level input.
    pub x: MapAxis,
    /// The upright input.
    pub y: MapAxis,
    /// The quantity in its unit: `values[j][i]` at the j-th value of `y` and the i-th of `x`; `None`, or a row too short,
    /// where there is none.
    pub values: Vec<Vec<Option<f64>>>,
    /// What a missing value means, such as "does not speak".
    pub missing: String,
    /// The reed as it is, if it is to be marked.
    pub own: Option<MapOwn>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl MapChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        draw::Drawing::of(self).picture()
    }
}

impl MapAxis {
    /// Where the values stand in the order given, by rising value.
    fn order(&self) -> Vec<usize> {
        let lowest = if self.is_log { 1.0 / LARGEST } else { -LARGEST };
        let is_known = |index: &usize| (lowest..=LARGEST).contains(&self.values[*index]);
        let mut order: Vec<usize> = (0..self.values.len()).filter(is_known).collect();
        order.sort_by(|a, b| self.values[*a].total_cmp(&self.values[*b]));
        order.dedup_by(|a, b| self.values[*a] == self.values[*b]);
        order
    }

    /// "tip gap (mm)".
    fn title(&self) -> String {
        let log = if self.is_log { "log scale" } else { "" };
        match (self.unit.is_empty(), self.is_log) {
            (true, false) => self.name.clone(),
            (true, true) => format!("{} ({log})", self.name),
            (false, false) => format!("{} ({})", self.name, self.unit),
            (false, true) => format!("{} ({}, {log})", self.name, self.unit),
        }
    }
}
