//! The drawing of level over pressure.

use super::{LevelChart, LevelEnd};
use crate::chart::Picture;
use crate::chart::branch::{self, BranchLine};
use crate::chart::marks::{Area, Marks, Pen, Point, at, pen, plain};
use crate::chart::page::{KeyItem, Page};
use crate::chart::plane::{self, PRESSURE_TITLE, Plane, kpa, pressure_scale};
use crate::chart::scale::Scale;
use crate::chart::uprights::{Upright, Uprights, of_player};
use crate::chart::{palette, plottable, with_words_left_out};
use crate::units::decibel;

const PLOT_HEIGHT: f64 = 380.0;
const AXIS_TITLE: &str = "sound level at 1 m in front (dB re 20 µPa)";
/// The axis when nothing sets it (dB).
const USUAL_DB: (f64, f64) = (40.0, 100.0);
/// How far below the loudest the axis reaches at most (dB): at onset itself the level falls without end.
const DEEPEST_DB: f64 = 60.0;
/// Distance of the bracket from the plot.
const BRACKET: f64 = 18.0;

const WINDOW_END: Pen = pen(palette::INK, 2.0);
const START_END: Pen = pen(palette::BLUE, 1.2).dashed("1 3");
const KEEP_END: Pen = pen(palette::VERMILION, 1.4).dashed("9 3 2 3");

pub(super) struct Drawing<'a> {
    pub chart: &'a LevelChart,
    pub line: BranchLine,
}

