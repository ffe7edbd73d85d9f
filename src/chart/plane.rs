//! A plot with two axes of numbers: from a pair of values to a place, grid lines, ticks and titles.

use super::marks::{Anchor, Area, Marks, Pen, Point, Type, at, pen, plain};
use super::page::{MARGIN, TICK_SIZE};
use super::scale::{Scale, Tick, short};
use super::{palette, plottable};

/// Room below the plot for the ticks and the title of the level axis.
pub(super) const BELOW: f64 = 44.0;
/// The level axis of pressure.
pub(super) const PRESSURE_TITLE: &str = "mouth pressure (kPa, log scale)";
/// The axis of pressure when nothing sets it (kPa).
const USUAL_KPA: (f64, f64) = (0.05, 5.0);

/// A plot with its two axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plane {
    pub plot: Area,
    pub x: Scale,
    pub y: Scale,
}

impl Plane {
    /// The place of a pair of values; outside the axes, the nearest place on the edge.
    pub fn at(&self, x: f64, y: f64) -> Point {
        at(self.x_of(x), self.y_of(y))
    }

    /// How far to the right a value lies.
    pub fn x_of(&self, x: f64) -> f64 {
        self.plot.left + self.x.share(x) * (self.plot.right - self.plot.left)
    }

    /// The height of a value.
    pub fn y_of(&self, y: f64) -> f64 {
        self.plot.bottom - self.y.share(y) * (self.plot.bottom - self.plot.top)
    }

    /// Grid lines, numbers and titles of both axes; signs of numbers are printed where the upright axis is `signed`.
    pub fn axes(&self, marks: &mut Marks, x_title: &str, y_title: &str, signed: bool) {
        let Area { left, top, right, bottom } = self.plot;
        for tick in self.y.ticks() {
            let y = self.y_of(tick.value);
            marks.line(at(left, y), at(right, y), rank(&tick));
            let style = plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(Anchor::End);
            label(marks, at(left - 8.0, y + 4.2), &tick, signed, style);
        }
        for tick in self.x.ticks() {
            let x = self.x_of(tick.value);
            marks.line(at(x, top), at(x, bottom), rank(&tick));
        }
        self.level_axis(marks, x_title);
        let style = plain(13.0).anchored(Anchor::Middle).turned(-90.0);
        marks.text(at(MARGIN + 10.0, (top + bottom) / 2.0), y_title, style);
    }

    /// The line, numbers and title of the level axis.
    pub fn level_axis(&self, marks: &mut Marks, title: &str) {
        let Area { left, right, bottom, .. } = self.plot;
        marks.line(at(left, bottom), at(right, bottom), pen(palette::INK, 1.0));
        let style = plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(Anchor::Middle);
        for tick in self.x.ticks() {
            let x = self.x_of(tick.value);
            let length = if tick.label.is_empty() { 3.0 } else { 5.0 };
            marks.line(at(x, bottom), at(x, bottom + length), pen(palette::INK, 1.0));
            label(marks, at(x, bottom + 18.0), &tick, false, style);
        }
        marks.text(at((left + right) / 2.0, bottom + 38.0), title, plain(13.0).anchored(Anchor::Middle));
    }
}

fn rank(tick: &Tick) -> Pen {
    if tick.label.is_empty() { pen(palette::FINE_GRID, 0.8) } else { pen(palette::GRID, 1.0) }
}

fn label(marks: &mut Marks, place: Point, tick: &Tick, signed: bool, style: Type) {
    if !tick.label.is_empty() {
        let words = if signed { &tick.label } else { tick.label.trim_start_matches('+') };
        marks.text(place, words, style);
    }
}

/// The logarithmic axis of pressure (kPa) over all the pressures given (Pa).
pub(super) fn pressure_scale(pressures_pa: impl IntoIterator<Item = f64>) -> Scale {
    Scale::log_over(pressures_pa.into_iter().filter_map(plottable).map(|pa| pa / 1000.0), USUAL_KPA)
}

/// "0.25 kPa".
pub(super) fn kpa(pressure_pa: f64) -> String {
    format!("{} kPa", short(pressure_pa / 1000.0, 2))
}
