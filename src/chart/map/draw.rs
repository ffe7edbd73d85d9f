//! The drawing of a map.

use super::bar::{Bar, hatch};
use super::contour::Field;
use super::levels::{Levels, rounded};
use super::ramp::shade;
use super::{MapAxis, MapChart};
use crate::chart::Picture;
use crate::chart::marks::{Anchor, Area, HOLLOW, Marks, Point, Type, at, pen, plain};
use crate::chart::page::Page;
use crate::chart::plane::{self, Plane};
use crate::chart::scale::Scale;
use crate::chart::words::places;
use crate::chart::{LARGEST, palette, text};

const PLOT_HEIGHT: f64 = 470.0;
const LABEL_SIZE: f64 = 12.5;
const BOLD_IS_WIDER: f64 = 1.08;

pub(super) struct Drawing<'a> {
    chart: &'a MapChart,
    columns: Vec<usize>,
    rows: Vec<usize>,
    levels: Levels,
    /// The least and the greatest value.
    ends: Option<(f64, f64)>,
}

impl<'a> Drawing<'a> {
    pub fn of(chart: &'a MapChart) -> Self {
        let (columns, rows) = (chart.x.order(), chart.y.order());
        let all = rows.iter().flat_map(|row| columns.iter().filter_map(|column| value(chart, *row, *column)));
        let ends = all.fold(None, |ends: Option<(f64, f64)>, value| {
            Some(ends.map_or((value, value), |(low, high)| (low.min(value), high.max(value))))
        });
        let levels = ends.map_or(Levels::over(0.0, 0.0), |(low, high)| Levels::over(low, high));
        Self { chart, columns, rows, levels, ends }
    }

    pub fn picture(&self) -> Picture {
        let mut page = Page::open(&self.chart.title, &self.subtitle());
        page.take(8.0);
        let plot = page.take(PLOT_HEIGHT);
        let plane = Plane { plot, x: scale(&self.chart.x, &self.columns), y: scale(&self.chart.y, &self.rows) };
        let is_map = self.columns.len() > 1 && self.rows.len() > 1;
        let marks = &mut page.marks;
        plane.axes(marks, &shortened(&self.chart.x.title()), &shortened(&self.chart.y.title()), false);
        let mut small_print = self.chart.small_print.clone();
        if is_map {
            self.field(marks, &plane);
            if self.own_is_outside() {
                small_print = format!("This reed lies outside the map. {small_print}");
            }
            let (wide, high) = (self.columns.len(), self.rows.len());
            small_print = format!("Computed at {wide} × {high} points, straight lines between them. {small_print}");
        }
        match (is_map, self.ends) {
            (false, _) => page.empty(plot, "A map needs two values or more along each axis."),
            (true, None) => page.empty(plot, &format!("Everywhere: {}", self.chart.missing)),
            (true, Some(_)) => {}
        }
        page.take(plane::BELOW);
        page.close(&small_print, &self.description())
    }

    fn field(&self, marks: &mut Marks, plane: &Plane) {
        let has_holes =
            self.rows.iter().any(|row| self.columns.iter().any(|column| value(self.chart, *row, *column).is_none()));
        if has_holes {
            hatch(marks, plane.plot);
        }
        let heights = |row: &usize| {
            self.columns.iter().map(|column| value(self.chart, *row, *column).map(|v| self.levels.height(v))).collect()
        };
        let field = Field::new(
            self.columns.iter().map(|column| plane.x_of(self.chart.x.values[*column])).collect(),
            self.rows.iter().map(|row| plane.y_of(self.chart.y.values[*row])).collect(),
            &self.rows.iter().map(heights).collect::<Vec<_>>(),
        );
        let levels: Vec<f64> = self.levels.values.iter().map(|level| self.levels.height(*level)).collect();
        for (step, shapes) in field.steps(&levels).iter().enumerate() {
            marks.patches(shapes, &shade(step, levels.len() + 1));
        }
        let own = self.own_place(plane).map(|place| (place, self.own_words(plane, place)));
        let mut taken: Vec<Area> =
            own.iter().flat_map(|(place, (_, area))| [Area::around(*place, 8.0), *area]).collect();
        let lines: Vec<Vec<Vec<Point>>> = levels.iter().map(|level| field.lines(*level)).collect();
        for (k, lines) in lines.iter().enumerate() {
            let colour = if 2 * k + 1 > levels.len() { palette::PAPER } else { palette::INK };
            lines.iter().for_each(|line| marks.path(line, pen(colour, 0.9)));
        }
        for (level, lines) in self.levels.values.iter().zip(&lines) {
            self.label(marks, plane, *level, lines, &mut taken);
        }
        if let Some((place, (words, area))) = &own {
            marks.circle(*place, 7.5, palette::PAPER, pen(palette::INK, 1.2));
            marks.circle(*place, 4.2, palette::INK, pen(palette::INK, 0.0));
            boxed(marks, *area, words, true);
        }
        let missing = has_holes.then_some(self.chart.missing.as_str());
        Bar { levels: &self.levels, ends: self.ends, unit: &self.chart.unit, missing }.draw(marks, plane.plot);
    }

