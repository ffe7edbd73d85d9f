//! The bar of one reed.

use super::Bar;
use crate::chart::palette;
use crate::chart::reed::arrowhead;
use crate::chart::svg::{Area, Svg, at, pen};

/// A bar too short to see is drawn this long.
const SHORTEST: f64 = 2.0;

/// Draws the bar around `x`. `level` gives the height of an end, open ends included.
pub(super) fn draw_bar(
    svg: &mut Svg,
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
    svg.fill(Area { left: x - thin, top: top.min(bottom - SHORTEST), right: x + thin, bottom }, faint);
    let cap = pen(strong, 1.4);
    svg.line(at(x - half, bottom), at(x + half, bottom), cap);
    match bar.sounds.1 {
        Some(_) => svg.line(at(x - half, top), at(x + half, top), cap),
        None => arrowhead(svg, at(x, top - 12.0), 6.5_f64.min(half + 2.0), faint),
    }
    let Some((lowest, highest)) = bar.speaks else { return };
    let (bottom, top) = (level(Some(lowest)), level(highest));
    let top = top.min(bottom - SHORTEST);
    if highest.is_none() {
        arrowhead(svg, at(x, top - 12.0), 6.5_f64.min(half + 2.0), strong);
    }
    let corners = [(x - half, bottom), (x - half, top), (x + half, top), (x + half, bottom)].map(|(x, y)| at(x, y));
    if is_faulty {
        svg.polygon(&corners, strong, pen(palette::INK, 1.2));
    } else {
        svg.patch(&corners, strong);
    }
}
