//! The reed cut along its middle.

use super::scales::{Scales, TONGUE, reach_m};
use super::{BenchView, TongueStation};
use crate::chart::arrow::{FINE, dimension};
use crate::chart::frame::length;
use crate::chart::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use crate::chart::page::MARGIN;
use crate::chart::palette;

/// Where the clamp ends.
const ROOT: f64 = 208.0;
const TIP: f64 = ROOT + TONGUE;
/// Ends of the plate.
const PLATE: (f64, f64) = (112.0, 710.0);
/// Where the rivet pad begins.
const PAD: f64 = 128.0;
/// Name of the view, names of the parts and dimensions above the tongue.
const ABOVE: f64 = 96.0;
/// The dimension below the plate.
const BELOW: f64 = 74.0;
/// Size of the words.
pub(super) const SIZE: f64 = 13.0;
/// A thickness that differs by more than this share from place to place is given at three places.
const EVEN: f64 = 0.01;

/// Height of the view.
pub(super) fn height(view: &BenchView, scales: &Scales) -> f64 {
    let (low_m, high_m) = reach_m(&view.tongue);
    ABOVE + high_m * scales.height + scales.plate(view.plate_m).0.max(-low_m * scales.height) + BELOW
}

/// The side view under way.
struct Side<'a> {
    view: &'a BenchView,
    scales: &'a Scales,
    /// Where the view begins, and the top and the bottom of the plate.
    top: f64,
    plate: f64,
    bottom: f64,
    /// The end wall of the slot.
    wall: f64,
}

/// Draws the view below `top`.
pub(super) fn draw(marks: &mut Marks, top: f64, view: &BenchView, scales: &Scales) {
    let plate = top + ABOVE + reach_m(&view.tongue).1 * scales.height;
    let wall = TIP + view.tip_clearance_m * scales.clearance;
    let bottom = plate + scales.plate(view.plate_m).0;
    let side = Side { view, scales, top, plate, bottom, wall };
    marks.text(at(MARGIN, top + 18.0), "From the side, cut along the middle", plain(15.0).bold());
    side.plate(marks);
    side.tongue(marks);
    side.names(marks);
    side.thickness(marks);
    side.gap(marks);
    side.tip_clearance(marks);
    side.plate_thickness(marks);
    side.length(marks);
}

