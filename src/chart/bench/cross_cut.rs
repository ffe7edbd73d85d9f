//! The reed cut across at its tip.

use super::scales::{Scales, reach_m};
use super::side::{SIZE, block, outlined};
use super::{BenchView, SideClearance};
use crate::chart::arrow::{FINE, dimension};
use crate::chart::frame::length;
use crate::chart::marks::{Anchor, Area, Marks, at, pen, plain};
use crate::chart::page::{MARGIN, WIDTH};
use crate::chart::palette;
use crate::chart::text::wrap;

/// The middle of the tongue.
const MIDDLE: f64 = 440.0;
/// Width of the plate on each side.
const PLATE: f64 = 120.0;
/// Name of the view and dimensions above the tongue.
const ABOVE: f64 = 116.0;
/// Names of the parts and the scales below the plate.
const BELOW: f64 = 64.0;

/// Height of the view.
pub(super) fn height(view: &BenchView, scales: &Scales) -> f64 {
    let tip = view.tip();
    let above_m = (tip.underside_m + tip.thickness_m).max(0.0);
    let below = scales.plate(view.plate_m).0.max(-reach_m(&view.tongue).0 * scales.height);
    ABOVE + above_m * scales.height + below + BELOW
}

/// Draws the view below `top`.
pub(super) fn draw(marks: &mut Marks, top: f64, view: &BenchView, scales: &Scales) {
    marks.text(at(MARGIN, top + 22.0), "Cut across at the tip, seen from the clamp", plain(15.0).bold());
    let tip = view.tip();
    let plate = top + ABOVE + (tip.underside_m + tip.thickness_m).max(0.0) * scales.height;
    let (depth, is_cut) = scales.plate(view.plate_m);
    let half = 0.5 * view.tip_width_m * scales.width;
    let (left, right) = (MIDDLE - half, MIDDLE + half);
    let walls = [left - view.left.at_tip_m * scales.clearance, right + view.right.at_tip_m * scales.clearance];
    let bottom = plate + depth;
    marks.fill(Area { left: walls[0], top: plate, right: walls[1], bottom }, palette::STRIPE);
    block(marks, Area { left: walls[0] - PLATE, top: plate, right: walls[0], bottom }, is_cut);
    block(marks, Area { left: walls[1], top: plate, right: walls[1] + PLATE, bottom }, is_cut);
    marks.line(at(walls[0], plate), at(walls[1], plate), pen(palette::SOFT_INK, 0.8).dashed("7 3 1.5 3"));
    let y = |height_m: f64| plate - height_m * scales.height;
    let section = Area { left, top: y(tip.underside_m + tip.thickness_m), right, bottom: y(tip.underside_m) };
    outlined(marks, section, palette::SKY);
    names(marks, [walls[0] - 0.5 * PLATE, walls[1] + 0.5 * PLATE], section, bottom);
    dimensions(marks, view, section, walls, plate);
    told(marks, bottom.max(section.bottom) + 48.0, view, scales);
}

fn names(marks: &mut Marks, plates: [f64; 2], section: Area, bottom: f64) {
    let style = plain(SIZE).bold().anchored(Anchor::Middle);
    for x in plates {
        marks.text(at(x, bottom + 18.0), "plate", style);
    }
    let slot = (bottom - 10.0).max(section.bottom + 18.0);
    marks.text(at(MIDDLE, slot), "slot", style);
}

/// The width above the tongue, the clearances beside it.
fn dimensions(marks: &mut Marks, view: &BenchView, section: Area, walls: [f64; 2], plate: f64) {
    let above = section.top.min(plate);
    let (width_y, clearance_y) = (above - 52.0, above - 26.0);
    for x in [section.left, section.right] {
        marks.line(at(x, width_y - 6.0), at(x, section.top), FINE);
    }
    dimension(marks, at(section.left, width_y), at(section.right, width_y));
    let words = format!("width at the tip {}", length(view.tip_width_m));
    marks.text(at(MIDDLE, width_y - 7.0), &words, plain(SIZE).anchored(Anchor::Middle));
    for x in walls {
        marks.line(at(x, clearance_y - 6.0), at(x, plate), FINE);
    }
    let beyond = dimension(marks, at(walls[0], clearance_y), at(section.left, clearance_y));
    side_words(marks, walls[0] - beyond - 6.0, clearance_y, "left", view.left, Anchor::End);
    let beyond = dimension(marks, at(section.right, clearance_y), at(walls[1], clearance_y));
    side_words(marks, walls[1] + beyond + 6.0, clearance_y, "right", view.right, Anchor::Start);
}

fn side_words(marks: &mut Marks, x: f64, y: f64, which: &str, clearance: SideClearance, anchor: Anchor) {
    let words = format!("{which} clearance {}", length(clearance.at_tip_m));
    marks.text(at(x, y + 4.5), &words, plain(SIZE).anchored(anchor));
    if varies(clearance) {
        let (low_m, high_m) = clearance.range_m;
        let range = format!("({} to {})", length(low_m), length(high_m));
        marks.text(at(x, y + 20.5), &range, plain(SIZE).anchored(anchor).coloured(palette::SOFT_INK));
    }
}

/// Whether a clearance differs along the reed by more than a hundredth.
fn varies(clearance: SideClearance) -> bool {
    clearance.range_m.1 - clearance.range_m.0 > 0.01 * clearance.range_m.1
}

/// How much larger than the length the rest is drawn.
fn told(marks: &mut Marks, top: f64, view: &BenchView, scales: &Scales) {
    let cut = if scales.plate(view.plate_m).1 { ", the plate cut short" } else { "" };
    let brackets = if varies(view.left) || varies(view.right) { "; in brackets: along the reed" } else { "" };
    let words = format!(
        "Drawn larger than the length: heights and thicknesses {}{cut}; clearances {}; width of the tongue {}{brackets}.",
        scales.times(scales.height),
        scales.times(scales.clearance),
        scales.times(scales.width),
    );
    for (k, line) in wrap(&words, SIZE, WIDTH - 2.0 * MARGIN).iter().enumerate() {
        marks.text(at(MARGIN, top + 18.0 * k as f64), line, plain(SIZE));
    }
}
