//! The lines of one clearance.

use super::Curve;
use crate::chart::lines::{runs, stretch, widest};
use crate::chart::marks::{Marks, Pen, Point, at, pen};
use crate::chart::palette;
use crate::chart::plane::Plane;
use crate::chart::reed::{absent, arrowhead, cross};
use crate::chart::window::{Bar, Shown};
use crate::chart::words::Words;
use crate::units::metres;

/// Where a curve is on the page.
pub(super) struct Traced<'a> {
    curve: &'a Curve,
    pen: Pen,
    points: Vec<(f64, Option<Ends>)>,
}

/// The heights at one gap.
#[derive(Clone, Copy)]
struct Ends {
    onset: f64,
    choke: Option<f64>,
    /// Lowest, highest, and whether the highest is open.
    speaks: Option<(f64, f64, bool)>,
}

impl Ends {
    fn of(bar: &Bar, plane: &Plane, open: f64) -> Self {
        let height = |pressure_pa: f64| plane.y_of(pressure_pa / 1000.0);
        let speaks = bar.speaks.map(|(low, high)| (height(low), high.map_or(open, height), high.is_none()));
        Self { onset: height(bar.sounds.0), choke: bar.sounds.1.map(height), speaks }
    }
}

impl<'a> Traced<'a> {
    /// The curve on a plane; open ends are at the height `open`.
    pub fn of(curve: &'a Curve, pen: Pen, plane: &Plane, open: f64) -> Self {
        let points = curve
            .points
            .iter()
            .map(|(gap_mm, shown)| (plane.x_of(*gap_mm), shown.bar().map(|bar| Ends::of(bar, plane, open))));
        Self { curve, pen, points: points.collect() }
    }

    /// Unbroken stretches of a line.
    fn runs(&self, height: impl Fn(&Ends) -> Option<f64>) -> Vec<Vec<Point>> {
        let points: Vec<Option<Point>> =
            self.points.iter().map(|(x, ends)| ends.as_ref().and_then(&height).map(|y| at(*x, y))).collect();
        runs(&points)
    }

    fn lowest(&self) -> Vec<Vec<Point>> {
        self.runs(|ends| ends.speaks.map(|(low, ..)| low))
    }

    fn highest(&self) -> Vec<Vec<Point>> {
        self.runs(|ends| ends.speaks.filter(|(.., is_open)| !is_open).map(|(_, high, _)| high))
    }

    /// The window as an area.
    pub fn band(&self, marks: &mut Marks) {
        let top = self.runs(|ends| ends.speaks.map(|(_, high, _)| high));
        for (low, high) in self.lowest().into_iter().zip(top) {
            let outline: Vec<Point> = low.into_iter().chain(high.into_iter().rev()).collect();
            marks.patch(&outline, palette::PALE_SKY);
        }
    }

    /// All lines, which no words may cover.
    pub fn lines(&self, marks: &mut Marks, words: &mut Words) {
        let fine = Pen { width: if self.curve.is_own { 1.2 } else { 0.8 }, ..self.pen }.dashed("1 3");
        for run in self.runs(|ends| Some(ends.onset)).iter().chain(&self.runs(|ends| ends.choke)) {
            stretch(marks, run, fine);
            words.keep_off_line(run);
        }
        for run in self.lowest().iter().chain(&self.highest()) {
            stretch(marks, run, self.pen);
            words.keep_off_line(run);
        }
        let open = self.points.iter().filter_map(|(x, ends)| Some((x, ends.as_ref()?.speaks?)));
        for (x, (_, high, _)) in open.filter(|(_, (.., is_open))| *is_open) {
            arrowhead(marks, at(*x, high), 4.0, self.pen.colour);
        }
    }

    /// Names the lines.
    pub fn names(&self, marks: &mut Marks, words: &mut Words) {
        let clearance = metres(self.curve.clearance_m);
        let mut name = |runs: Vec<Vec<Point>>, what: String| {
            if let Some(run) = widest(runs) {
                words.beside_line(marks, &run, &what, self.pen.colour);
            }
        };
        name(self.lowest(), format!("lowest, clearance {clearance}"));
        name(self.highest(), format!("highest, clearance {clearance}"));
        if self.curve.is_own {
            name(self.runs(|ends| Some(ends.onset)), "onset".to_owned());
            name(self.runs(|ends| ends.choke), "choke".to_owned());
        }
    }

    /// Says along the foot of the plot where the reed never sounds and where nothing is known.
    pub fn gaps(&self, marks: &mut Marks, plane: &Plane) {
        for ((x, _), (_, shown)) in self.points.iter().zip(&self.curve.points) {
            let foot = at(*x, plane.plot.bottom - 9.0);
            match shown {
                Shown::Nothing => absent(marks, foot),
                Shown::Silent => cross(marks, foot, 4.0, pen(palette::VERMILION, 2.0)),
                Shown::Bar(_) => {}
            }
        }
    }
}