impl Side<'_> {
    fn x(&self, place_m: f64) -> f64 {
        ROOT + place_m * self.scales.length
    }

    fn y(&self, height_m: f64) -> f64 {
        self.plate - height_m * self.scales.height
    }

    fn plate(&self, marks: &mut Marks) {
        let (top, bottom) = (self.plate, self.bottom);
        marks.fill(Area { left: ROOT, top, right: self.wall, bottom }, palette::STRIPE);
        let is_cut = self.scales.plate(self.view.plate_m).1;
        block(marks, Area { left: PLATE.0, top, right: ROOT, bottom }, is_cut);
        block(marks, Area { left: self.wall, top, right: PLATE.1, bottom }, is_cut);
        marks.line(at(ROOT, top), at(PLATE.1 + 36.0, top), pen(palette::SOFT_INK, 0.8).dashed("7 3 1.5 3"));
    }

    /// The tongue, its rivet pad and what sits on its tip.
    fn tongue(&self, marks: &mut Marks) {
        let stations = &self.view.tongue;
        let above = stations.iter().map(|s| at(self.x(s.place_m), self.y(s.underside_m + s.thickness_m)));
        let below = stations.iter().rev().map(|s| at(self.x(s.place_m), self.y(s.underside_m)));
        let root = stations[0];
        let pad_top = self.y(root.underside_m + root.thickness_m).min(self.plate - 8.0) - 9.0;
        let pad = Area { left: PAD, top: pad_top, right: ROOT, bottom: self.plate };
        outlined(marks, pad, palette::SKY);
        marks.polygon(&above.chain(below).collect::<Vec<_>>(), palette::SKY, pen(palette::INK, 1.2));
        let middle = 0.5 * (PAD + ROOT);
        let rivet = Area { left: middle - 11.0, top: pad_top, right: middle + 11.0, bottom: self.bottom };
        outlined(marks, rivet, palette::SOFT_INK);
        let head = |x: f64, y: f64| at(middle + x, pad_top + y);
        let dome = [
            head(-18.0, 0.0),
            head(-13.0, -7.0),
            head(-5.0, -10.0),
            head(5.0, -10.0),
            head(13.0, -7.0),
            head(18.0, 0.0),
        ];
        marks.polygon(&dome, palette::SOFT_INK, pen(palette::INK, 1.0));
        if self.view.tip_mass_kg > 0.0 {
            self.weight(marks);
        }
    }

    fn weight(&self, marks: &mut Marks) {
        let tip = self.view.tip();
        let base = self.y(tip.underside_m + tip.thickness_m);
        let drop = [(-34.0, 0.0), (-30.0, -8.0), (-20.0, -12.0), (-12.0, -12.0), (-4.0, -8.0), (0.0, 0.0)];
        marks.polygon(&drop.map(|(x, y)| at(TIP + x, base + y)), palette::SOFT_INK, pen(palette::INK, 1.0));
    }

    /// The tongue at a share of its length, between stations on a straight line.
    fn at_share(&self, share: f64) -> TongueStation {
        let tongue = &self.view.tongue;
        let place_m = share * self.view.tip().place_m;
        let after = tongue.partition_point(|station| station.place_m <= place_m).clamp(1, tongue.len() - 1);
        let (a, b) = (tongue[after - 1], tongue[after]);
        let span = b.place_m - a.place_m;
        let x = if span > 0.0 { ((place_m - a.place_m) / span).clamp(0.0, 1.0) } else { 1.0 };
        let mix = |a: f64, b: f64| a + (b - a) * x;
        TongueStation {
            place_m,
            underside_m: mix(a.underside_m, b.underside_m),
            thickness_m: mix(a.thickness_m, b.thickness_m),
        }
    }

    /// Where its upper side is on the page.
    fn top_at(&self, share: f64) -> f64 {
        let station = self.at_share(share);
        self.y(station.underside_m + station.thickness_m)
    }

    fn names(&self, marks: &mut Marks) {
        let line = self.top + 44.0;
        let name = |marks: &mut Marks, words: &str, x: f64, foot: f64, anchor: Anchor| {
            marks.text(at(x, line), words, plain(SIZE).bold().anchored(anchor));
            marks.line(at(x, line + 5.0), at(x, foot), pen(palette::SOFT_INK, 0.8));
        };
        let pad = self.top_at(0.0).min(self.plate - 8.0) - 7.0;
        name(marks, "rivet pad (clamp)", ROOT - 20.0, pad, Anchor::Middle);
        let tongue = self.top_at(0.3) + 3.0;
        name(marks, "tongue", ROOT + 0.3 * TONGUE, tongue, Anchor::Middle);
        if self.view.tip_mass_kg > 0.0 {
            let words = format!("weight on the tip, {}", crate::units::kilograms(self.view.tip_mass_kg));
            name(marks, &words, TIP - 26.0, self.top_at(1.0) - 6.0, Anchor::End);
        }
        let tip = at(TIP - 4.0, self.y(self.view.tip().underside_m));
        let words = at(TIP - 22.0, tip.y.max(self.plate) + 32.0);
        marks.text(words, "tip", plain(SIZE).bold().anchored(Anchor::End));
        marks.line(at(words.x + 2.0, words.y - 10.0), tip, pen(palette::SOFT_INK, 0.8));
        let lowest_m = self.view.tongue.iter().map(|s| s.underside_m).fold(0.0, f64::min);
        let slot = (self.bottom - 10.0).max(self.y(lowest_m) + 18.0);
        marks.text(at(ROOT + 0.38 * TONGUE, slot), "slot", plain(SIZE).bold().anchored(Anchor::Middle));
        let plate = at(0.5 * (self.wall + PLATE.1), self.bottom + 18.0);
        marks.text(plate, "plate", plain(SIZE).bold().anchored(Anchor::Middle));
    }

    fn thickness(&self, marks: &mut Marks) {
        let all = || self.view.tongue.iter().map(|s| s.thickness_m);
        let (thin, thick) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
        let places: &[f64] = if thick - thin > EVEN * thick { &[0.08, 0.5, 0.86] } else { &[0.55] };
        for (k, share) in places.iter().enumerate() {
            let station = self.at_share(*share);
            let (x, top) = (self.x(station.place_m), self.y(station.underside_m + station.thickness_m));
            dimension(marks, at(x, top), at(x, self.y(station.underside_m)));
            // On the side where the tongue lies lower, but clear of the pad.
            let is_right = *share < 0.2 || self.top_at(share - 0.1) < self.top_at(share + 0.1);
            let (beside, anchor) = if is_right { (x + 6.0, Anchor::Start) } else { (x - 6.0, Anchor::End) };
            marks.text(at(beside, top - 12.0), &length(station.thickness_m), plain(SIZE).anchored(anchor));
            if k == 0 {
                marks.text(at(beside, top - 27.0), "thickness", plain(SIZE).anchored(anchor));
            }
        }
    }

    fn gap(&self, marks: &mut Marks) {
        let tip = self.view.tip();
        let (x, y) = (PLATE.1 + 26.0, self.y(tip.underside_m));
        marks.line(at(TIP, y), at(x + 10.0, y), FINE);
        dimension(marks, at(x, y.min(self.plate)), at(x, y.max(self.plate)));
        let middle = 0.5 * (y + self.plate);
        marks.text(at(x + 18.0, middle - 3.0), "tip gap", plain(SIZE));
        marks.text(at(x + 18.0, middle + 13.0), &length(tip.underside_m), plain(SIZE));
    }

    fn tip_clearance(&self, marks: &mut Marks) {
        let y = self.top_at(1.0).min(self.plate) - 24.0;
        let foot = self.y(self.view.tip().underside_m);
        marks.line(at(TIP, y - 6.0), at(TIP, foot), FINE);
        marks.line(at(self.wall, y - 6.0), at(self.wall, self.plate), FINE);
        let beyond = dimension(marks, at(TIP, y), at(self.wall, y));
        let words = format!("tip clearance {}", length(self.view.tip_clearance_m));
        marks.text(at(self.wall + beyond + 6.0, y + 4.5), &words, plain(SIZE));
    }

    fn plate_thickness(&self, marks: &mut Marks) {
        let x = PLATE.0 - 18.0;
        for y in [self.plate, self.bottom] {
            marks.line(at(x - 6.0, y), at(PLATE.0, y), FINE);
        }
        dimension(marks, at(x, self.plate), at(x, self.bottom));
        let style = plain(SIZE).anchored(Anchor::End);
        let middle = 0.5 * (self.plate + self.bottom);
        marks.text(at(x - 12.0, middle - 3.0), "plate", style);
        marks.text(at(x - 12.0, middle + 13.0), &length(self.view.plate_m), style);
        if self.scales.plate(self.view.plate_m).1 {
            marks.text(at(x - 12.0, middle + 29.0), "(cut short)", style.coloured(palette::SOFT_INK));
        }
    }

    fn length(&self, marks: &mut Marks) {
        let y = self.bottom.max(self.y(reach_m(&self.view.tongue).0)) + 46.0;
        marks.line(at(ROOT, self.bottom), at(ROOT, y + 6.0), FINE);
        let tip_foot = self.y(self.view.tip().underside_m);
        marks.line(at(TIP, tip_foot), at(TIP, y + 6.0), FINE);
        dimension(marks, at(ROOT, y), at(TIP, y));
        let words = format!("length {}, from the edge of the clamp to the tip", length(self.view.tip().place_m));
        marks.text(at(0.5 * (ROOT + TIP), y - 6.0), &words, plain(SIZE).anchored(Anchor::Middle));
    }
}

/// A rectangle with an outline.
pub(super) fn outlined(marks: &mut Marks, area: Area, fill: &str) {
    let Area { left, top, right, bottom } = area;
    marks.polygon(&[at(left, top), at(right, top), at(right, bottom), at(left, bottom)], fill, pen(palette::INK, 1.0));
}

/// A piece of the plate; one that is cut short ends below in a broken line.
pub(super) fn block(marks: &mut Marks, area: Area, is_cut: bool) {
    let Area { left, top, right, bottom } = area;
    let steps = ((right - left) / 12.0).round().max(2.0) as i32;
    let broken: Vec<Point> = (0..=steps)
        .rev()
        .map(|k| {
            let deep = if is_cut && k % 2 == 1 { 6.0 } else { 0.0 };
            at(left + (right - left) * f64::from(k) / f64::from(steps), bottom - deep)
        })
        .collect();
    let outline: Vec<Point> = [at(left, top), at(right, top)].into_iter().chain(broken).collect();
    marks.polygon(&outline, palette::GRID, pen(palette::INK, 1.0));
}
