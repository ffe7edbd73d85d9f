//! The tongue from the side above an axis along it, so that a reader sees which end is which.

use super::marks::{Anchor, Area, Marks, at, pen, plain};
use super::page::TICK_SIZE;
use super::scale::short;
use super::{LARGEST, palette};

/// Room the strip takes.
pub(super) const HEIGHT: f64 = 58.0;
/// Height of the thickest place.
const THICKEST: f64 = 24.0;
const ROUND: [f64; 10] = [1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 30.0, 50.0];

/// Draws the tongue over `room`, with `x` giving the place on the page of a place on the reed (m).
pub(super) fn draw(marks: &mut Marks, room: Area, thickness_m: &[(f64, f64)], x: impl Fn(f64) -> f64) {
    let drawn = thickness_m.iter().filter(|(s, h)| s.abs() <= LARGEST && (0.0..=LARGEST).contains(h));
    let stations: Vec<(f64, f64)> = drawn.copied().collect();
    let thickest_m = stations.iter().map(|station| station.1).fold(0.0, f64::max);
    let (Some(first), Some(last)) = (stations.first(), stations.last()) else { return };
    if thickest_m <= 0.0 || last.0 <= first.0 {
        return;
    }
    let along = (x(last.0) - x(first.0)) / (last.0 - first.0);
    let most = THICKEST / (thickest_m * along);
    let times = ROUND.into_iter().rev().find(|times| *times <= most).unwrap_or(most);
    let base = room.top + 34.0;
    let height = |thickness_m: f64| base - thickness_m * along * times;
    let mut outline = vec![at(x(first.0), base)];
    outline.extend(stations.iter().map(|(s, h)| at(x(*s), height(*h))));
    outline.push(at(x(last.0), base));
    marks.polygon(&outline, palette::SKY, pen(palette::INK, 1.0));
    clamp(marks, x(first.0), height(first.1) - 6.0, base + 4.0);
    let name = |marks: &mut Marks, x: f64, words: &str, anchor: Anchor| {
        marks.text(at(x, base + 18.0), words, plain(TICK_SIZE).coloured(palette::SOFT_INK).anchored(anchor));
    };
    name(marks, x(first.0), "clamp", Anchor::End);
    name(marks, x(last.0), "tip", Anchor::End);
    let scale = format!("the tongue from the side, thickness drawn {} ×", short(times, 2));
    name(marks, 0.5 * (x(first.0) + x(last.0)), &scale, Anchor::Middle);
}

/// A block that ends at `x`.
fn clamp(marks: &mut Marks, x: f64, top: f64, bottom: f64) {
    marks.fill(Area { left: x - 26.0, top, right: x, bottom }, palette::SOFT_INK);
}
