//! A quantity along a branch of steady sound: strong where the sound lasts, dashed where no player can hold it.

use super::marks::{Marks, Pen, Point, pen};
use super::palette;
use super::plane::Plane;
use super::plottable;

/// The line where the sound lasts.
const LASTING: Pen = pen(palette::BLUE, 2.8);
/// The line where it does not.
const PASSING: Pen = pen(palette::BLUE, 1.2).dashed("4 3");

/// A point of a branch that can be drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct BranchValue {
    pub pressure_pa: f64,
    pub value: f64,
    pub is_stable: bool,
}

/// A branch in its own order, which may turn back in pressure.
pub(super) struct BranchLine {
    points: Vec<Option<BranchValue>>,
}

impl BranchLine {
    /// The branch through points of pressure (Pa), value and whether the sound lasts; a missing value breaks the line.
    pub fn new(points: impl IntoIterator<Item = (f64, Option<f64>, bool)>) -> Self {
        let point = |(pressure_pa, value, is_stable): (f64, Option<f64>, bool)| {
            let value = value.filter(|value| value.abs() <= super::LARGEST)?;
            Some(BranchValue { pressure_pa: plottable(pressure_pa)?, value, is_stable })
        };
        Self { points: points.into_iter().map(point).collect() }
    }

    /// Its points.
    pub fn known(&self) -> impl Iterator<Item = BranchValue> + '_ {
        self.points.iter().flatten().copied()
    }

    /// Its points where the sound lasts.
    pub fn lasting(&self) -> impl Iterator<Item = BranchValue> + '_ {
        self.known().filter(|point| point.is_stable)
    }

    /// Whether a part of it does not last.
    pub fn turns(&self) -> bool {
        self.known().any(|point| !point.is_stable)
    }

    /// The stretches on a plane, each with whether it lasts. A step lasts if both its ends do.
    pub fn stretches(&self, plane: &Plane) -> Vec<(Vec<Point>, bool)> {
        let mut stretches: Vec<(Vec<Point>, bool)> = Vec::new();
        let mut is_joined = false;
        for pair in self.points.windows(2) {
            let (Some(from), Some(to)) = (pair[0], pair[1]) else {
                is_joined = false;
                continue;
            };
            let [start, end] = [from, to].map(|point| plane.at(point.pressure_pa / 1000.0, point.value));
            let lasts = from.is_stable && to.is_stable;
            match stretches.last_mut() {
                Some((points, before)) if is_joined && *before == lasts => points.push(end),
                _ => stretches.push((vec![start, end], lasts)),
            }
            is_joined = true;
        }
        stretches
    }
}

/// Draws the stretches.
pub(super) fn draw(marks: &mut Marks, stretches: &[(Vec<Point>, bool)]) {
    for (points, lasts) in stretches {
        marks.path(points, if *lasts { LASTING } else { PASSING });
    }
}

/// What the dashed part of a branch means.
pub(super) fn passing_sign(marks: &mut Marks, point: Point) {
    let across = |dx: f64| Point { x: point.x + dx, ..point };
    marks.line(across(-12.0), across(12.0), PASSING);
}
