//! The bar of steps beside a map.

use super::levels::{Levels, rounded};
use super::ramp::shade;
use crate::chart::marks::{Area, HOLLOW, Marks, at, pen, plain};
use crate::chart::page::{TICK_SIZE, WIDTH};
use crate::chart::{palette, text};

/// Distance from the plot, and width.
const BESIDE: f64 = 18.0;
const WIDE: f64 = 18.0;
/// Height of a line of small text.
const LINE: f64 = 14.0;
/// Most lines about what is missing.
const MOST_LINES: usize = 4;
/// Distance of hatching lines.
const HATCH: f64 = 9.0;

/// What the bar shows.
pub(super) struct Bar<'a> {
    pub levels: &'a Levels,
    /// The least and the greatest value, if any is known.
    pub ends: Option<(f64, f64)>,
    pub unit: &'a str,
    /// What a missing value means, if any is missing.
    pub missing: Option<&'a str>,
}

impl Bar<'_> {
    /// Draws it to the right of `plot`: steps with the values between them, and below them the sign of missing values.
    pub fn draw(&self, marks: &mut Marks, plot: Area) {
        let left = plot.right + BESIDE;
        let beside = Area { left, right: left + WIDE, ..plot };
        let bottom = self.missing.map_or(plot.bottom, |missing| missing_sign(marks, beside, missing));
        if let Some((least, _)) = self.ends {
            self.steps(marks, Area { top: plot.top + 16.0, bottom, ..beside }, least);
        }
    }

    fn steps(&self, marks: &mut Marks, bar: Area, least: f64) {
        let Area { left, top, right, bottom } = bar;
        let style = plain(TICK_SIZE).coloured(palette::SOFT_INK);
        marks.text(at(left, top - 12.0), &text::shorten(self.unit, TICK_SIZE, WIDTH - 8.0 - left), style);
        let levels = &self.levels.values;
        let count = levels.len() + 1;
        let foot = |step: usize| bottom - step as f64 * (bottom - top) / count as f64;
        for step in 0..count {
            marks.fill(Area { left, right, top: foot(step + 1), bottom: foot(step) }, &shade(step, count));
        }
        for (step, level) in levels.iter().enumerate() {
            let y = foot(step + 1);
            marks.line(at(right, y), at(right + 4.0, y), pen(palette::INK, 1.0));
            marks.text(at(right + 7.0, y + 4.2), &self.levels.label(*level), style);
        }
        if levels.is_empty() {
            marks.text(at(right + 7.0, (top + bottom) / 2.0), &rounded(least), style);
        }
        outline(marks, bar, HOLLOW, palette::INK);
    }
}

/// The sign of missing values at the foot of an area, with its words; returns how far down the rest may reach.
fn missing_sign(marks: &mut Marks, beside: Area, missing: &str) -> f64 {
    let mut lines = text::wrap(missing, TICK_SIZE, WIDTH - 14.0 - beside.right);
    lines.truncate(MOST_LINES);
    hatch(marks, Area { top: beside.bottom - 18.0, ..beside });
    let first = beside.bottom - 4.0 - LINE * lines.len().saturating_sub(1) as f64;
    for (k, line) in lines.iter().enumerate() {
        let style = plain(TICK_SIZE).coloured(palette::SOFT_INK);
        marks.text(at(beside.right + 6.0, first + LINE * k as f64), line, style);
    }
    beside.bottom - LINE * lines.len().max(1) as f64 - 20.0
}

/// Fine lines on paper from the lower left to the upper right, from edge to edge of an area.
pub(super) fn hatch(marks: &mut Marks, area: Area) {
    outline(marks, area, palette::PAPER, palette::ABSENT);
    let (wide, high) = (area.right - area.left, area.bottom - area.top);
    for k in 1..=((wide + high) / HATCH).floor() as usize {
        let reach = k as f64 * HATCH;
        let from = at(area.left + (reach - high).max(0.0), area.top + reach.min(high));
        let to = at(area.left + reach.min(wide), area.top + (reach - wide).max(0.0));
        marks.line(from, to, pen(palette::ABSENT, 0.7));
    }
}

fn outline(marks: &mut Marks, area: Area, fill: &str, colour: &'static str) {
    let Area { left, top, right, bottom } = area;
    marks.polygon(&[at(left, bottom), at(left, top), at(right, top), at(right, bottom)], fill, pen(colour, 0.8));
}
