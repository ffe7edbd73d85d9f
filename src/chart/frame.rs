//! A plot with numbers on both axes. What the upright axis measures is said above the plot, where it reads level.

use super::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use super::page::TICK_SIZE;
use super::scale::Scale;
use super::{LARGEST, palette};

/// Room above a plot for the name of its upright axis.
pub(super) const HEADING: f64 = 26.0;
/// Room below a plot for its level axis.
pub(super) const LEVEL_AXIS: f64 = 46.0;
/// What a level axis along a reed measures.
pub(super) const ALONG: &str = "place along the reed, from the edge of the clamp (mm)";

/// A plot and its axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub plot: Area,
    pub across: Scale,
    pub up: Scale,
}

/// Whether numbers above zero carry a plus.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Signs {
    All,
    Minus,
}

impl Frame {
    pub fn x(&self, value: f64) -> f64 {
        self.plot.left + self.across.share(value) * (self.plot.right - self.plot.left)
    }

    pub fn y(&self, value: f64) -> f64 {
        super::page::height_of(self.plot, self.up, value)
    }

    /// The places of values that can be drawn.
    pub fn points<'a>(&'a self, values: impl IntoIterator<Item = (f64, f64)> + 'a) -> impl Iterator<Item = Point> + 'a {
        let drawn = values.into_iter().filter(|(x, y)| x.abs() <= LARGEST && y.abs() <= LARGEST);
        drawn.map(|(x, y)| at(self.x(x), self.y(y)))
    }

    /// Grid lines, and the numbers of the upright axis in at most `most` steps.
    pub fn grid(&self, marks: &mut Marks, most: f64, signs: Signs) {
        let Area { left, top, right, bottom } = self.plot;
        for tick in self.across.ticks() {
            let x = self.x(tick.value);
            marks.line(at(x, top), at(x, bottom), pen(palette::FINE_GRID, 0.8));
        }
        for tick in self.up.ticks_in(most) {
            let y = self.y(tick.value);
            marks.line(at(left, y), at(right, y), pen(palette::GRID, 1.0));
            let style = plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(Anchor::End);
            marks.text(at(left - 8.0, y + 4.2), with(signs, &tick.label), style);
        }
    }

    /// What the upright axis measures, above `top`.
    pub fn heading(&self, marks: &mut Marks, top: f64, measures: &str) {
        marks.text(at(self.plot.left, top - 8.0), measures, plain(13.0));
    }

    /// The numbers of the level axis and what it measures, below `top`.
    pub fn level_axis(&self, marks: &mut Marks, top: f64, measures: &str) {
        let Area { left, right, .. } = self.plot;
        marks.line(at(left, top), at(right, top), pen(palette::INK, 1.0));
        for tick in self.across.ticks().iter().filter(|tick| !tick.label.is_empty()) {
            let x = self.x(tick.value);
            marks.line(at(x, top), at(x, top + 5.0), pen(palette::INK, 1.0));
            let style = plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(Anchor::Middle);
            marks.text(at(x, top + 18.0), with(Signs::Minus, &tick.label), style);
        }
        marks.text(at((left + right) / 2.0, top + 37.0), measures, plain(13.0).anchored(Anchor::Middle));
    }
}

fn with(signs: Signs, label: &str) -> &str {
    if signs == Signs::All { label } else { label.trim_start_matches('+') }
}

/// A length (m) as the workshop measures it, with a sign as print has it.
pub(super) fn length(value_m: f64) -> String {
    crate::units::metres(value_m).replace('-', "−")
}

/// Millimetres, for axes along the reed.
pub(super) fn mm(value_m: f64) -> f64 {
    1000.0 * value_m
}