impl Drawing<'_> {
    pub fn picture(&self) -> Picture {
        let subtitle = format!("{} · sound level against mouth pressure, and where playing ends", self.chart.reed_name);
        let mut page = Page::open(&self.title(), &subtitle);
        self.key(&mut page);
        let (x, y) = self.scales();
        let flat = Plane { plot: page.take(0.0), x, y };
        let uprights = self.uprights(&flat);
        let room = page.take(uprights.height());
        let plane = Plane { plot: page.take(PLOT_HEIGHT), ..flat };
        let marks = &mut page.marks;
        if let Some((lowest, highest)) = self.chart.window() {
            let [left, right] = [lowest, highest].map(|end| plane.x_of(end.pressure_pa / 1000.0));
            marks.fill(Area { left, right, ..plane.plot }, palette::WANTED);
        }
        plane.axes(marks, PRESSURE_TITLE, AXIS_TITLE, false);
        uprights.draw(marks, room, plane.plot);
        let stretches = self.line.stretches(&plane);
        branch::draw(marks, &stretches);
        self.bracket(marks, &plane);
        if stretches.is_empty() {
            page.empty(plane.plot, "No sound level is known.");
        }
        page.take(plane::BELOW);
        page.close(&with_words_left_out(uprights.left_out(), &self.chart.small_print), &self.description())
    }

    fn scales(&self) -> (Scale, Scale) {
        let player = of_player(self.chart.player.as_ref()).into_iter().map(|(pressure_pa, ..)| pressure_pa);
        let marks = self.ends().into_iter().map(|(pressure_pa, ..)| pressure_pa);
        let pressures_pa = self.line.known().map(|point| point.pressure_pa).chain(player).chain(marks);
        let ends = self.chart.range_db().into_iter().flat_map(|(low, high)| [low, high]);
        let loudest = self.line.known().map(|point| point.value).fold(f64::NEG_INFINITY, f64::max);
        let levels = self.line.known().map(|point| point.value).filter(|db| *db > loudest - DEEPEST_DB);
        (pressure_scale(pressures_pa), Scale::linear_over(levels.chain(ends), USUAL_DB))
    }

    /// Every end: pressure (Pa), name, and its line.
    fn ends(&self) -> Vec<(f64, &'static str, Pen)> {
        let chart = self.chart;
        let window = |end: &Option<LevelEnd>| end.as_ref().map(|end| end.pressure_pa);
        let all = [
            (chart.onset_pa, "onset", START_END),
            (chart.choke_pa, "choke", START_END),
            (window(&chart.lowest), "lowest playable", WINDOW_END),
            (window(&chart.highest), "highest playable", WINDOW_END),
            (chart.keeps_from_pa, "keeps sounding from", KEEP_END),
            (chart.keeps_to_pa, "keeps sounding up to", KEEP_END),
        ];
        all.into_iter().filter_map(|(end_pa, name, pen)| Some((plottable(end_pa?)?, name, pen))).collect()
    }

    fn uprights(&self, flat: &Plane) -> Uprights {
        let place = |pressure_pa: f64| flat.x_of(pressure_pa / 1000.0);
        let ends = self
            .ends()
            .into_iter()
            .map(|(pa, name, pen)| Upright { more: format!(" {}", kpa(pa)), ..Upright::new(place(pa), name, pen) });
        let player = of_player(self.chart.player.as_ref()).into_iter();
        Uprights::arrange(ends.chain(player.map(|(pa, name, pen)| Upright::new(place(pa), name, pen))).collect())
    }

    /// The dynamic range, beside the plot.
    fn bracket(&self, marks: &mut Marks, plane: &Plane) {
        let (Some((low_db, high_db)), Some((lowest, highest))) = (self.chart.range_db(), self.chart.window()) else {
            return;
        };
        let x = plane.plot.right + BRACKET;
        let faint = pen(palette::INK, 0.9).dashed("1 3");
        for (end, db) in [(lowest, low_db), (highest, high_db)] {
            let point = plane.at(end.pressure_pa / 1000.0, db);
            marks.line(point, at(x, point.y), faint);
            marks.line(at(x - 6.0, point.y), at(x, point.y), pen(palette::INK, 1.6));
            marks.circle(point, 4.6, palette::INK, pen(palette::PAPER, 1.2));
        }
        let (top, bottom) = (plane.y_of(low_db.max(high_db)), plane.y_of(low_db.min(high_db)));
        marks.line(at(x, top), at(x, bottom), pen(palette::INK, 1.6));
        let middle = (top + bottom) / 2.0;
        marks.text(at(x + 8.0, middle), &decibel((high_db - low_db).abs()), plain(15.0).bold());
        marks.text(at(x + 8.0, middle + 16.0), "dynamic range", plain(12.0).coloured(palette::SOFT_INK));
    }

    fn key(&self, page: &mut Page) {
        let band = |marks: &mut Marks, point: Point| {
            let area = Area { left: point.x - 10.0, top: point.y - 7.0, right: point.x + 10.0, bottom: point.y + 7.0 };
            marks.fill(area, palette::WANTED);
            for x in [area.left, area.right] {
                marks.line(at(x, area.top), at(x, area.bottom), WINDOW_END);
            }
        };
        let mut items = Vec::new();
        if let Some((lowest, highest)) = self.chart.window() {
            let why: Vec<&str> = [&lowest.reason, &highest.reason]
                .into_iter()
                .map(String::as_str)
                .filter(|why| !why.is_empty())
                .collect();
            let why = if why.is_empty() { String::new() } else { format!(" ({})", why.join(", ")) };
            items.push(KeyItem { sign: &band, meaning: format!("speaks in time{why}") });
        }
        if self.line.turns() {
            let meaning = "steady, but the least disturbance ends it".to_owned();
            items.push(KeyItem { sign: &branch::passing_sign, meaning });
        }
        page.key(&items);
    }

    fn title(&self) -> String {
        match (self.chart.range_db(), self.chart.window()) {
            (Some((low_db, high_db)), _) => format!(
                "From {low_db:.1} to {} at 1 m: a dynamic range of {}",
                decibel(high_db),
                decibel((high_db - low_db).abs())
            ),
            (None, Some((lowest, highest))) => {
                format!("It speaks in time from {} to {}", kpa(lowest.pressure_pa), kpa(highest.pressure_pa))
            }
            (None, None) if self.line.known().next().is_none() => "No lasting sound to show".to_owned(),
            (None, None) => "It speaks in time at no pressure".to_owned(),
        }
    }

    fn description(&self) -> String {
        let ends: Vec<String> = self.ends().into_iter().map(|(pa, name, _)| format!("{name} {}", kpa(pa))).collect();
        format!(
            "A line of the level over the pressure; level axis: {PRESSURE_TITLE}; upright axis: {AXIS_TITLE}. {}. {}.",
            self.title(),
            ends.join("; ")
        )
    }
}
