//! The bar of one reed.

use super::Bar;
use crate::chart::marks::{Area, Marks, Point, at, pen};
use crate::chart::palette;
use crate::chart::reed::arrowhead;

/// A bar too short to see is drawn this long.
const SHORTEST: f64 = 2.0;

/// Draws the bar around `x`. `level` gives the height of an end, open ends included.
pub(super) fn draw_bar(
    marks: &mut Marks,
    x: f64,
    half: f64,
    bar: &Bar,
    is_faulty: bool,
    level: impl Fn(Option<f64>) -> f64,
) {
    let (strong, faint) =
        if is_faulty { (palette::VERMILION, palette::PALE_VERMILION) } else { (palette::SKY, palette::PALE_SKY) };
    let (bottom, top) = (level(Some(bar.sounds.0)), level(bar.sounds.1));
    let thin = (0.4 * half).max(1.0);
    block(marks, Area { left: x - thin, top, right: x + thin, bottom }, faint, is_faulty && bar.speaks.is_none());
    let cap = pen(strong, 1.4);
    marks.line(at(x - half, bottom), at(x + half, bottom), cap);
    match bar.sounds.1 {
        Some(_) => marks.line(at(x - half, top), at(x + half, top), cap),
        None => head(marks, at(x, top), half, faint),
    }
    let Some((lowest, highest)) = bar.speaks else { return };
    let (bottom, top) = (level(Some(lowest)), level(highest));
    if highest.is_none() {
        head(marks, at(x, top), half, strong);
    }
    block(marks, Area { left: x - half, top, right: x + half, bottom }, strong, is_faulty);
}

fn block(marks: &mut Marks, area: Area, fill: &str, is_outlined: bool) {
    let Area { left, right, bottom, .. } = area;
    let top = area.top.min(bottom - SHORTEST);
    if is_outlined {
        let corners = [at(left, bottom), at(left, top), at(right, top), at(right, bottom)];
        marks.polygon(&corners, fill, pen(palette::INK, 1.2));
    } else {
        marks.fill(Area { top, ..area }, fill);
    }
}

/// The head of a bar without an upper end.
fn head(marks: &mut Marks, base: Point, half: f64, colour: &'static str) {
    let half = 6.5_f64.min(half + 2.0);
    arrowhead(marks, at(base.x, base.y + 0.6 - 1.7 * half), half, colour);
}
