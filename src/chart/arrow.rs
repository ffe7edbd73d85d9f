//! Arrows and the dimensions they make.

use super::marks::{Marks, Pen, Point, at, pen};
use super::palette;

/// Length and half the width of an arrowhead.
const HEAD: (f64, f64) = (8.0, 3.0);
/// Length of an arrow that points at a gap from outside.
const OUTSIDE: f64 = 18.0;
/// The least distance that holds two arrowheads.
const ROOM: f64 = 24.0;
/// The line of a dimension.
pub(super) const FINE: Pen = pen(palette::INK, 0.9);

/// A line with a head at `to`.
pub(super) fn arrow(marks: &mut Marks, from: Point, to: Point, pen: Pen) {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = dx.hypot(dy).max(1e-9);
    let (dx, dy) = (dx / length, dy / length);
    let base = at(to.x - HEAD.0 * dx, to.y - HEAD.0 * dy);
    marks.line(from, base, pen);
    let side = |sign: f64| at(base.x - sign * HEAD.1 * dy, base.y + sign * HEAD.1 * dx);
    marks.patch(&[to, side(1.0), side(-1.0)], pen.colour);
}

/// A line with a head at both ends.
pub(super) fn double(marks: &mut Marks, from: Point, to: Point, pen: Pen) {
    let middle = at(0.5 * (from.x + to.x), 0.5 * (from.y + to.y));
    arrow(marks, middle, from, pen);
    arrow(marks, middle, to, pen);
}

/// Arrows that show the distance between two points: between them where there is room, else from outside. Returns how far
/// they reach beyond the points.
pub(super) fn dimension(marks: &mut Marks, from: Point, to: Point) -> f64 {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = dx.hypot(dy);
    if length >= ROOM {
        double(marks, from, to, FINE);
        return 0.0;
    }
    let (dx, dy) = if length > 0.0 { (dx / length, dy / length) } else { (1.0, 0.0) };
    arrow(marks, at(from.x - OUTSIDE * dx, from.y - OUTSIDE * dy), from, FINE);
    arrow(marks, at(to.x + OUTSIDE * dx, to.y + OUTSIDE * dy), to, FINE);
    OUTSIDE
}
