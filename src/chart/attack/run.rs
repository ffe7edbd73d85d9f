//! A run in time, drawn as a line, or as a band where a line would be too long.

use crate::chart::frame::Frame;
use crate::chart::marks::{Marks, Point, at, pen};
use crate::chart::palette;

/// Points that are still drawn one by one.
const MOST_POINTS: usize = 2400;
/// Least width of a column of the band on the page.
const COLUMN: f64 = 1.5;

/// Draws times and values, in order of time and in the units of the frame, which say how long a swing is.
pub(super) fn draw(marks: &mut Marks, frame: &Frame, values: &[(f64, f64)], swing: f64) {
    let points: Vec<Point> = frame.points(values.iter().copied()).collect();
    if points.len() <= MOST_POINTS {
        marks.path(&points, pen(palette::BLUE, 1.3));
        return;
    }
    // Every column holds a whole swing, or its edges would flicker.
    let swing = (frame.x(values[0].0 + swing) - frame.x(values[0].0)).clamp(0.0, 40.0);
    let width = COLUMN.max(1.02 * swing);
    let (mut highs, mut lows) = (Vec::new(), Vec::new());
    let mut before: Option<Point> = None;
    let number = |point: &Point| ((frame.plot.right - point.x) / width).floor();
    for column in points.chunk_by(|a, b| number(a) == number(b)) {
        let heights = || column.iter().chain(before.as_ref()).map(|point| point.y);
        let x = column[column.len() - 1].x;
        highs.push(at(x, heights().fold(f64::INFINITY, f64::min)));
        lows.push(at(x, heights().fold(f64::NEG_INFINITY, f64::max)));
        before = column.last().copied();
    }
    let outline: Vec<Point> = highs.into_iter().chain(lows.into_iter().rev()).collect();
    marks.polygon(&outline, palette::SKY, pen(palette::BLUE, 0.8));
}