    /// Writes the value of a level on the longest of its lines, where there is room.
    fn label(&self, marks: &mut Marks, plane: &Plane, level: f64, lines: &[Vec<Point>], taken: &mut Vec<Area>) {
        let words = self.levels.label(level);
        let wide = text::width(&words, LABEL_SIZE);
        let length = |line: &[Point]| line.windows(2).map(|p| (p[1].x - p[0].x).hypot(p[1].y - p[0].y)).sum::<f64>();
        let Some(longest) = lines.iter().max_by(|a, b| length(a).total_cmp(&length(b))) else { return };
        if length(longest) < 2.0 * wide {
            return;
        }
        let along = places(longest);
        let middle = along.len() / 2;
        let order = (0..along.len()).map(|k| if k % 2 == 0 { middle + k / 2 } else { middle.wrapping_sub(k / 2 + 1) });
        let boxes = order.filter_map(|k| along.get(k)).map(|place| padded(&words, at(place.x, place.y + 4.4)));
        if let Some(area) =
            boxes.into_iter().find(|area| plane.plot.holds(area) && !taken.iter().any(|t| t.overlaps(area)))
        {
            boxed(marks, area, &words, false);
            taken.push(area);
        }
    }

    fn own_place(&self, plane: &Plane) -> Option<Point> {
        let own = self.chart.own.as_ref()?;
        (!self.own_is_outside()).then(|| plane.at(own.x, own.y))
    }

    fn own_is_outside(&self) -> bool {
        let Some(own) = &self.chart.own else { return false };
        let is_inside = |axis: &MapAxis, order: &[usize], value: f64| {
            let (first, last) = (axis.values[order[0]], axis.values[order[order.len() - 1]]);
            (first..=last).contains(&value)
        };
        !(is_inside(&self.chart.x, &self.columns, own.x) && is_inside(&self.chart.y, &self.rows, own.y))
    }

    /// What to say of the reed as it is, and the room for it beside its mark.
    fn own_words(&self, plane: &Plane, place: Point) -> (String, Area) {
        let value = self.chart.own.as_ref().and_then(|own| own.value).filter(|value| value.abs() <= LARGEST);
        let words = match value {
            Some(value) => format!("this reed: {}", self.with_unit(&rounded(value))),
            None => "this reed".to_owned(),
        };
        let half = text::width(&words, BOLD_IS_WIDER * LABEL_SIZE) / 2.0 + 12.0;
        let sides = [(half, 4.4), (-half, 4.4), (0.0, -15.0), (0.0, 24.0)];
        let rooms = sides.map(|(dx, dy)| padded(&words, at(place.x + dx, place.y + dy)));
        (words, rooms.into_iter().find(|room| plane.plot.holds(room)).unwrap_or(rooms[0]))
    }

    fn with_unit(&self, number: &str) -> String {
        format!("{number} {}", self.chart.unit).trim_end().to_owned()
    }

    fn subtitle(&self) -> String {
        let range = match self.ends {
            None => String::new(),
            Some((low, high)) if self.levels.values.is_empty() && rounded(low) == rounded(high) => {
                format!(" · everywhere {}", self.with_unit(&rounded(low)))
            }
            Some((low, high)) => format!(" · from {} to {}", rounded(low), self.with_unit(&rounded(high))),
        };
        format!("{} · {}{range}", self.chart.reed_name, self.chart.quantity)
    }

    fn description(&self) -> String {
        let (x, y) = (self.chart.x.title(), self.chart.y.title());
        let levels: Vec<String> = self.levels.values.iter().map(|level| self.levels.label(*level)).collect();
        let levels = if levels.is_empty() { HOLLOW.to_owned() } else { self.with_unit(&levels.join(", ")) };
        format!(
            "A map in steps from light (low) to dark (high) of {}; level axis: {x}; upright axis: {y}. Lines at: {levels}. \
             Hatched: {}.",
            self.chart.quantity, self.chart.missing
        )
    }
}

fn value(chart: &MapChart, row: usize, column: usize) -> Option<f64> {
    let value = chart.values.get(row)?.get(column).copied().flatten()?;
    (value.abs() <= LARGEST).then_some(value)
}

/// The axis from the first to the last of its values.
fn scale(axis: &MapAxis, order: &[usize]) -> Scale {
    let (low, high) = match (order.first(), order.last()) {
        (Some(first), Some(last)) if first != last => (axis.values[*first], axis.values[*last]),
        _ => (1.0, 2.0),
    };
    if axis.is_log { Scale::Log { low, high } } else { Scale::Linear { low, high } }
}

fn shortened(title: &str) -> String {
    text::shorten(title, 13.0, PLOT_HEIGHT)
}

/// The room of words that stand in the middle of a place, with an edge.
fn padded(words: &str, place: Point) -> Area {
    let area = text::area(words, BOLD_IS_WIDER * LABEL_SIZE, place, Anchor::Middle);
    Area { left: area.left - 2.0, right: area.right + 2.0, top: area.top + 1.0, bottom: area.bottom + 0.7 }
}

/// Words on paper in the room found for them.
fn boxed(marks: &mut Marks, room: Area, words: &str, is_bold: bool) {
    marks.fill(room, palette::PAPER);
    let style = Type { bold: is_bold, ..plain(LABEL_SIZE).anchored(Anchor::Middle) };
    marks.text(at((room.left + room.right) / 2.0, room.bottom - 4.1), words, style);
}
