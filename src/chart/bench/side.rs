//! The reed cut along its middle.

use super::scales::{Scales, TONGUE, reach_m};
use super::{BenchView, TongueStation};
use crate::chart::arrow::{FINE, dimension};
use crate::chart::frame::length;
use crate::chart::page::MARGIN;
use crate::chart::palette;
use crate::chart::svg::{Anchor, Area, Point, Svg, at, pen, plain};

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
pub(super) fn draw(svg: &mut Svg, top: f64, view: &BenchView, scales: &Scales) {
    let plate = top + ABOVE + reach_m(&view.tongue).1 * scales.height;
    let wall = TIP + view.tip_clearance_m * scales.clearance;
    let bottom = plate + scales.plate(view.plate_m).0;
    let side = Side { view, scales, top, plate, bottom, wall };
    svg.text(at(MARGIN, top + 18.0), "From the side, cut along the middle", plain(15.0).bold());
    side.plate(svg);
    side.tongue(svg);
    side.names(svg);
    side.thickness(svg);
    side.gap(svg);
    side.tip_clearance(svg);
    side.plate_thickness(svg);
    side.length(svg);
}

impl Side<'_> {
    fn x(&self, place_m: f64) -> f64 {
        ROOT + place_m * self.scales.length
    }

    fn y(&self, height_m: f64) -> f64 {
        self.plate - height_m * self.scales.height
    }

    fn plate(&self, svg: &mut Svg) {
        let (top, bottom) = (self.plate, self.bottom);
        svg.fill(Area { left: ROOT, top, right: self.wall, bottom }, palette::STRIPE);
        let is_cut = self.scales.plate(self.view.plate_m).1;
        block(svg, Area { left: PLATE.0, top, right: ROOT, bottom }, is_cut);
        block(svg, Area { left: self.wall, top, right: PLATE.1, bottom }, is_cut);
        svg.line(at(ROOT, top), at(PLATE.1 + 36.0, top), pen(palette::SOFT_INK, 0.8).dashed("7 3 1.5 3"));
    }

    /// The tongue, its rivet pad and what sits on its tip.
    fn tongue(&self, svg: &mut Svg) {
        let stations = &self.view.tongue;
        let above = stations.iter().map(|s| at(self.x(s.place_m), self.y(s.underside_m + s.thickness_m)));
        let below = stations.iter().rev().map(|s| at(self.x(s.place_m), self.y(s.underside_m)));
        let root = stations[0];
        let pad_top = self.y(root.underside_m + root.thickness_m).min(self.plate - 8.0) - 9.0;
        let pad = Area { left: PAD, top: pad_top, right: ROOT, bottom: self.plate };
        outlined(svg, pad, palette::SKY);
        svg.polygon(&above.chain(below).collect::<Vec<_>>(), palette::SKY, pen(palette::INK, 1.2));
        let middle = 0.5 * (PAD + ROOT);
        let rivet = Area { left: middle - 11.0, top: pad_top, right: middle + 11.0, bottom: self.bottom };
        outlined(svg, rivet, palette::SOFT_INK);
        let head = |x: f64, y: f64| at(middle + x, pad_top + y);
        let dome = [
            head(-18.0, 0.0),
            head(-13.0, -7.0),
            head(-5.0, -10.0),
            head(5.0, -10.0),
            head(13.0, -7.0),
            head(18.0, 0.0),
        ];
        svg.polygon(&dome, palette::SOFT_INK, pen(palette::INK, 1.0));
        if self.view.tip_mass_kg > 0.0 {
            self.weight(svg);
        }
    }

    fn weight(&self, svg: &mut Svg) {
        let tip = self.view.tip();
        let base = self.y(tip.underside_m + tip.thickness_m);
        let drop = [(-34.0, 0.0), (-30.0, -8.0), (-20.0, -12.0), (-12.0, -12.0), (-4.0, -8.0), (0.0, 0.0)];
        svg.polygon(&drop.map(|(x, y)| at(TIP + x, base + y)), palette::SOFT_INK, pen(palette::INK, 1.0));
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

    fn names(&self, svg: &mut Svg) {
        let line = self.top + 44.0;
        let name = |svg: &mut Svg, words: &str, x: f64, foot: f64, anchor: Anchor| {
            svg.text(at(x, line), words, plain(SIZE).bold().anchored(anchor));
            svg.line(at(x, line + 5.0), at(x, foot), pen(palette::SOFT_INK, 0.8));
        };
        let pad = self.top_at(0.0).min(self.plate - 8.0) - 7.0;
        name(svg, "rivet pad (clamp)", ROOT - 20.0, pad, Anchor::Middle);
        let tongue = self.top_at(0.3) + 3.0;
        name(svg, "tongue", ROOT + 0.3 * TONGUE, tongue, Anchor::Middle);
        if self.view.tip_mass_kg > 0.0 {
            let words = format!("weight on the tip, {}", crate::units::kilograms(self.view.tip_mass_kg));
            name(svg, &words, TIP - 26.0, self.top_at(1.0) - 6.0, Anchor::End);
        }
        let tip = at(TIP - 4.0, self.y(self.view.tip().underside_m));
        let words = at(TIP - 22.0, tip.y.max(self.plate) + 32.0);
        svg.text(words, "tip", plain(SIZE).bold().anchored(Anchor::End));
        svg.line(at(words.x + 2.0, words.y - 10.0), tip, pen(palette::SOFT_INK, 0.8));
        let lowest_m = self.view.tongue.iter().map(|s| s.underside_m).fold(0.0, f64::min);
        let slot = (self.bottom - 10.0).max(self.y(lowest_m) + 18.0);
        svg.text(at(ROOT + 0.38 * TONGUE, slot), "slot", plain(SIZE).bold().anchored(Anchor::Middle));
        let plate = at(0.5 * (self.wall + PLATE.1), self.bottom + 18.0);
        svg.text(plate, "plate", plain(SIZE).bold().anchored(Anchor::Middle));
    }

    fn thickness(&self, svg: &mut Svg) {
        let all = || self.view.tongue.iter().map(|s| s.thickness_m);
        let (thin, thick) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
        let places: &[f64] = if thick - thin > EVEN * thick { &[0.08, 0.5, 0.86] } else { &[0.55] };
        for (k, share) in places.iter().enumerate() {
            let station = self.at_share(*share);
            let (x, top) = (self.x(station.place_m), self.y(station.underside_m + station.thickness_m));
            dimension(svg, at(x, top), at(x, self.y(station.underside_m)));
            // On the side where the tongue lies lower, but clear of the pad.
            let is_right = *share < 0.2 || self.top_at(share - 0.1) < self.top_at(share + 0.1);
            let (beside, anchor) = if is_right { (x + 6.0, Anchor::Start) } else { (x - 6.0, Anchor::End) };
            svg.text(at(beside, top - 12.0), &length(station.thickness_m), plain(SIZE).anchored(anchor));
            if k == 0 {
                svg.text(at(beside, top - 27.0), "thickness", plain(SIZE).anchored(anchor));
            }
        }
    }

    fn gap(&self, svg: &mut Svg) {
        let tip = self.view.tip();
        let (x, y) = (PLATE.1 + 26.0, self.y(tip.underside_m));
        svg.line(at(TIP, y), at(x + 10.0, y), FINE);
        dimension(svg, at(x, y.min(self.plate)), at(x, y.max(self.plate)));
        let middle = 0.5 * (y + self.plate);
        svg.text(at(x + 18.0, middle - 3.0), "tip gap", plain(SIZE));
        svg.text(at(x + 18.0, middle + 13.0), &length(tip.underside_m), plain(SIZE));
    }

    fn tip_clearance(&self, svg: &mut Svg) {
        let y = self.top_at(1.0).min(self.plate) - 24.0;
        let foot = self.y(self.view.tip().underside_m);
        svg.line(at(TIP, y - 6.0), at(TIP, foot), FINE);
        svg.line(at(self.wall, y - 6.0), at(self.wall, self.plate), FINE);
        let beyond = dimension(svg, at(TIP, y), at(self.wall, y));
        let words = format!("tip clearance {}", length(self.view.tip_clearance_m));
        svg.text(at(self.wall + beyond + 6.0, y + 4.5), &words, plain(SIZE));
    }

    fn plate_thickness(&self, svg: &mut Svg) {
        let x = PLATE.0 - 18.0;
        for y in [self.plate, self.bottom] {
            svg.line(at(x - 6.0, y), at(PLATE.0, y), FINE);
        }
        dimension(svg, at(x, self.plate), at(x, self.bottom));
        let style = plain(SIZE).anchored(Anchor::End);
        let middle = 0.5 * (self.plate + self.bottom);
        svg.text(at(x - 12.0, middle - 3.0), "plate", style);
        svg.text(at(x - 12.0, middle + 13.0), &length(self.view.plate_m), style);
        if self.scales.plate(self.view.plate_m).1 {
            svg.text(at(x - 12.0, middle + 29.0), "(cut short)", style.coloured(palette::SOFT_INK));
        }
    }

    fn length(&self, svg: &mut Svg) {
        let y = self.bottom.max(self.y(reach_m(&self.view.tongue).0)) + 46.0;
        svg.line(at(ROOT, self.bottom), at(ROOT, y + 6.0), FINE);
        let tip_foot = self.y(self.view.tip().underside_m);
        svg.line(at(TIP, tip_foot), at(TIP, y + 6.0), FINE);
        dimension(svg, at(ROOT, y), at(TIP, y));
        let words = format!("length {}, from the edge of the clamp to the tip", length(self.view.tip().place_m));
        svg.text(at(0.5 * (ROOT + TIP), y - 6.0), &words, plain(SIZE).anchored(Anchor::Middle));
    }
}

/// A rectangle with an outline.
pub(super) fn outlined(svg: &mut Svg, area: Area, fill: &str) {
    let Area { left, top, right, bottom } = area;
    svg.polygon(&[at(left, top), at(right, top), at(right, bottom), at(left, bottom)], fill, pen(palette::INK, 1.0));
}

/// A piece of the plate; one that is cut short ends below in a broken line.
pub(super) fn block(svg: &mut Svg, area: Area, is_cut: bool) {
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
    svg.polygon(&outline, palette::GRID, pen(palette::INK, 1.0));
}
