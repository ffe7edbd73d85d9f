//! The drawing of windows over the tip gap.

use super::curve::Traced;
use super::{Curve, GapChart, OwnGap};
use crate::chart::Picture;
use crate::chart::lines::pens;
use crate::chart::marks::{Area, Marks, Point, at, pen, plain};
use crate::chart::page::{KeyItem, Page, SeriesName, WIDTH, series_names};
use crate::chart::plane::{self, PRESSURE_TITLE, Plane, kpa, pressure_scale};
use crate::chart::reed::{absent, arrowhead, cross};
use crate::chart::scale::Scale;
use crate::chart::uprights::{Upright, Uprights, of_player};
use crate::chart::window::Shown;
use crate::chart::words::Words;
use crate::chart::{LARGEST, palette, with_words_left_out};
use crate::units::metres;

const PLOT_HEIGHT: f64 = 420.0;
/// The axis of the gap when nothing sets it (mm).
const USUAL_MM: (f64, f64) = (0.05, 0.6);

pub(super) struct Drawing<'a> {
    chart: &'a GapChart,
    curves: Vec<Curve>,
    own: Option<(&'a OwnGap, Shown)>,
}

impl<'a> Drawing<'a> {
    pub fn of(chart: &'a GapChart) -> Self {
        let own = chart.own.as_ref().filter(|own| own.gap_m.abs() <= LARGEST);
        let curves = chart.curves.iter().map(|curve| Curve::of(curve, own)).collect();
        Self { chart, curves, own: own.map(|own| (own, Shown::of(&own.window))) }
    }

