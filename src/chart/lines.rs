//! Lines of numbers: how several are told apart, and where they break.

use super::marks::{Marks, Pen, Point, pen};
use super::palette;

/// The line of the reader's own reed.
pub(super) const OWN: Pen = pen(palette::BLUE, 2.8);

/// Other lines, in their order.
const OTHERS: [Pen; 4] = [
    pen(palette::VERMILION_TEXT, 1.5),
    pen(palette::INK, 1.3).dashed("7 3"),
    pen(palette::SKY_TEXT, 1.6).dashed("2 2.5"),
    pen(palette::SOFT_INK, 1.3).dashed("9 3 2 3"),
];

/// A line and shade for each of several lines, of which some are the reader's own.
pub(super) fn pens(are_own: impl IntoIterator<Item = bool>) -> Vec<Pen> {
    let mut others = OTHERS.iter().cycle();
    are_own.into_iter().map(|is_own| if is_own { OWN } else { *others.next().expect("it goes round") }).collect()
}

/// The unbroken stretches of points of which some are missing.
pub(super) fn runs(points: &[Option<Point>]) -> Vec<Vec<Point>> {
    let runs = points.split(Option::is_none).filter(|run| !run.is_empty());
    runs.map(|run| run.iter().flatten().copied().collect()).collect()
}

/// A line through points, or a dot where there is one only.
pub(super) fn stretch(marks: &mut Marks, run: &[Point], pen: Pen) {
    match run {
        [only] => marks.circle(*only, 0.5 + pen.width, pen.colour, Pen { width: 0.0, dash: "", ..pen }),
        _ => marks.path(run, pen),
    }
}

/// The stretch that reaches furthest to the side.
pub(super) fn widest(runs: Vec<Vec<Point>>) -> Option<Vec<Point>> {
    let width = |run: &[Point]| run.first().zip(run.last()).map_or(0.0, |(first, last)| last.x - first.x);
    runs.into_iter().max_by(|a, b| width(a).total_cmp(&width(b)))
}
