//! The drawing of speaking times over the pressure.

use super::{Curve, ResponseChart};
use crate::chart::Picture;
use crate::chart::lines::{OWN, pens, runs, stretch, widest};
use crate::chart::marks::{Area, Marks, Pen, Point, at, pen};
use crate::chart::page::{KeyItem, Page, WIDTH};
use crate::chart::plane::{self, PRESSURE_TITLE, Plane, kpa, pressure_scale};
use crate::chart::reed::cross;
use crate::chart::scale::{Scale, short};
use crate::chart::uprights::{Upright, Uprights, of_player};
use crate::chart::words::Words;
use crate::chart::{palette, with_words_left_out};

const PLOT_HEIGHT: f64 = 400.0;
const AXIS_TITLE: &str = "time to half the full swing, t50 (ms, log scale)";
/// The axis when nothing sets it (ms).
const USUAL_MS: (f64, f64) = (5.0, 500.0);
/// Half the size of the cross that ends a line.
const CROSS: f64 = 5.0;

pub(super) struct Drawing<'a> {
    chart: &'a ResponseChart,
    curves: Vec<Curve<'a>>,
}

impl<'a> Drawing<'a> {
    pub fn of(chart: &'a ResponseChart) -> Self {
        Self { chart, curves: chart.curves.iter().map(Curve::of).collect() }
    }