    pub fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        self.key(&mut page);
        let (x, y) = self.scales();
        let mark = self.own.as_ref().map(|(own, _)| own.gap_m * 1000.0);
        // The level axis is known before the height is: the marks above decide that.
        let wide = page.take(0.0);
        let place = |gap_mm: f64| wide.left + x.share(gap_mm) * (wide.right - wide.left);
        let name = self.own.as_ref().map(|(own, _)| own_name(own)).unwrap_or_default();
        let line = pen(palette::INK, 1.2);
        let own = Uprights::arrange(mark.iter().map(|mm| Upright::new(place(*mm), name.clone(), line)).collect());
        let room = page.take(own.height());
        let plot = page.take(PLOT_HEIGHT);
        let plane = Plane { plot, x, y };
        let mut words = Words::new(Area { left: plot.left + 2.0, right: WIDTH - 8.0, ..plot });
        self.curves(&mut page.marks, &plane, &mut words, (&own, room));
        if self.curves.iter().all(|curve| curve.points.is_empty()) {
            page.empty(plot, "No tip gaps to show.");
        }
        page.take(plane::BELOW);
        let left_out = words.left_out + own.left_out();
        page.close(&with_words_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn curves(&self, marks: &mut Marks, plane: &Plane, words: &mut Words, (own, room): (&Uprights, Area)) {
        let open = self.limit_pa().map_or(plane.plot.top, |limit_pa| plane.y_of(limit_pa / 1000.0));
        let pens = pens(self.curves.iter().map(|curve| curve.is_own));
        let curves = self.curves.iter().zip(pens);
        let traced: Vec<Traced<'_>> = curves.map(|(curve, pen)| Traced::of(curve, pen, plane, open)).collect();
        let (strong, faint): (Vec<_>, Vec<_>) = traced.iter().zip(&self.curves).partition(|(_, curve)| curve.is_own);
        strong.iter().for_each(|(traced, _)| traced.band(marks));
        plane.axes(marks, "tip gap (mm)", PRESSURE_TITLE, false);
        self.levels(marks, plane, words);
        own.draw(marks, room, plane.plot);
        own.lines().for_each(|x| words.keep_off_line(&[at(x, plane.plot.top), at(x, plane.plot.bottom)]));
        for (traced, _) in faint.iter().chain(&strong) {
            traced.lines(marks, words);
        }
        strong.iter().for_each(|(traced, _)| traced.gaps(marks, plane));
        self.own_marks(marks, plane, words);
        for (traced, _) in strong.iter().chain(&faint) {
            traced.names(marks, words);
        }
    }

    fn limit_pa(&self) -> Option<f64> {
        let own_is_open = self.own.as_ref().and_then(|(_, shown)| shown.bar()).is_some_and(|bar| bar.is_open());
        self.chart.limit_pa().filter(|_| own_is_open || self.curves.iter().any(Curve::is_open))
    }

    fn scales(&self) -> (Scale, Scale) {
        let own_mm = self.own.iter().map(|(own, _)| 1000.0 * own.gap_m);
        let gaps_mm = self.curves.iter().flat_map(|curve| curve.points.iter().map(|(gap_mm, _)| *gap_mm));
        let own_pa =
            self.own.iter().filter_map(|(_, shown)| shown.bar()).flat_map(|bar| bar.ends().collect::<Vec<_>>());
        let player = of_player(self.chart.player.as_ref()).into_iter().map(|(pressure_pa, ..)| pressure_pa);
        let all_pa = self.curves.iter().flat_map(Curve::ends).chain(own_pa).chain(player).chain(self.limit_pa());
        (Scale::linear_over(gaps_mm.chain(own_mm), USUAL_MM), pressure_scale(all_pa))
    }

    /// The player's pressures and the limit of what was asked.
    fn levels(&self, marks: &mut Marks, plane: &Plane, words: &mut Words) {
        let player = of_player(self.chart.player.as_ref()).into_iter();
        let limit = self.limit_pa().map(|limit_pa| (limit_pa, "limit", pen(palette::ABSENT, 1.0).dashed("1 3")));
        let mut names = Vec::new();
        for (pressure_pa, name, pen) in player.chain(limit) {
            let end = at(plane.plot.right, plane.y_of(pressure_pa / 1000.0));
            marks.line(at(plane.plot.left, end.y), end, pen);
            words.keep_off_line(&[at(plane.plot.left, end.y), end]);
            let name = if name == "limit" { format!("limit {}", kpa(pressure_pa)) } else { name.to_owned() };
            names.push(SeriesName { name, colour: palette::INK, end });
        }
        if !names.is_empty() {
            words.keep_off(Area { left: plane.plot.right, right: WIDTH, ..plane.plot });
        }
        series_names(marks, plane.plot, names);
    }

    /// The ends of the window of the reed as it is, with their values.
    fn own_marks(&self, marks: &mut Marks, plane: &Plane, words: &mut Words) {
        let Some((own, shown)) = &self.own else { return };
        let Some((low_pa, high_pa)) = shown.bar().and_then(|bar| bar.speaks) else { return };
        for pressure_pa in [Some(low_pa), high_pa].into_iter().flatten() {
            let point: Point = plane.at(1000.0 * own.gap_m, pressure_pa / 1000.0);
            marks.circle(point, 5.0, palette::INK, pen(palette::PAPER, 1.2));
            words.beside_point(marks, point, 6.0, &kpa(pressure_pa), plain(13.0).bold());
        }
    }

    fn headline(&self) -> (String, String) {
        let count = self.curves.len();
        let clearances = if count == 1 { "one clearance".to_owned() } else { format!("{count} clearances") };
        let subtitle =
            format!("{} · pressures at which it speaks in time, by tip gap, for {clearances}", self.chart.reed_name);
        let title = match &self.own {
            None => "Playable window against tip gap".to_owned(),
            Some((own, shown)) => {
                format!("At its tip gap of {} this reed {}", metres(own.gap_m), in_words(shown, self.chart))
            }
        };
        (title, subtitle)
    }

    fn key(&self, page: &mut Page) {
        let own: Vec<&Shown> =
            self.curves.iter().filter(|curve| curve.is_own).flat_map(|c| c.points.iter().map(|p| &p.1)).collect();
        let silent = |marks: &mut Marks, point: Point| cross(marks, point, 4.0, pen(palette::VERMILION, 2.0));
        let open = |marks: &mut Marks, point: Point| arrowhead(marks, at(point.x, point.y - 4.0), 5.0, palette::BLUE);
        let faint = |marks: &mut Marks, point: Point| {
            marks.line(at(point.x - 12.0, point.y), at(point.x + 12.0, point.y), pen(palette::BLUE, 1.2).dashed("1 3"));
        };
        type Entry<'a> = (bool, &'a dyn Fn(&mut Marks, Point), &'static str);
        let entries: [Entry<'_>; 4] = [
            (
                self.curves.iter().any(|curve| curve.ends().next().is_some()),
                &faint,
                "onset and choke, between which it sounds, but may be slow",
            ),
            (self.limit_pa().is_some(), &open, "open upper end: it speaks up to the limit"),
            (own.iter().any(|shown| matches!(shown, Shown::Silent)), &silent, "never sounds"),
            (own.iter().any(|shown| matches!(shown, Shown::Nothing)), &absent, "not known"),
        ];
        let shown = entries.iter().filter(|(is_shown, ..)| *is_shown);
        let items: Vec<_> = shown.map(|(_, sign, meaning)| KeyItem { sign, meaning: (*meaning).to_owned() }).collect();
        page.key(&items);
    }

    fn description(&self) -> String {
        let clearances: Vec<String> = self.curves.iter().map(|curve| metres(curve.clearance_m)).collect();
        let own = match &self.own {
            None => String::new(),
            Some((own, shown)) => format!(" It now {}: {}.", in_words(shown, self.chart), own_name(own)),
        };
        format!(
            "Lines of the lowest and the highest pressure at which the reed speaks in time, over its tip gap in \
             millimetres, for clearances of {}; upright axis: {PRESSURE_TITLE}.{own}",
            clearances.join(", ")
        )
    }
}

fn own_name(own: &OwnGap) -> String {
    format!("this reed: tip gap {}, clearance {}", metres(own.gap_m), metres(own.clearance_m))
}

/// What a reed does, as what follows "this reed".
fn in_words(shown: &Shown, chart: &GapChart) -> String {
    let limit =
        || chart.limit_pa().map_or("the limit".to_owned(), |limit_pa| format!("the limit of {}", kpa(limit_pa)));
    match shown {
        Shown::Nothing => "is not known".to_owned(),
        Shown::Silent => "never sounds".to_owned(),
        Shown::Bar(bar) => match bar.speaks {
            None => "is too slow at any pressure".to_owned(),
            Some((low_pa, Some(high_pa))) => format!("speaks in time from {} to {}", kpa(low_pa), kpa(high_pa)),
            Some((low_pa, None)) => format!("speaks in time from {} up to {}", kpa(low_pa), limit()),
        },
    }
}
