//! The three series of the chart: light, round and dashed for soft, dark and pointed for hard.

use crate::chart::marks::{Marks, Pen, Point, at, pen};
use crate::chart::palette;

/// One of the player's pressures as it is drawn.
pub(super) struct Series {
    pub name: &'static str,
    pub colour: &'static str,
    pub line: Pen,
    mark: fn(&mut Marks, Point, f64),
}

impl Series {
    pub fn mark(&self, marks: &mut Marks, centre: Point) {
        (self.mark)(marks, centre, 1.0);
    }
}

/// From soft to hard.
pub(super) const SERIES: [Series; 3] = [
    Series { name: "soft", colour: palette::SKY_TEXT, line: pen(palette::SKY, 1.4).dashed("5 3"), mark: open_circle },
    Series { name: "normal", colour: palette::BLUE, line: pen(palette::BLUE, 1.4), mark: dot },
    Series { name: "hard", colour: palette::INK, line: pen(palette::INK, 1.1).dashed("2 2.5"), mark: triangle },
];

fn open_circle(marks: &mut Marks, centre: Point, scale: f64) {
    marks.circle(centre, 4.2 * scale, palette::PAPER, pen(palette::SKY, 2.0));
}

fn dot(marks: &mut Marks, centre: Point, scale: f64) {
    marks.circle(centre, 4.2 * scale, palette::BLUE, pen(palette::PAPER, 0.8));
}

fn triangle(marks: &mut Marks, centre: Point, scale: f64) {
    let half = 4.6 * scale;
    let corners = [(0.0, -half), (half, 0.8 * half), (-half, 0.8 * half)];
    marks.polygon(&corners.map(|(x, y)| at(centre.x + x, centre.y + y)), palette::INK, pen(palette::PAPER, 0.8));
}