    pub fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        self.key(&mut page);
        let flat = Plane { plot: page.take(0.0), x: self.pressures(), y: self.times() };
        let player = of_player(self.chart.player.as_ref()).into_iter();
        let player = player.map(|(pressure_pa, name, pen)| Upright::new(flat.x_of(pressure_pa / 1000.0), name, pen));
        let player = Uprights::arrange(player.collect());
        let room = page.take(player.height());
        let plane = Plane { plot: page.take(PLOT_HEIGHT), ..flat };
        let marks = &mut page.marks;
        plane.axes(marks, PRESSURE_TITLE, AXIS_TITLE, false);
        player.draw(marks, room, plane.plot);
        let mut words = Words::new(Area { left: plane.plot.left + 2.0, right: WIDTH - 8.0, ..plane.plot });
        player.lines().for_each(|x| words.keep_off_line(&[at(x, plane.plot.top), at(x, plane.plot.bottom)]));
        let allowed = self.allowed(&plane);
        allowed.iter().for_each(|(line, _)| words.keep_off_line(line));
        self.curves(marks, &plane, &mut words);
        if let Some((line, name)) = &allowed {
            marks.path(line, pen(palette::VERMILION, 2.0).dashed("9 3 2 3"));
            words.beside_line(marks, line, name, palette::VERMILION_TEXT);
        }
        if self.curves.iter().all(|curve| curve.spoken().next().is_none()) {
            let is_silent = self.curves.iter().any(Curve::never_speaks);
            let why = if is_silent { "It does not speak." } else { "No speaking time is known." };
            page.empty(plane.plot, why);
        }
        page.take(plane::BELOW);
        let left_out = words.left_out + player.left_out();
        page.close(&with_words_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn pressures(&self) -> Scale {
        let player = of_player(self.chart.player.as_ref()).into_iter().map(|(pressure_pa, ..)| pressure_pa);
        pressure_scale(self.curves.iter().flat_map(Curve::spoken).map(|(pressure_pa, _)| pressure_pa).chain(player))
    }

    fn times(&self) -> Scale {
        let spoken = self.curves.iter().flat_map(Curve::spoken).map(|(_, time_s)| time_s);
        Scale::log_over(spoken.chain(self.chart.allowed_s()).map(|time_s| 1000.0 * time_s), USUAL_MS)
    }

    /// The line of the time allowed, with its name.
    fn allowed(&self, plane: &Plane) -> Option<([Point; 2], String)> {
        let allowed_ms = 1000.0 * self.chart.allowed_s()?;
        let y = plane.y_of(allowed_ms);
        let name = format!("time allowed {} ms", short(allowed_ms, 2));
        Some(([at(plane.plot.left, y), at(plane.plot.right, y)], name))
    }

    fn curves(&self, marks: &mut Marks, plane: &Plane, words: &mut Words) {
        let pens = pens(self.curves.iter().map(|curve| curve.is_own));
        let mut all: Vec<(&Curve<'_>, Pen)> = self.curves.iter().zip(pens).collect();
        // The reader's own on top.
        all.sort_by_key(|(curve, _)| curve.is_own);
        let place = |(pressure_pa, time_s): (f64, f64)| plane.at(pressure_pa / 1000.0, 1000.0 * time_s);
        let traced: Vec<Vec<Vec<Point>>> = all
            .iter()
            .map(|(curve, _)| {
                let points =
                    curve.points.iter().map(|(pressure_pa, speech)| speech.time_s().map(|t| place((*pressure_pa, t))));
                runs(&points.collect::<Vec<_>>())
            })
            .collect();
        for ((curve, pen), runs) in all.iter().zip(&traced) {
            marks.group(&in_words(curve), |marks| {
                runs.iter().for_each(|run| stretch(marks, run, *pen));
                for end in curve.ends() {
                    cross(marks, place(end), CROSS, Pen { width: 2.2, dash: "", ..*pen });
                }
            });
            runs.iter().for_each(|run| words.keep_off_line(run));
            curve.ends().into_iter().for_each(|end| words.keep_off(Area::around(place(end), CROSS + 1.0)));
        }
        for ((curve, pen), runs) in all.iter().zip(traced).rev() {
            if let Some(run) = widest(runs) {
                words.beside_line(marks, &run, curve.label, pen.colour);
            }
        }
    }

    fn headline(&self) -> (String, String) {
        let own = self.curves.iter().find(|curve| curve.is_own);
        let title = match own.map(|own| (own.soonest(), own.never_speaks())) {
            Some((Some((pressure_pa, time_s)), _)) => {
                format!("This reed speaks soonest, in {} ms, at {}", short(1000.0 * time_s, 2), kpa(pressure_pa))
            }
            Some((None, true)) => "This reed speaks at none of the pressures tried".to_owned(),
            _ => "Speaking time against blowing pressure".to_owned(),
        };
        let never: Vec<&str> =
            self.curves.iter().filter(|curve| curve.never_speaks()).map(|curve| curve.label).collect();
        let never = if never.is_empty() { String::new() } else { format!(" · never speaks: {}", never.join(", ")) };
        (title, format!("{} · time from the start of the blow to half the full swing{never}", self.chart.reed_name))
    }

    fn key(&self, page: &mut Page) {
        let strong = |marks: &mut Marks, point: Point| {
            marks.line(at(point.x - 12.0, point.y), at(point.x + 12.0, point.y), OWN);
        };
        let end = |marks: &mut Marks, point: Point| cross(marks, point, CROSS, pen(palette::INK, 2.0));
        let mut items = Vec::new();
        if self.curves.iter().any(|curve| curve.is_own && curve.spoken().next().is_some()) {
            items.push(KeyItem { sign: &strong, meaning: "this reed as it is".to_owned() });
        }
        if self.curves.iter().any(|curve| !curve.ends().is_empty()) {
            items.push(KeyItem { sign: &end, meaning: "beyond here it does not speak".to_owned() });
        }
        page.key(&items);
    }

    fn description(&self) -> String {
        let curves: Vec<String> = self.curves.iter().map(in_words).collect();
        format!(
            "Lines of the speaking time over the pressure; level axis: {PRESSURE_TITLE}; upright axis: {AXIS_TITLE}. {}.",
            curves.join("; ")
        )
    }
}

fn in_words(curve: &Curve<'_>) -> String {
    let own = if curve.is_own { " (this reed as it is)" } else { "" };
    let said = match (curve.soonest(), curve.never_speaks()) {
        (Some((pressure_pa, time_s)), _) => format!("soonest {} ms at {}", short(1000.0 * time_s, 2), kpa(pressure_pa)),
        (None, true) => "never speaks".to_owned(),
        (None, false) => "not known".to_owned(),
    };
    format!("{}{own}: {said}", curve.label)
}
