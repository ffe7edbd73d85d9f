//! The drawing of windows before and after a change.

use super::ChangeChart;
use crate::chart::Picture;
use crate::chart::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use crate::chart::page::{KeyItem, MARGIN, Page};
use crate::chart::plane::{self, PRESSURE_TITLE, Plane, kpa, pressure_scale};
use crate::chart::scale::{Scale, short};
use crate::chart::text::{shorten, width, wrap};
use crate::chart::uprights::{Upright, Uprights, of_player};
use crate::chart::window::{Bar, Shown};
use crate::chart::{palette, with_words_left_out};

const ROW: f64 = 62.0;
const LABEL_SIZE: f64 = 14.0;
const VALUE_SIZE: f64 = 13.0;
/// Where the axis begins: the labels of the rows stand to the left of it.
const AXIS_LEFT: f64 = 210.0;
const HALF_BAR: f64 = 11.0;
const HALF_THIN: f64 = 3.5;
/// Length of the point of a bar without an end.
const POINT: f64 = 12.0;

pub(super) struct Drawing<'a> {
    pub chart: &'a ChangeChart,
    pub shown: Vec<Shown>,
}

impl Drawing<'_> {
    pub fn picture(&self) -> Picture {
        let subtitle = format!("{} · pressures at which it speaks in time", self.chart.reed_name);
        let mut page = Page::open(&self.title(), &subtitle);
        self.key(&mut page);
        let shift = |area: Area| Area { left: AXIS_LEFT, ..area };
        let flat = Plane { plot: shift(page.take(0.0)), x: self.pressures(), y: Scale::around_zero(1.0) };
        let player = of_player(self.chart.player.as_ref()).into_iter();
        let player = player.map(|(pressure_pa, name, pen)| Upright::new(flat.x_of(pressure_pa / 1000.0), name, pen));
        let player = Uprights::arrange(player.collect());
        let room = shift(page.take(player.height()));
        let rows = self.shown.len().max(2) as f64;
        let plane = Plane { plot: shift(page.take(rows * ROW + 8.0)), ..flat };
        self.grid(&mut page.marks, &plane);
        player.draw(&mut page.marks, room, plane.plot);
        plane.level_axis(&mut page.marks, PRESSURE_TITLE);
        self.today(&mut page.marks, &plane);
        for index in 0..self.shown.len() {
            let top = plane.plot.top + index as f64 * ROW;
            let row = Area { top, bottom: top + ROW, ..plane.plot };
            let tooltip = format!("{}: {}", self.chart.states[index].label, self.in_words(index));
            page.marks.group(&tooltip, |marks| self.row(marks, &plane, row, index));
        }
        if self.shown.is_empty() {
            page.empty(plane.plot, "There is nothing to compare.");
        }
        page.take(plane::BELOW);
        page.close(&with_words_left_out(player.left_out(), &self.chart.small_print), &self.description())
    }

    fn bars(&self) -> impl Iterator<Item = &Bar> {
        self.shown.iter().filter_map(Shown::bar)
    }

    fn limit_pa(&self) -> Option<f64> {
        self.chart.limit_pa().filter(|_| self.bars().any(Bar::is_open))
    }

    fn pressures(&self) -> Scale {
        let player = of_player(self.chart.player.as_ref()).into_iter().map(|(pressure_pa, ..)| pressure_pa);
        pressure_scale(self.bars().flat_map(|bar| bar.ends().collect::<Vec<_>>()).chain(player).chain(self.limit_pa()))
    }

    /// How far to the right an end lies; an open one at the limit.
    fn end(&self, plane: &Plane, end_pa: Option<f64>) -> f64 {
        end_pa.or(self.limit_pa()).map_or(plane.plot.right - POINT, |end_pa| plane.x_of(end_pa / 1000.0))
    }

    fn grid(&self, marks: &mut Marks, plane: &Plane) {
        for tick in plane.x.ticks() {
            let colour = if tick.label.is_empty() { palette::FINE_GRID } else { palette::GRID };
            let x = plane.x_of(tick.value);
            marks.line(at(x, plane.plot.top), at(x, plane.plot.bottom), pen(colour, 1.0));
        }
        for index in 1..self.shown.len() {
            let y = plane.plot.top + index as f64 * ROW;
            marks.line(at(MARGIN, y), at(plane.plot.right, y), pen(palette::GRID, 1.0));
        }
    }

    /// The ends of the first window, carried down.
    fn today(&self, marks: &mut Marks, plane: &Plane) {
        let first = self.shown.first().and_then(Shown::bar).and_then(|bar| bar.speaks);
        let Some((low_pa, high_pa)) = first.filter(|_| self.shown.len() > 1) else { return };
        for pressure_pa in [Some(low_pa), high_pa].into_iter().flatten() {
            let x = plane.x_of(pressure_pa / 1000.0);
            let bottom = plane.plot.top + self.shown.len() as f64 * ROW;
            marks.line(at(x, plane.plot.top + ROW - 20.0), at(x, bottom), pen(palette::BLUE, 1.2).dashed("1 3"));
        }
    }

    fn row(&self, marks: &mut Marks, plane: &Plane, row: Area, index: usize) {
        let middle = (row.top + row.bottom) / 2.0;
        let label = plain(LABEL_SIZE);
        let label = if index == 0 { label.bold() } else { label };
        let mut lines = wrap(&self.chart.states[index].label, 1.08 * LABEL_SIZE, AXIS_LEFT - 20.0 - MARGIN);
        if lines.len() > 2 {
            lines[1] = shorten(&format!("{}…", lines[1]), 1.08 * LABEL_SIZE, AXIS_LEFT - 20.0 - MARGIN);
            lines.truncate(2);
        }
        let first = middle + 5.0 - 9.0 * (lines.len().max(1) - 1) as f64;
        for (k, line) in lines.iter().enumerate() {
            marks.text(at(MARGIN, first + 18.0 * k as f64), line, label);
        }
        match self.shown[index].bar() {
            None => self.words_across(marks, plane, middle + 5.0, &self.in_words(index)),
            Some(bar) => self.bar(marks, plane, at(plane.plot.left, middle + 10.0), bar, index == 0),
        }
    }

    fn words_across(&self, marks: &mut Marks, plane: &Plane, y: f64, words: &str) {
        let x = (plane.plot.left + plane.plot.right) / 2.0;
        let half = width(words, LABEL_SIZE) / 2.0 + 6.0;
        marks.fill(Area { left: x - half, right: x + half, top: y - 15.0, bottom: y + 6.0 }, palette::PAPER);
        marks.text(at(x, y), words, plain(LABEL_SIZE).anchored(Anchor::Middle).coloured(palette::VERMILION_TEXT));
    }

    fn bar(&self, marks: &mut Marks, plane: &Plane, middle: Point, bar: &Bar, is_first: bool) {
        let (strong, faint) = if is_first { (palette::SKY, palette::PALE_SKY) } else { (palette::BLUE, palette::SKY) };
        let block = |marks: &mut Marks, (low_pa, high_pa): (f64, Option<f64>), half: f64, fill: &str| {
            let (left, right) = (self.end(plane, Some(low_pa)), self.end(plane, high_pa));
            let right = right.max(left + 2.0);
            let (top, bottom) = (middle.y - half, middle.y + half);
            let tip = high_pa.is_none().then(|| at(right + POINT, middle.y));
            let corners = [at(left, bottom), at(left, top), at(right, top)].into_iter().chain(tip);
            marks.patch(&corners.chain([at(right, bottom)]).collect::<Vec<_>>(), fill);
        };
        block(marks, bar.sounds, HALF_THIN, faint);
        for end_pa in [Some(bar.sounds.0), bar.sounds.1].into_iter().flatten() {
            let x = plane.x_of(end_pa / 1000.0);
            marks.line(at(x, middle.y - 7.0), at(x, middle.y + 7.0), pen(strong, 1.6));
        }
        match bar.speaks {
            None => {
                let x = (self.end(plane, Some(bar.sounds.0)) + self.end(plane, bar.sounds.1)) / 2.0;
                value(marks, plane, at(x, middle.y - HALF_BAR - 5.0), "too slow at any pressure", Anchor::Middle);
            }
            Some(ends) => {
                block(marks, ends, HALF_BAR, strong);
                self.values(marks, plane, middle.y - HALF_BAR - 5.0, ends);
            }
        }
    }

    /// The values of the ends, above the bar.
    fn values(&self, marks: &mut Marks, plane: &Plane, y: f64, (low_pa, high_pa): (f64, Option<f64>)) {
        let (left, right) = (self.end(plane, Some(low_pa)), self.end(plane, high_pa));
        let (low, high) = (kpa(low_pa), high_pa.map_or("no end found".to_owned(), kpa));
        if width(&low, VALUE_SIZE) + width(&high, VALUE_SIZE) + 16.0 <= right - left {
            value(marks, plane, at(left, y), &low, Anchor::Start);
            value(marks, plane, at(right, y), &high, Anchor::End);
        } else {
            let both = match high_pa {
                Some(high_pa) => format!("{} to {}", short(low_pa / 1000.0, 2), kpa(high_pa)),
                None => format!("from {low}"),
            };
            value(marks, plane, at((left + right) / 2.0, y), &both, Anchor::Middle);
        }
    }

    fn in_words(&self, index: usize) -> String {
        match &self.shown[index] {
            Shown::Nothing => "not known".to_owned(),
            Shown::Silent => "never sounds".to_owned(),
            Shown::Bar(bar) => match bar.speaks {
                None => "too slow at any pressure".to_owned(),
                Some((low_pa, Some(high_pa))) => format!("from {} to {}", kpa(low_pa), kpa(high_pa)),
                Some((low_pa, None)) => format!("from {}, no upper end found", kpa(low_pa)),
            },
        }
    }

    /// What the first change does, against the first state.
    fn title(&self) -> String {
        if self.shown.len() < 2 {
            return match self.chart.states.first() {
                Some(state) => format!("{}: {}", crate::units::capital(&state.label), self.in_words(0)),
                None => "Nothing to compare".to_owned(),
            };
        }
        let [before, after] = [0, 1].map(|index| self.in_words(index));
        let today = &self.chart.states[0].label;
        let change = crate::units::capital(&self.chart.states[1].label);
        if before == after {
            format!("{change}: {after}, as {today}")
        } else {
            format!("{change}: {after}; {today}: {before}")
        }
    }

    fn key(&self, page: &mut Page) {
        let strong = |marks: &mut Marks, point: Point| {
            marks.fill(
                Area { left: point.x - 12.0, right: point.x + 12.0, top: point.y - 7.0, bottom: point.y + 7.0 },
                palette::BLUE,
            );
        };
        let thin = |marks: &mut Marks, point: Point| {
            marks.fill(
                Area { left: point.x - 12.0, right: point.x + 12.0, top: point.y - 2.5, bottom: point.y + 2.5 },
                palette::SKY,
            );
            for x in [point.x - 12.0, point.x + 12.0] {
                marks.line(at(x, point.y - 6.0), at(x, point.y + 6.0), pen(palette::BLUE, 1.6));
            }
        };
        let mut items = Vec::new();
        if self.bars().any(|bar| bar.speaks.is_some()) {
            items.push(KeyItem { sign: &strong, meaning: "speaks in time".to_owned() });
        }
        if self.bars().next().is_some() {
            items.push(KeyItem { sign: &thin, meaning: "sounds, but too slowly (ends at onset and choke)".to_owned() });
        }
        page.key(&items);
    }

    fn description(&self) -> String {
        let states = self.chart.states.iter().enumerate();
        let states: Vec<String> =
            states.map(|(index, state)| format!("{}: {}", state.label, self.in_words(index))).collect();
        format!(
            "A bar for each state of the reed over the pressures at which it speaks in time; level axis: {PRESSURE_TITLE}. {}.",
            states.join("; ")
        )
    }
}

/// A value beside a bar, kept inside the plot and free of the grid.
fn value(marks: &mut Marks, plane: &Plane, place: Point, words: &str, anchor: Anchor) {
    let area = crate::chart::text::area(words, VALUE_SIZE, place, anchor);
    let Area { left, right, .. } = plane.plot;
    let shift = (left - area.left).max(0.0) - (area.right - right).max(0.0);
    let area = Area { left: area.left + shift, right: area.right + shift, ..area };
    marks.fill(Area { left: area.left - 2.0, right: area.right + 2.0, ..area }, palette::PAPER);
    marks.text(at(area.left, place.y), words, plain(VALUE_SIZE));
}
